"""CxF3 read strictly: what of a file is not as ISO 17972-1 lays it down, in plain sentences.

The structure is our own reading of the format (recalled, not copied from the standard): which
elements may stand in which, which attributes and parts each needs, that names are given once and
that every specification which is named is there.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from softmend.intake.safe_xml import Node

NAMESPACE = "http://colorexchangeformat.com/CxF3-core"
MOST_TOLD = 6


@dataclass(frozen=True)
class Element:
    """What one element may and must hold."""

    may: frozenset[str]
    must: tuple[str, ...] = ()
    attributes: tuple[str, ...] = ()


def _element(may: str, must: str = "", attributes: str = "") -> Element:
    needed = tuple(must.split())
    return Element(frozenset((*may.split(), *needed)), needed, tuple(attributes.split()))


ELEMENTS: Mapping[str, Element] = {
    "CxF": _element("FileInformation CustomResources", "Resources"),
    "FileInformation": _element("Creator CreationDate Description Comment Tag"),
    "Resources": _element("ColorSpecificationCollection ProfileCollection", "ObjectCollection"),
    "ObjectCollection": _element("", "Object"),
    "Object": _element(
        "Comment ColorValues ColorDifferenceValues DeviceColorValues TagCollection "
        "PhysicalAttributes",
        "CreationDate",
        "ObjectType Name Id",
    ),
    "ColorValues": _element(
        "ReflectanceSpectrum TransmittanceSpectrum EmissiveSpectrum ColorCIELab ColorCIELCh "
        "ColorCIELuv ColorCIEXYZ ColorCIExyY ColorSRGB ColorAdobeRGB ColorHTML ColorDensity"
    ),
    "ReflectanceSpectrum": _element("", "", "ColorSpecification"),
    "ColorCIELab": _element("", "L A B", "ColorSpecification"),
    "ColorSpecificationCollection": _element("", "ColorSpecification"),
    "ColorSpecification": _element("TristimulusSpec MeasurementSpec PhysicalAttributes", "", "Id"),
    "MeasurementSpec": _element(
        "WavelengthRange LuminanceUnitsType CalibrationStandard Aperture Device Backing",
        "MeasurementType GeometryChoice",
    ),
    "GeometryChoice": _element("SingleAngle MultiAngle SphereGeometry"),
    "SingleAngle": _element("SingleAngleConfiguration", "IlluminationAngle MeasurementAngle"),
    "WavelengthRange": _element("", "", "StartWL Increment"),
}


def departures(root: Node) -> list[str]:
    """Return what of a CxF3 file is not to the letter, at most some; empty when it is strict."""
    found = list(dict.fromkeys(_departures(root)))
    if len(found) > MOST_TOLD:
        return [*found[:MOST_TOLD], f"and {len(found) - MOST_TOLD} more"]
    return found


def _departures(root: Node) -> Iterator[str]:
    if root.name != "CxF":
        yield f"it begins with “{root.name[:40]}”, not with “CxF”"
    if root.namespace != NAMESPACE:
        yield "it does not name the namespace of CxF3"
    yield from _inside(root)
    yield from _names(root)


def _inside(node: Node) -> Iterator[str]:
    known = ELEMENTS.get(node.name)
    if known is None:
        return
    for name in known.attributes:
        if not node.attributes.get(name, "").strip():
            yield f"“{node.name}” lacks “{name}”"
    there = {child.name for child in node.children}
    for name in known.must:
        if name not in there:
            yield f"“{node.name}” lacks “{name}”"
    for child in node.children:
        if child.name not in known.may:
            yield f"“{child.name[:40]}” does not belong into “{node.name}”"
        elif child.namespace != NAMESPACE and node.namespace == NAMESPACE:
            yield f"“{child.name[:40]}” is of another namespace"
        # What a program adds of its own stands under CustomResources and is its own business.
        if child.name != "CustomResources":
            yield from _inside(child)


def _names(root: Node) -> Iterator[str]:
    ids = [node.attributes["Id"] for node in root.walk() if "Id" in node.attributes]
    if len(ids) != len(set(ids)):
        yield "an “Id” is given twice"
    specified = {
        node.attributes.get("Id", "") for node in root.walk() if node.name == "ColorSpecification"
    }
    for node in root.walk():
        named = node.attributes.get("ColorSpecification", "")
        if named and named not in specified:
            yield f"the specification “{named[:40]}” is named and not there"
