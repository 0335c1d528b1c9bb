"""Curves of reflectance as CSV, CGATS.17 and CxF3; each reads back to what was written."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from itertools import pairwise
from xml.sax.saxutils import escape, quoteattr

from softmend.errors import InputError
from softmend.exchange.colour_sample import (
    MADE_BY,
    NOT_KNOWN,
    Curve,
    common_measurement,
    common_raster,
    plain,
)
from softmend.exchange.tables_csv import cell

CXF = "http://colorexchangeformat.com/CxF3-core"


def curves_csv(curves: Sequence[Curve]) -> bytes:
    """Return curves as a CSV table, one a row, in shares of the light."""
    at = common_raster(curves)
    text = io.StringIO()
    lines = csv.writer(text, lineterminator="\r\n")
    lines.writerow(
        ["name", "geometry", "specular", "uv", "backing", "aperture_mm", "readings",
         *(f"{plain(one)} nm" for one in at)]
    )  # fmt: skip
    for one in curves:
        lines.writerow(
            [cell(one.name), one.geometry, one.specular, one.uv, one.backing,
             "" if one.aperture_mm is None else plain(one.aperture_mm),
             "" if one.readings is None else one.readings, *(plain(v) for v in one.values)]
        )  # fmt: skip
    return text.getvalue().encode("utf-8")


def curves_cgats(curves: Sequence[Curve]) -> bytes:
    """Return curves as CGATS.17 text, in shares of the light."""
    at, (geometry, specular, uv) = common_raster(curves), common_measurement(curves)
    backings = {one.backing for one in curves}
    lines = [
        "CGATS.17",
        f'ORIGINATOR "{MADE_BY}"',
        f'MEASUREMENT_GEOMETRY "{_quoted(_geometry_said(geometry, specular))}"',
        f'MEASUREMENT_SOURCE "MeasurementCondition={_quoted(uv)}"',
    ]
    if len(backings) == 1 and NOT_KNOWN not in backings:
        lines.append(f'SAMPLE_BACKING "{_quoted(next(iter(backings)))}"')
    fields = ["SAMPLE_NAME", *(f"SPECTRAL_NM{plain(one)}" for one in at)]
    lines += [f"NUMBER_OF_FIELDS {len(fields)}", "BEGIN_DATA_FORMAT", *fields, "END_DATA_FORMAT"]
    lines += [f"NUMBER_OF_SETS {len(curves)}", "BEGIN_DATA"]
    for one in curves:
        lines.append(f'"{_quoted(one.name)}" ' + " ".join(plain(value) for value in one.values))
    return "\n".join([*lines, "END_DATA", ""]).encode("utf-8")


def curves_cxf(curves: Sequence[Curve], made_at: str) -> bytes:
    """Return curves as CxF3, in shares of the light; `made_at` is "2026-11-29T21:30:00"."""
    at, (geometry, specular, uv) = common_raster(curves), common_measurement(curves)
    steps = {round(two - one, 6) for one, two in pairwise(at)}
    if len(steps) != 1:
        raise InputError(
            "CxF3 needs wavelengths in even steps",
            value=f"{len(steps)} different steps",
            remedy="Export as CSV or CGATS instead",
        )
    objects = [
        f'<Object ObjectType="Target" Name={quoteattr(one.name)} Id="c{place}">'
        f"<CreationDate>{escape(made_at)}</CreationDate><ColorValues>"
        f'<ReflectanceSpectrum ColorSpecification="s1" StartWL="{plain(at[0])}">'
        f"{' '.join(plain(value) for value in one.values)}</ReflectanceSpectrum>"
        "</ColorValues></Object>"
        for place, one in enumerate(curves, start=1)
    ]
    text = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<CxF xmlns="{CXF}"><FileInformation><Creator>{MADE_BY}</Creator>'
        f"<CreationDate>{escape(made_at)}</CreationDate></FileInformation>"
        f"<Resources><ObjectCollection>{''.join(objects)}</ObjectCollection>"
        '<ColorSpecificationCollection><ColorSpecification Id="s1"><MeasurementSpec>'
        "<MeasurementType>Spectrum_Reflectance</MeasurementType>"
        f"{_geometry_xml(geometry, specular)}"
        f'<WavelengthRange StartWL="{plain(at[0])}" Increment="{plain(steps.pop())}"/>'
        f"{_device_xml(uv)}"
        "</MeasurementSpec></ColorSpecification></ColorSpecificationCollection></Resources></CxF>\n"
    )
    return text.encode("utf-8")


def _geometry_said(geometry: str, specular: str) -> str:
    if geometry.startswith(("d", "8")) and specular in {"included", "excluded"}:
        return f"{geometry} specular {specular}"
    return geometry


def _geometry_xml(geometry: str, specular: str) -> str:
    """Return how it was measured as CxF3 has words for it, or nothing where it is not known."""
    first, _, second = geometry.partition("/")
    if first.isdigit() and second.isdigit():
        return (
            f"<GeometryChoice><SingleAngle><IlluminationAngle>{first}</IlluminationAngle>"
            f"<MeasurementAngle>{second}</MeasurementAngle></SingleAngle></GeometryChoice>"
        )
    said = {"included": "Specular_Included", "excluded": "Specular_Excluded"}.get(specular, "")
    if "d" not in (first, second) or not said:
        return ""
    return f"<GeometryChoice><SphereGeometry>{said}</SphereGeometry></GeometryChoice>"


def _device_xml(uv: str) -> str:
    if uv == NOT_KNOWN:
        return ""
    return f"<Device><DeviceIllumination>{escape(uv)}</DeviceIllumination></Device>"


def _quoted(words: str) -> str:
    return " ".join(words.replace('"', "'").split())
