"""What a condition report says, gathered from a dossier at one moment."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from softmend import __version__, catalogue
from softmend.pictures.drawing import Drawing, ScaleBar
from softmend.pictures.view_plan import PlanShape
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.mark import Geometry, Mark, Shape
from softmend.records.view import View
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.report.content import (
    Audience,
    ConditionReport,
    FillRow,
    GradeRow,
    MarkRow,
    Provenance,
    Quantity,
    ReportView,
    Total,
    Working,
    ZoneRow,
)
from softmend.services.dossiers import opened
from softmend.services.fills import Fills, fills_in
from softmend.services.grades import grades_in
from softmend.services.marks import marks_in
from softmend.services.plain_copy import dossier_json
from softmend.services.quantities import (
    Measured,
    Outcome,
    Scaled,
    mark_quantities,
    scale_statement,
    scales_in,
    totals,
    zone_area,
)
from softmend.services.recording import current_records
from softmend.services.runs import runs_in
from softmend.services.store import Reader
from softmend.services.views import views_in
from softmend.services.vocabulary import grade_definitions, term
from softmend.services.workings import printed, working, workings_of

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

_LONG_OBJECTS = ("beam", "antler", "tusk", "horn", "bone", "shaft")


@dataclass(frozen=True)
class _Zoned:
    """A zone with its entry, its code and its area."""

    entry: Entry
    zone: BodyZone | OnZone
    code: str
    area: Measured


def condition_report(
    reader: Reader, dossier_id: str, audience: Audience = Audience.BENCH
) -> ConditionReport:
    """Return everything that a dossier's condition report says."""
    dossier = opened(reader, dossier_id)
    journal = reader.entries(dossier_id)
    scales = scales_in(reader, dossier_id)
    fills = fills_in(reader, dossier_id)
    marks = marks_in(reader, dossier_id)
    measured = [(mark, mark_quantities(mark, scales)) for _, mark in marks]
    zoned = _zoned(reader, dossier_id, scales)
    views = views_in(reader, dossier_id)
    view_numbers = {entry.subject_id: view.number for entry, view in views}
    grades, overall = grades_in(reader, dossier_id)
    examinations = current_records(reader, dossier_id, "examination")
    names = {person.id: person.name or "name erased" for person in reader.people()}
    place_names = _place_names(marks, zoned)
    return ConditionReport(
        dossier=dossier.dossier,
        provenance=Provenance(
            head_hash=dossier.head.hash,
            entry_count=dossier.head.count,
            newest_at=journal[-1].at,
            software_version=__version__,
        ),
        dossier_json=dossier_json(reader, dossier_id, for_registrar=audience is Audience.REGISTRAR),
        examined_by=", ".join(_authors(journal, names)),
        version=sum(entry.kind == "examination" for entry in journal) or 1,
        audience=audience,
        object_head=dossier.object_head,
        hazards=tuple(hazard for _, _, hazard in dossier.hazards),
        examination=examinations[0][1] if examinations else None,
        plan_shape=_plan_shape(dossier.title, dossier.dossier.what),
        views=tuple(
            _report_view(entry, view, marks, zoned, scales.get(entry.subject_id))
            for entry, view in views
        ),
        marks=tuple(_mark_row(mark, found, view_numbers) for mark, found in measured),
        zones=tuple(_zone_row(one, view_numbers, scales) for one in zoned),
        totals=_totals(measured, zoned),
        grades=tuple(
            GradeRow(grade, place_names.get(grade.of_id, grade.of_id)) for _, grade in grades
        ),
        grade_definitions=tuple(
            (grade, f"{wording}. {test}") for grade, test, wording in grade_definitions()
        ),
        overall=overall,
        overall_extent=overall_extent(grades, place_names, measured, zoned),
        not_examined=_records(reader, dossier_id, "not_examined"),
        not_done=_records(reader, dossier_id, "not_done"),
        papers=_records(reader, dossier_id, "paper"),
        fills=_fill_rows(fills),
        workings=(
            *_view_workings(views, scales),
            *(
                line
                for mark, found in measured
                for line in workings_of(f"mark {mark.number}", found)
            ),
            *(line for one in zoned for line in workings_of(_zone_name(one), [one.area])),
            *_run_workings(reader, dossier_id, fills),
        ),
    )


def _records(reader: Reader, dossier_id: str, kind: str) -> tuple[Any, ...]:
    return tuple(record for _, record in current_records(reader, dossier_id, kind))


def _authors(journal: Iterable[Entry], names: dict[str, str]) -> list[str]:
    # In the order in which they first recorded; the roll is taken from the journal, never typed.
    return list(dict.fromkeys(names.get(entry.author_id, "not known") for entry in journal))


def _plan_shape(*words: str) -> PlanShape:
    text = " ".join(words).casefold()
    return PlanShape.BEAM if any(word in text for word in _LONG_OBJECTS) else PlanShape.BOX


def _zoned(reader: Reader, dossier_id: str, scales: dict[str, Scaled]) -> list[_Zoned]:
    body = current_records(reader, dossier_id, "body_zone")
    on_it = current_records(reader, dossier_id, "on_zone")
    return [
        _Zoned(entry, zone, zone_code(zone), zone_area(zone, scales))
        for entry, zone in (*body, *on_it)
    ]


def zone_code(zone: BodyZone | OnZone) -> str:
    """Return the legend's code for a zone."""
    return BODY_CODES[zone.body] if isinstance(zone, BodyZone) else ON_CODES[zone.on_it]


def zone_words(zone: BodyZone | OnZone) -> str:
    """Return what a zone is, in words."""
    return zone.body.value if isinstance(zone, BodyZone) else zone.on_it.value


def _report_view(
    entry: Entry,
    view: View,
    marks: list[tuple[Entry, Mark]],
    zoned: list[_Zoned],
    scale: Scaled | None,
) -> ReportView:
    sentence, found = scale_statement(scale)
    return ReportView(
        view=view,
        picture=view.canonical_sha256,
        drawings=drawings_on(entry.subject_id, marks, zoned),
        scale_bar=_scale_bar(scale, found),
        scale_statement=sentence,
    )


def drawings_on(
    view_id: str, marks: list[tuple[Entry, Mark]], zoned: list[_Zoned]
) -> tuple[Drawing, ...]:
    """Return what is drawn over a view: zones below, marks above."""
    below = [
        Drawing(one.code, f"Z{one.zone.number}", Geometry(Shape.AREA, one.zone.rings))
        for one in zoned
        if one.zone.view_id == view_id
    ]
    above = [
        Drawing(term(mark.term_id).code, str(mark.number), seen.geometry, mark.state)
        for _, mark in marks
        for seen in mark.sightings
        if seen.view_id == view_id
    ]
    return (*below, *above)


def _scale_bar(scale: Scaled | None, found: Outcome | None) -> ScaleBar | None:
    # On a cylinder no one bar is true of the whole picture.
    if scale is None or found is None or scale.inputs["method"] == "cylinder":
        return None
    px_per_mm = found["scale_px_per_mm"]["mean"]
    return ScaleBar(1 / px_per_mm, found["relative_expanded_percent"] / 100)


def quantity(found: Measured) -> Quantity:
    """Return a measured quantity as it is printed."""
    if found.mean is None:
        return Quantity(found.name, found.text, kind="not known")
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


def _mark_row(mark: Mark, found: list[Measured], view_numbers: dict[str, int]) -> MarkRow:
    wanted = term(mark.term_id)
    seen_on = sorted({view_numbers[seen.view_id] for seen in mark.sightings})
    quantities = [quantity(one) for one in found if one.name != "perimeter"]
    if mark.widths:
        widths = [station.width_mm for station in mark.widths]
        worst = max(station.expanded_mm for station in mark.widths)
        span = f"{min(widths):g}" if len(widths) == 1 else f"{min(widths):g} – {max(widths):g}"
        quantities.append(Quantity("width", span, f"{worst:g}", "mm", "measured", "by hand"))
    return MarkRow(mark, wanted.code, wanted.term, tuple(seen_on), tuple(quantities))


def _zone_row(one: _Zoned, view_numbers: dict[str, int], scales: dict[str, Scaled]) -> ZoneRow:
    scale = scales.get(one.zone.view_id)
    accuracy = ""
    if scale is not None:
        _, found = scale_statement(scale)
        px_per_mm = found["scale_px_per_mm"]["mean"] if found else 1.0
        accuracy = f"± {one.zone.accuracy_px / px_per_mm:.1g} mm"
    return ZoneRow(one.zone, one.code, view_numbers[one.zone.view_id], quantity(one.area), accuracy)


def _totals(measured: list[tuple[Mark, list[Measured]]], zoned: list[_Zoned]) -> tuple[Total, ...]:
    rows = []
    for mark, found in measured:
        for one in found:
            if one.name != "perimeter":
                rows.append(("term", term(mark.term_id).term, one))
                if mark.side != NOT_KNOWN:
                    rows.append(("side", mark.side, one))
    rows += [("zone", zone_words(one.zone), one.area) for one in zoned]
    found_totals = totals(rows)
    return tuple(
        Total(
            by=total.by,
            name=total.name,
            count=total.count,
            quantities=(
                printed(
                    total.quantity,
                    total.text,
                    caution=f"{total.uncounted} without a scale not counted"
                    if total.uncounted
                    else "",
                ),
            ),
        )
        for total in sorted(found_totals, key=lambda total: (total.by, total.name, total.quantity))
    )


def _place_names(marks: list[tuple[Entry, Mark]], zoned: list[_Zoned]) -> dict[str, str]:
    names = {
        entry.subject_id: f"mark {mark.number}, {term(mark.term_id).term}" for entry, mark in marks
    }
    names |= {
        one.entry.subject_id: f"zone Z{one.zone.number}, {zone_words(one.zone)}" for one in zoned
    }
    return names


def overall_extent(
    grades: list[tuple[Entry, Any]],
    place_names: dict[str, str],
    measured: list[tuple[Mark, list[Measured]]],
    zoned: list[_Zoned],
) -> str:
    """Return how far the worst grade reaches, in words; "extent not known" where it is not."""
    if not grades:
        return "extent not known"
    areas = {one.entry.subject_id: one.area.mean for one in zoned}
    body = [one.area.mean for one in zoned if isinstance(one.zone, BodyZone)]
    examined = sum(area for area in body if area is not None) if None not in body else 0.0
    places = [
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
    text: str = answer["text"].partition(", ")[2]
    return text


def _view_workings(views: list[tuple[Entry, View]], scales: dict[str, Scaled]) -> Iterable[Working]:
    for entry, view in views:
        _, answer = scale_statement(scales.get(entry.subject_id))
        if answer is not None:
            yield working("photo.scale", f"view {view.number}", answer)


def _run_workings(reader: Reader, dossier_id: str, fills: Fills) -> Iterable[Working]:
    kept = runs_in(reader, dossier_id)
    for entry, run, stale in kept:
        yield working(run.computation, f"kept on {entry.at[:10]}", run.outputs, stale)
    if fills.answer is not None and not any(run.computation == "fill.volume" for _, run, _ in kept):
        yield working("fill.volume", "as it stands", fills.answer)


def _fill_rows(fills: Fills) -> tuple[FillRow, ...]:
    return tuple(
        FillRow(
            mark_number=fill.mark.number,
            section=fill.mark.section.value,
            depth_known_how=fill.depth_known_how,
            volume=printed("volume", fill.text, caution=fill.reason),
        )
        for fill in fills.each
    )


def _zone_name(one: _Zoned) -> str:
    return f"zone Z{one.zone.number}"
