"""Rows of the condition report: one mark, one zone, one total, each with its printed numbers."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from softmend import catalogue
from softmend.pictures.drawing import ScaleBar
from softmend.records.condition import Grade
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.mark import Mark
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.report.content import MarkRow, Quantity, Total, ZoneRow
from softmend.science.digits import rounded
from softmend.services.examine.quantities import Measured, Outcome, Scaled, scale_statement, totals
from softmend.services.examine.vocabulary import term
from softmend.services.workings import printed

Zone = BodyZone | OnZone

_MOST_EXTENTS = 3
_NO_EXTENT = "extent not known"

BODY_CODES = {
    Body.ORIGINAL: "OR",
    Body.OLD_KEPT: "OF",
    Body.TO_BE_REMOVED: "TR",
    Body.REMOVED: "RM",
    Body.NEW_FILL: "NF",
    Body.UNCERTAIN: "?",
}
ON_CODES = {
    OnIt.COATING: "OC",
    OnIt.OLD_TONE: "OP",
    OnIt.NEW_TONE: "NT",
    OnIt.FACING: "FA",
    OnIt.PROTECTED_EVIDENCE: "PE",
    OnIt.UNTREATED_RESERVE: "UR",
}


def zone_code(zone: BodyZone | OnZone) -> str:
    """Return the legend's code for a zone."""
    return BODY_CODES[zone.body] if isinstance(zone, BodyZone) else ON_CODES[zone.on_it]


def zone_words(zone: BodyZone | OnZone) -> str:
    """Return what a zone is, in words."""
    return zone.body.value if isinstance(zone, BodyZone) else zone.on_it.value


def quantity(found: Measured) -> Quantity:
    """Return a measured quantity as it is printed."""
    if found.mean is None:
        return Quantity(found.name, found.text, kind="not known", caution=" ".join(found.warnings))
    value, _, rest = found.text.removesuffix(f" {found.unit}").partition(" ± ")
    return Quantity(
        name=found.name,
        value=value,
        plus_minus=rest,
        unit=found.unit,
        kind="derived",
        # The workings print every warning; beside the number stands the first.
        caution=found.warnings[0].rstrip(".").casefold() if found.warnings else "",
    )


def scale_bar(scale: Scaled | None, found: Outcome | None) -> ScaleBar | None:
    """Return the scale bar of a view, or None where no one bar is true."""
    # On a cylinder no one bar is true of the whole picture.
    if scale is None or found is None or scale.inputs["method"] == "cylinder":
        return None
    px_per_mm = found["scale_px_per_mm"]["mean"]
    return ScaleBar(1 / px_per_mm, found["relative_expanded_percent"] / 100)


def mark_row(mark: Mark, found: list[Measured], view_numbers: dict[str, int]) -> MarkRow:
    """Return a mark with its quantities; widths measured by hand stand as a range."""
    wanted = term(mark.term_id)
    seen_on = sorted({view_numbers[seen.view_id] for seen in mark.sightings})
    quantities = [quantity(one) for one in found if one.name != "perimeter"]
    if mark.widths:
        widths = [station.width_mm for station in mark.widths]
        worst = max(station.expanded_mm for station in mark.widths)
        ends = [rounded(width, worst) for width in dict.fromkeys((min(widths), max(widths)))]
        span, spread = " – ".join(one.value for one in ends), ends[0].uncertainty
        quantities.append(Quantity("width", span, spread, "mm", "measured", "by hand"))
    return MarkRow(mark, wanted.code, wanted.term, tuple(seen_on), tuple(quantities))


def zone_row(
    zone: Zone, area: Measured, view_numbers: dict[str, int], scale: Scaled | None
) -> ZoneRow:
    """Return a zone with its area and how truly it was drawn, in mm where there is a scale."""
    accuracy = ""
    _, found = scale_statement(scale)
    if found is not None:
        px_per_mm = found["scale_px_per_mm"]["mean"]
        accuracy = f"± {zone.accuracy_px / px_per_mm:.1g} mm"
    return ZoneRow(zone, zone_code(zone), view_numbers[zone.view_id], quantity(area), accuracy)


def total_rows(
    measured: Iterable[tuple[Mark, list[Measured]]], zoned: Iterable[tuple[Zone, Measured]]
) -> tuple[Total, ...]:
    """Return the sums by term, by side and by zone."""
    rows = [("zone", zone_words(zone), area) for zone, area in zoned]
    for mark, found in measured:
        counted = [one for one in found if one.name != "perimeter"]
        rows += [("term", term(mark.term_id).term, one) for one in counted]
        if mark.side != NOT_KNOWN:
            rows += [("side", mark.side, one) for one in counted]
    return tuple(
        Total(
            by=total.by,
            name=total.name,
            count=total.count,
            quantities=(printed(total.quantity, total.text, caution=_left_out(total.uncounted)),),
        )
        for total in sorted(totals(rows), key=lambda one: (one.by, one.name, one.quantity))
    )


def _left_out(uncounted: int) -> str:
    return f"{uncounted} that could not be measured not counted" if uncounted else ""


def overall_extent(
    grades: Iterable[tuple[Entry, Grade]],
    place_names: dict[str, str],
    zoned: Iterable[tuple[Entry, Zone, Measured]],
    marked: Mapping[str, list[Measured]],
) -> str:
    """Return how far the worst grade reaches, in words, or that it is not known.

    A share of the surface needs zones; where marks were graded, what they measure stands instead.
    """
    grades, zones = list(grades), list(zoned)
    areas = {entry.subject_id: area.mean for entry, _, area in zones}
    body = [area.mean for _, zone, area in zones if isinstance(zone, BodyZone)]
    known = [area for area in body if area is not None]
    examined = sum(known) if len(known) == len(body) else 0.0
    places: list[dict[str, Any]] = [
        {
            "place": place_names.get(grade.of_id, grade.of_id)[:500],
            "grade": grade.grade,
            "because": grade.because[:500],
            "area_mm2": areas.get(grade.of_id),
        }
        for _, grade in grades
    ]
    answer = catalogue.run(
        "condition.overall", {"places": places, "examined_area_mm2": examined or None}
    )
    text: str = answer.get("text", "").partition(", ")[2]
    is_told = text not in ("", _NO_EXTENT)
    return text if is_told else _marked_extent(grades, place_names, marked) or _NO_EXTENT


def _marked_extent(
    grades: Iterable[tuple[Entry, Grade]],
    place_names: dict[str, str],
    marked: Mapping[str, list[Measured]],
) -> str:
    """Return what the worst places measure, each by its name; empty where nothing was measured."""
    worst = max((grade.grade for _, grade in grades), default=0)
    said = []
    for _, grade in grades:
        sizes = [
            one.text
            for one in marked.get(grade.of_id, ())
            if one.name != "perimeter" and one.mean is not None
        ]
        if grade.grade == worst and sizes:
            said.append(f"{place_names.get(grade.of_id, grade.of_id)}: {sizes[0]}")
    left = f" and {len(said) - _MOST_EXTENTS} more" if len(said) > _MOST_EXTENTS else ""
    return "; ".join(said[:_MOST_EXTENTS]) + left
