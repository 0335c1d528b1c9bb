"""What a condition report says, gathered from a dossier at one moment."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from softmend import __version__
from softmend.pictures.drawing import Drawing
from softmend.pictures.view_plan import PlanShape
from softmend.records.condition import Grade, Overall
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.mark import Geometry, Mark, Shape
from softmend.records.view import View
from softmend.records.zone import BodyZone, OnIt, OnZone
from softmend.report.content import (
    Audience,
    ConditionReport,
    FillRow,
    FlagRow,
    GradeRow,
    Provenance,
    ReportView,
    Working,
)
from softmend.services.dossiers import OpenDossier, opened
from softmend.services.examine.grades import grades_in
from softmend.services.examine.marks import marks_in
from softmend.services.examine.quantities import (
    Measured,
    Scaled,
    mark_quantities,
    scale_statement,
    scales_in,
    zone_area,
)
from softmend.services.examine.report_rows import (
    mark_row,
    overall_extent,
    scale_bar,
    total_rows,
    zone_code,
    zone_row,
    zone_words,
)
from softmend.services.examine.tone_recipe import NO_RECIPE, recipes_of_tones
from softmend.services.examine.views import views_in
from softmend.services.examine.vocabulary import grade_definitions, term
from softmend.services.explain.explained_rows import (
    OF_THE_PROPOSAL,
    SUBJECTS_OF_THE_PROPOSAL,
    explained_rows,
)
from softmend.services.legal_flags import flags_in
from softmend.services.next_steps import asked_words
from softmend.services.passing import passed_rows
from softmend.services.people import names_in
from softmend.services.propose.fills import Fills, fills_in
from softmend.services.recording import current_records
from softmend.services.revisit.front import moved_rows, pairs_in
from softmend.services.runs import run_about, runs_in
from softmend.services.solid.printed import changes_printed, scan_workings, scans_printed
from softmend.services.store import Reader
from softmend.services.workings import printed, working, workings_of

# Entries that come of looking at the object.
_LOOKED = frozenset(
    {"examination", "view", "not_examined", "hazard", "scale", "mark", "body_zone", "on_zone",
     "grade"}
)  # fmt: skip
_LONG_OBJECTS = ("beam", "antler", "tusk", "horn", "bone", "shaft")


@dataclass(frozen=True)
class _Zoned:
    """A zone with its entry and its area."""

    entry: Entry
    zone: BodyZone | OnZone
    area: Measured


@dataclass(frozen=True)
class _Standing:
    """What stands in a dossier at one moment, measured."""

    dossier: OpenDossier
    journal: list[Entry]
    scales: dict[str, Scaled]
    views: list[tuple[Entry, View]]
    marks: list[tuple[Entry, Mark]]
    measured: list[tuple[Mark, list[Measured]]]
    zoned: list[_Zoned]
    fills: Fills
    grades: list[tuple[Entry, Grade]]
    overall: Overall | None

    @property
    def view_numbers(self) -> dict[str, int]:
        """Return the number of each view."""
        return {entry.subject_id: view.number for entry, view in self.views}

    @property
    def place_names(self) -> dict[str, str]:
        """Return what each mark and zone is called where it is graded."""
        names = {
            entry.subject_id: f"mark {mark.number}, {term(mark.term_id).term}"
            for entry, mark in self.marks
        }
        return names | {
            one.entry.subject_id: f"{_zone_name(one)}, {zone_words(one.zone)}" for one in self.zoned
        }


def _standing(reader: Reader, dossier_id: str) -> _Standing:
    scales = scales_in(reader, dossier_id)
    marks = marks_in(reader, dossier_id)
    grades, overall = grades_in(reader, dossier_id)
    return _Standing(
        dossier=opened(reader, dossier_id),
        journal=reader.entries(dossier_id),
        scales=scales,
        views=views_in(reader, dossier_id),
        marks=marks,
        measured=[(mark, mark_quantities(mark, scales)) for _, mark in marks],
        zoned=_zoned(reader, dossier_id, scales),
        fills=fills_in(reader, dossier_id),
        grades=grades,
        overall=overall,
    )


def condition_report(
    reader: Reader, dossier_id: str, audience: Audience = Audience.BENCH
) -> ConditionReport:
    """Return everything that a dossier's condition report says."""
    seen = _standing(reader, dossier_id)
    scans, changes = scans_printed(reader, dossier_id), changes_printed(reader, dossier_id)
    examinations = _records(reader, dossier_id, "examination")
    recipes = recipes_of_tones(reader, dossier_id)
    return ConditionReport(
        dossier=seen.dossier.dossier,
        provenance=_provenance(seen),
        examined_by=_examined_by(reader, seen.journal),
        version=sum(entry.kind == "examination" for entry in seen.journal) or 1,
        audience=audience,
        object_head=seen.dossier.object_head,
        hazards=tuple(hazard for _, _, hazard in seen.dossier.hazards),
        flags=flag_rows(reader, seen.dossier.dossier_id),
        examination=examinations[0] if examinations else None,
        plan_shape=plan_shape(seen.dossier.title, seen.dossier.dossier.what),
        views=tuple(_report_view(seen, entry, view) for entry, view in seen.views),
        marks=tuple(mark_row(mark, found, seen.view_numbers) for mark, found in seen.measured),
        zones=tuple(
            replace(
                zone_row(one.zone, one.area, seen.view_numbers, seen.scales.get(one.zone.view_id)),
                recipe=_recipe_of(one.zone, recipes),
            )
            for one in seen.zoned
        ),
        totals=total_rows(seen.measured, [(one.zone, one.area) for one in seen.zoned]),
        fills=_fill_rows(seen.fills),
        grades=tuple(
            GradeRow(grade, seen.place_names.get(grade.of_id, grade.of_id))
            for _, grade in seen.grades
        ),
        grade_definitions=_grade_definitions(),
        overall=seen.overall,
        overall_extent=overall_extent(
            seen.grades,
            seen.place_names,
            [(one.entry, one.zone, one.area) for one in seen.zoned],
            {
                entry.subject_id: found
                for (entry, _), (_, found) in zip(seen.marks, seen.measured, strict=True)
            },
        ),
        not_examined=_records(reader, dossier_id, "not_examined"),
        not_done=tuple(
            replace(answer, asked=asked_words(answer.asked))
            for answer in _records(reader, dossier_id, "not_done")
        ),
        papers=_records(reader, dossier_id, "paper"),
        passings=passed_rows(reader, dossier_id),
        explained=explained_rows(reader, dossier_id),
        moved=moved_rows(pairs_in(reader, dossier_id)),
        scans=scans,
        changes=changes,
        workings=(
            *_workings(reader, dossier_id, seen),
            *scan_workings(scans, changes, with_mass=audience is Audience.REGISTRAR),
        ),
    )


def _provenance(seen: _Standing) -> Provenance:
    return Provenance(
        head_hash=seen.dossier.head.hash,
        entry_count=seen.dossier.head.count,
        newest_at=seen.journal[-1].at,
        software_version=__version__,
    )


def _examined_by(reader: Reader, journal: list[Entry]) -> str:
    # The roll is taken from the journal, in the order in which people first recorded. Whoever
    # wrote a receipt or a log did not examine.
    names = names_in(reader)
    looked = [entry for entry in journal if entry.kind in _LOOKED]
    roll = dict.fromkeys(names[entry.author_id] for entry in looked)
    return ", ".join(roll) or NOT_KNOWN


def _grade_definitions() -> tuple[tuple[int, str], ...]:
    return tuple((grade, f"{wording}. {test}") for grade, test, wording in grade_definitions())


def _workings(reader: Reader, dossier_id: str, seen: _Standing) -> Iterable[Working]:
    yield from _view_workings(seen.views, seen.scales)
    for mark, found in seen.measured:
        yield from workings_of(f"mark {mark.number}", found)
    for one in seen.zoned:
        yield from workings_of(_zone_name(one), [one.area])
    yield from _run_workings(reader, dossier_id, seen.fills)


def flag_rows(reader: Reader, dossier_id: str) -> tuple[FlagRow, ...]:
    """Return the legal flags as printed: stale or not on the day of the newest entry."""
    (newest,) = reader.entries(dossier_id, reader.head(dossier_id).count - 1)
    lines = flags_in(reader, dossier_id, date.fromisoformat(newest.at[:10]))
    return tuple(FlagRow(line.flag, line.stale_because) for line in lines)


def _records(reader: Reader, dossier_id: str, kind: str) -> tuple[Any, ...]:
    return tuple(record for _, record in current_records(reader, dossier_id, kind))


def plan_shape(*words: str) -> PlanShape:
    """Return the outline on which the views of an object are placed, told from its words."""
    text = " ".join(words).casefold()
    return PlanShape.BEAM if any(word in text for word in _LONG_OBJECTS) else PlanShape.BOX


def _recipe_of(zone: BodyZone | OnZone, recipes: dict[int, str]) -> str:
    if not isinstance(zone, OnZone) or zone.on_it is not OnIt.NEW_TONE:
        return ""
    return recipes.get(zone.number, NO_RECIPE)


def _zoned(reader: Reader, dossier_id: str, scales: dict[str, Scaled]) -> list[_Zoned]:
    body = current_records(reader, dossier_id, "body_zone")
    on_it = current_records(reader, dossier_id, "on_zone")
    return [_Zoned(entry, zone, zone_area(zone, scales)) for entry, zone in (*body, *on_it)]


def _report_view(seen: _Standing, entry: Entry, view: View) -> ReportView:
    scale = seen.scales.get(entry.subject_id)
    sentence, found = scale_statement(scale)
    return ReportView(
        view=view,
        picture=view.canonical_sha256,
        drawings=_drawings_on(entry.subject_id, seen),
        scale_bar=scale_bar(scale, found),
        scale_statement=sentence,
    )


def _drawings_on(view_id: str, seen: _Standing) -> tuple[Drawing, ...]:
    # Zones lie below, marks above.
    below = [
        Drawing(zone_code(one.zone), one.zone.name, Geometry(Shape.AREA, one.zone.rings))
        for one in seen.zoned
        if one.zone.view_id == view_id
    ]
    above = [
        Drawing(term(mark.term_id).code, str(mark.number), sighting.geometry, mark.state)
        for _, mark in seen.marks
        for sighting in mark.sightings
        if sighting.view_id == view_id
    ]
    return (*below, *above)


def _view_workings(views: list[tuple[Entry, View]], scales: dict[str, Scaled]) -> Iterable[Working]:
    for entry, view in views:
        _, answer = scale_statement(scales.get(entry.subject_id))
        if answer is not None:
            yield working("photo.scale", f"view {view.number}", answer)


def _run_workings(reader: Reader, dossier_id: str, fills: Fills) -> Iterable[Working]:
    kept = runs_in(reader, dossier_id)
    for entry, run, stale in kept:
        subject = run.computation.partition(".")[0]
        # Those of the scans stand with the scans: some tell the mass, which only one copy has.
        if subject == "solid":
            continue
        if run.computation in OF_THE_PROPOSAL or subject in SUBJECTS_OF_THE_PROPOSAL:
            continue
        told = (run_about(reader, run), f"kept on {entry.at[:10]}")
        yield working(run.computation, ", ".join(filter(None, told)), run.outputs, stale)
    if fills.answer is not None and not any(run.computation == "fill.volume" for _, run, _ in kept):
        yield working("fill.volume", "All that is marked, as it stands", fills.answer)


def _fill_rows(fills: Fills) -> tuple[FillRow, ...]:
    return tuple(
        FillRow(
            mark_number=fill.mark.number,
            section=fill.mark.section.value,
            depth_known_how=fill.depth_known_how,
            volume=printed("volume", fill.text, caution=fill.reason),
        )
        for fill in fills.each
    ) + tuple(
        FillRow(
            mark_number=0,
            section=void.name,
            depth_known_how="scan",
            volume=printed("volume", text, caution=void.reason or void.twice),
            name=f"V{void.void.number}",
        )
        for void, text in fills.voids
    )


def _zone_name(one: _Zoned) -> str:
    return f"zone {one.zone.name}"
