"""Readings in CxF3 and lamps in TM-27, both XML: read strictly, else as far as understood."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

from softmend.errors import InputError
from softmend.intake.colour_cxf_strict import departures
from softmend.intake.colour_sample import (
    MOST_NAME,
    NOT_KNOWN,
    ColourFile,
    ColourSample,
    number,
    put_in_order,
)
from softmend.intake.safe_xml import Node, read_xml

SPECULAR = {"specularincluded": "included", "sci": "included", "included": "included",
            "specularexcluded": "excluded", "sce": "excluded", "excluded": "excluded"}  # fmt: skip


def read_colour_xml(data: bytes) -> ColourFile:
    """Return the curves of a CxF3 or a TM-27 file; InputError when there are none."""
    root = read_xml(data)
    lamp = [node for node in root.walk() if node.name == "SpectralData"]
    if lamp:
        return _lamp(root, lamp)
    specifications = {
        node.attributes.get("Id", ""): node
        for node in root.walk()
        if node.name == "ColorSpecification" and "Id" in node.attributes
    }
    samples: list[ColourSample] = []
    for node in root.walk():
        if node.name == "Object":
            samples += _of_object(node, specifications)
    inside = {id(one) for node in root.walk() if node.name == "Object" for one in node.walk()}
    loose = [n for n in root.walk() if n.name == "ReflectanceSpectrum" and id(n) not in inside]
    samples += [
        _curve(node, f"spectrum {place}", specifications)
        for place, node in enumerate(loose, start=1)
    ]
    if not samples:
        raise InputError(
            "The XML file holds no reflectance",
            value=f"a “{root.name}” file",
            allowed="CxF3 with ReflectanceSpectrum, or TM-27 for lamps",
        )
    ordered, notes = put_in_order(samples, percent=None)
    return ColourFile("CxF3", ordered, tuple([*_strictness(root), *notes]))


def _strictness(root: Node) -> list[str]:
    """Return nothing for a file that is CxF3 to the letter, else what departs from it."""
    found = departures(root)
    if not found:
        return []
    return [
        "The file is not CxF3 to the letter; it was read as far as it is understood: "
        f"{'; '.join(found)}."
    ]


def _of_object(node: Node, specifications: dict[str, Node]) -> list[ColourSample]:
    name = node.attributes.get("Name") or node.attributes.get("Id") or "not named"
    curves = [one for one in node.walk() if one.name == "ReflectanceSpectrum"]
    if curves:
        several = len(curves) > 1
        return [
            _curve(one, f"{name} ({place})" if several else name, specifications)
            for place, one in enumerate(curves, start=1)
        ]
    lab = node.first("ColorCIELab")
    if lab is None:
        return []
    values = [number(lab.words(axis), f"{axis} of “{name}”") for axis in ("L", "A", "B")]
    specification = specifications.get(lab.attributes.get("ColorSpecification", ""))
    return [
        ColourSample(
            name[:MOST_NAME],
            lab=(values[0], values[1], values[2]),
            **(_measured(specification) if specification else {}),
        )
    ]


def _curve(node: Node, name: str, specifications: dict[str, Node]) -> ColourSample:
    specification = specifications.get(node.attributes.get("ColorSpecification", ""))
    places = [node, *(specification.walk() if specification else ())]
    values = tuple(
        number(word, f"A value of “{name}”") for word in node.text.replace(";", " ").split()
    )
    start = _attribute(places, "StartWL")
    step = _attribute(places, "Increment")
    if start is None or step is None or not step > 0:
        raise InputError(
            f"“{name}” does not say at which wavelengths it was measured",
            value=f"start {start}, step {step}",
            allowed="StartWL and Increment in nm",
        )
    at = tuple(start + step * place for place in range(len(values)))
    return ColourSample(
        name[:MOST_NAME], at, values, **(_measured(specification) if specification else {})
    )


def _attribute(places: list[Node], name: str) -> float | None:
    for node in places:
        if name in node.attributes:
            return number(node.attributes[name], name)
    return None


def _measured(specification: Node) -> dict[str, Any]:
    sphere = specification.first("SphereGeometry", "Sphere")
    angles = (
        specification.words("IlluminationAngle", "AngleIllumination"),
        specification.words("MeasurementAngle", "AngleMeasurement"),
    )
    geometry = specification.words("Geometry")
    if sphere is not None:
        geometry = geometry or "d/8"
    elif all(angles):
        geometry = "/".join(f"{number(one, 'An angle'):g}" for one in angles)
    told = "".join(one.text for one in sphere.walk()).strip() if sphere else ""
    specular = SPECULAR.get(told.lower().replace("_", "").replace(" ", ""), NOT_KNOWN)
    observer = specification.words("Observer").split("_")[0]
    aperture = specification.words("Aperture")
    return {
        "geometry": geometry or NOT_KNOWN,
        "specular": "excluded" if geometry in {"45/0", "0/45"} else specular,
        "uv": specification.words("DeviceIllumination", "DeviceFilter") or NOT_KNOWN,
        "backing": specification.words("Backing") or NOT_KNOWN,
        "lamp": specification.words("Illuminant") or NOT_KNOWN,
        "observer_degrees": int(observer) if observer in {"2", "10"} else None,
        "aperture_mm": number(aperture, "The aperture") if aperture[:1].isdigit() else None,
    }


def _lamp(root: Node, bands: list[Node]) -> ColourFile:
    at, values = [], []
    for node in bands:
        at.append(number(node.attributes.get("wavelength", ""), "A wavelength"))
        values.append(number(node.text, f"The power at {at[-1]:g} nm"))
    name = root.words("Description", "Catalog_number", "CatalogNumber") or "lamp"
    ordered, notes = put_in_order(
        [ColourSample(name[:MOST_NAME], tuple(at), tuple(values))], percent=None, quantity="power"
    )
    return ColourFile("TM-27", ordered, tuple(notes))
