"""What a treatment record says, gathered from the log, the batches and the ledger; its prints."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from importlib.resources import as_file, files

from softmend import __version__
from softmend.records.action import Action, Hidden, uptake_g
from softmend.records.batch import Batch
from softmend.records.dossier import NOT_KNOWN
from softmend.records.fragment import Fragment, place_words
from softmend.records.mark import KnownHow
from softmend.records.material import Direction, Sum
from softmend.report.content import ConditionReport, Provenance, ReportView
from softmend.report.treatment_report import (
    BatchRow,
    FragmentRow,
    HiddenFace,
    LogRow,
    MaterialRow,
    TreatmentReport,
)
from softmend.science.digits import few_digits
from softmend.services.bench import Bench
from softmend.services.deposit.plain_copy import carrying_copy
from softmend.services.dossiers import opened
from softmend.services.examine.marks import marks_in
from softmend.services.examine.quantities import scale_statement, scales_in
from softmend.services.examine.views import views_in
from softmend.services.examine.vocabulary import term
from softmend.services.explain.explained_rows import workings_of_work
from softmend.services.passing import passed_rows
from softmend.services.people import Names, names_in
from softmend.services.propose.material_words import (
    amount_text,
    moved_text,
    put_on_text,
    sum_text,
    taken_off_text,
)
from softmend.services.propose.removing_shown import removal_shown
from softmend.services.propose.tint_printed import tints_shown
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.services.treat.batches import batches_in
from softmend.services.treat.day_log import (
    Logged,
    action_words,
    assembly_of,
    contributors,
    joins_made,
    log_of,
    plan_steps,
    totals_of,
)
from softmend.services.treat.fragments import Ledger, incidents_of, ledger_of
from softmend.services.treat.labels import made_of
from softmend.services.treat.seats_printed import trays_printed, treatment_pictures, with_seats
from softmend.services.treat.treatment_words import fragment_mass, fragments_named

_TREATMENT = ("action", "batch", "fragment", "bag", "assembly", "incident")


@dataclass(frozen=True)
class _Names:
    """Everything that log entries name by id, in words."""

    people: Names
    places: dict[str, str]
    batches: dict[str, Batch]
    steps: dict[str, str]
    views: dict[str, ReportView]

    def who(self, ids: Iterable[str]) -> str:
        """Return people's names."""
        return ", ".join(self.people[each] for each in ids)

    def where(self, action: Action) -> str:
        """Return where something was done."""
        ids = (*action.mark_ids, *action.zone_ids)
        words = [self.places[each] for each in ids if each in self.places]
        return ", ".join([*words, *([action.place] if action.place != NOT_KNOWN else [])])

    def batch(self, batch_id: str) -> str:
        """Return a batch by its number, or nothing."""
        batch = self.batches.get(batch_id)
        return f"batch {batch.number}" if batch else ""


def treatment_report(reader: Reader, dossier_id: str) -> TreatmentReport:
    """Return everything that a dossier's treatment record says."""
    log = log_of(reader, dossier_id)
    names = _names(reader, dossier_id)
    ledger = ledger_of(reader, dossier_id)
    return TreatmentReport(
        about=_about(reader, dossier_id, log, names),
        log=tuple(_log_row(one, names) for one in log),
        materials=tuple(_materials(log, names)),
        removed=tuple(_removed(log)),
        batches=tuple(_batches(reader, dossier_id, names)),
        fragments=tuple(_fragment(one) for _, one in ledger.fragments),
        balance=_balance(ledger),
        masses=_masses(ledger),
        bags=tuple(_bags(ledger)),
        incidents=tuple(
            (str(one.number), f"{one.noticed_on}: {one.what_observed}", one.closed_how or "open")
            for _, one in incidents_of(reader, dossier_id)
        ),
        hidden=tuple(_hidden(log, names)),
        joins=tuple(_joins(reader, dossier_id)),
        time_by_task=tuple(_time(log)),
        contributors=tuple(names.people[each] for each in contributors(log)),
        unsorted=sum(not one.action.is_sorted for one in log),
        removal=removal_shown(reader, dossier_id),
        tints=tints_shown(reader, dossier_id),
        trays=trays_printed(reader, dossier_id),
        workings=workings_of_work(
            reader,
            dossier_id,
            {mark for one in log if one.action.action == "filling" for mark in one.action.mark_ids},
            [one.action.join.name for one in log if one.action.join is not None],
        ),
    )


def print_treatment(bench: Bench, dossier_id: str) -> bytes:
    """Return the treatment record as an archival PDF; the same dossier gives the same bytes."""
    from softmend.report.treatment_pdf import treatment_record_pdf

    with bench.store.reading() as reader:
        report = treatment_report(reader, dossier_id)
        report = replace(report, about=carrying_copy(reader, dossier_id, report.about))
    report = with_seats(bench, dossier_id, report)
    pictures = treatment_pictures(bench, dossier_id, report)
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return treatment_record_pdf(report, pictures, fonts)


def treatment_as_text(bench: Bench, dossier_id: str) -> dict[str, str]:
    """Return every section of the treatment record as text, to be copied."""
    from softmend.report.treatment_pdf import treatment_text

    with bench.store.reading() as reader:
        report = treatment_report(reader, dossier_id)
    return treatment_text(with_seats(bench, dossier_id, report))


def places_of(reader: Reader, dossier_id: str) -> dict[str, str]:
    """Return the marks and zones of a dossier in words, by their ids."""
    places = {
        entry.subject_id: f"mark {mark.number} {term(mark.term_id).term}"
        for entry, mark in marks_in(reader, dossier_id)
    }
    for kind in ("body_zone", "on_zone"):
        for entry, zone in current_records(reader, dossier_id, kind):
            what = zone.body if kind == "body_zone" else zone.on_it
            places[entry.subject_id] = f"zone {zone.name} {what.value}"
    return places


def _names(reader: Reader, dossier_id: str) -> _Names:
    scales = scales_in(reader, dossier_id)
    return _Names(
        people=names_in(reader),
        places=places_of(reader, dossier_id),
        batches=batches_in(reader, dossier_id),
        steps=dict(plan_steps(reader, dossier_id)),
        views={
            entry.subject_id: ReportView(
                view,
                view.canonical_sha256,
                scale_statement=scale_statement(scales.get(entry.subject_id))[0],
            )
            for entry, view in views_in(reader, dossier_id)
        },
    )


def _about(reader: Reader, dossier_id: str, log: list[Logged], names: _Names) -> ConditionReport:
    dossier = opened(reader, dossier_id)
    journal = reader.entries(dossier_id)
    return ConditionReport(
        dossier=dossier.dossier,
        provenance=Provenance(
            head_hash=dossier.head.hash,
            entry_count=dossier.head.count,
            newest_at=journal[-1].at,
            software_version=__version__,
        ),
        examined_by=names.who(contributors(log)) or NOT_KNOWN,
        version=sum(entry.kind in _TREATMENT for entry in journal) or 1,
        object_head=dossier.object_head,
        hazards=tuple(hazard for _, _, hazard in dossier.hazards),
        passings=passed_rows(reader, dossier_id),
    )


def _log_row(one: Logged, names: _Names) -> LogRow:
    action = one.action
    return LogRow(
        number=action.number,
        done_on=action.done_on,
        written_on=one.written_on if one.is_late else "",
        who=names.who(one.by_ids),
        what=one.words,
        where=names.where(action) or "place not known",
        plan=_plan(action, names),
        with_what=tuple(
            " · ".join(part for part in (moved_text(moved), names.batch(moved.batch_id)) if part)
            for moved in action.moved
        ),
        detail=tuple(_detail(action, names)),
        result="" if action.result_observed == NOT_KNOWN else action.result_observed,
        is_departure=action.is_departure,
        remarks=tuple(_remarks(one)),
    )


def _plan(action: Action, names: _Names) -> str:
    if not action.is_sorted:
        return ""
    if action.plan_step_id:
        return f"step {names.steps.get(action.plan_step_id, action.plan_step or NOT_KNOWN)}"
    agreed = "" if action.agreed_with == NOT_KNOWN else f"; agreed with {action.agreed_with}"
    return f"not in plan: {action.not_in_plan_because}{agreed}"


def _detail(action: Action, names: _Names) -> Iterator[str]:
    if action.tool != NOT_KNOWN:
        yield f"tool: {action.tool}"
    if action.consolidation is not None:
        one = action.consolidation
        uptake = uptake_g(one)
        gained = "not weighed" if uptake is None else sum_text(Sum(*uptake), "g")
        yield f"uptake {gained} ({one.weighed.value} weighed, evaporation included)"
        yield f"depth {_depth(one.depth_mm, one.depth_known_how)}; sheen {one.sheen_observed}"
        yield f"stopped because: {one.stop_sign}"
    if action.taking_down is not None:
        down = action.taking_down
        yield f"depth reached {_depth(down.depth_reached_mm, down.depth_known_how)}"
        left = down.distance_to_original_mm
        yield f"left before the original: {NOT_KNOWN if left is None else f'about {left:g} mm'}"
        yield f"magnification {down.magnification}; stopped because: {down.stop_sign}"
    if action.join is not None:
        join = action.join
        seen_by = names.who([join.dry_fit_by_id])
        yield f"join {join.name}, dry fit seen by {seen_by} on {join.dry_fit_on}"
        cure = NOT_KNOWN if join.cure_hours is None else f"{join.cure_hours:g} h"
        yield f"clamp {join.clamp}; cure {cure}; fit {join.fit_observed}"
    if action.wet_because:
        yield f"wet work before everything owed was answered, because: {action.wet_because}"


def _depth(depth_mm: float | None, known_how: KnownHow) -> str:
    return NOT_KNOWN if depth_mm is None else f"about {depth_mm:g} mm ({known_how.value})"


def _remarks(one: Logged) -> Iterator[str]:
    if one.action.hidden is Hidden.YES:
        yield "hidden since: see hidden faces"
    if one.earlier and one.action.correction_because:
        yield f"corrected, because: {one.action.correction_because}"


def _materials(log: list[Logged], names: _Names) -> Iterator[MaterialRow]:
    for total in totals_of(log):
        where = dict.fromkeys(
            names.where(one.action)
            for one in log
            for moved in one.action.moved
            if moved.material.casefold() == total.material.casefold()
            and moved.batch_id == total.batch_id
        )
        yield MaterialRow(
            material=total.material,
            batch=names.batch(total.batch_id),
            put_on=put_on_text(total),
            taken_off=taken_off_text(total),
            remains=total.remains,
            where="; ".join(place for place in where if place),
        )


def _removed(log: list[Logged]) -> Iterator[tuple[str, str]]:
    for one in log:
        for moved in one.action.moved:
            if moved.direction is Direction.TAKEN_OFF:
                # Where it lies is for the registrar's page alone (cautions 12).
                yield (
                    f"{moved.material}, {amount_text(moved)} (entry {one.action.number})",
                    moved.fate.value,
                )


def _batches(reader: Reader, dossier_id: str, names: _Names) -> Iterator[BatchRow]:
    for entry, batch in current_records(reader, dossier_id, "batch"):
        first = reader.history("batch", entry.subject_id)[0]
        yield BatchRow(
            number=batch.number,
            name=batch.name,
            make_up=tuple(made_of(batch)),
            made=f"{batch.made_on}, {names.who([first.author_id])}",
            comes_off=batch.removal_route,
        )


def _fragment(one: Fragment) -> FragmentRow:
    return FragmentRow(
        one.number,
        f"{one.found_where}, {one.found_on}",
        fragment_mass(one),
        one.stand.value,
        place_words(one),
    )


def _balance(ledger: Ledger) -> str:
    one = ledger.balance
    parts = [
        f"{one.bonded} bonded",
        f"{one.bagged} bagged",
        f"{one.sampled} sampled",
        f"{one.returned} returned",
        f"{one.missing} missing",
        f"{one.on_the_table} on the table",
    ]
    parts += [f"{one.struck} struck or withdrawn"] if one.struck else []
    return f"{one.numbered} numbered = {' + '.join(parts)}"


def _masses(ledger: Ledger) -> str:
    masses = ledger.masses
    said = [f"about {few_digits(masses.total_g, 3)} g weighed"] if masses.total_g else []
    said += [f"{stand.value} {few_digits(mass, 3)} g" for stand, mass in masses.by_stand_g]
    said += [f"{masses.not_weighed} not weighed"] if masses.not_weighed else []
    return "; ".join(said) or "nothing weighed"


def _bags(ledger: Ledger) -> Iterator[tuple[str, str, str]]:
    for entry, bag in ledger.bags:
        inside = [one.number for one in ledger.in_bag(entry.subject_id)]
        yield str(bag.number), fragments_named(inside), bag.not_placed_because


def _hidden(log: list[Logged], names: _Names) -> Iterator[HiddenFace]:
    for one in log:
        if one.action.hidden is not Hidden.YES:
            continue
        about = f"Entry {one.action.number}, {one.words}"
        shown = [names.views[each] for each in one.action.hidden_view_ids if each in names.views]
        yield from (HiddenFace(about, shown=view) for view in shown)
        if not shown:
            yield HiddenFace(about, one.action.hidden_because or "the image was withdrawn")


def _joins(reader: Reader, dossier_id: str) -> Iterator[tuple[str, str, str]]:
    made = joins_made(reader, dossier_id)
    for join in assembly_of(reader, dossier_id)[1].joins:
        after = f", after {', '.join(join.after)}" if join.after else ""
        yield (
            join.name,
            " + ".join(join.pieces),
            ("made" if join.name in made else "not made") + after,
        )


def _time(log: list[Logged]) -> Iterator[tuple[str, str]]:
    minutes: dict[str, float] = {}
    for one in log:
        if one.action.is_sorted and one.action.minutes is not None:
            task = action_words(one.action.action)
            minutes[task] = minutes.get(task, 0.0) + one.action.minutes * len(one.by_ids)
    for task, spent in minutes.items():
        yield task, f"about {spent / 60:.1f} h" if spent >= 60 else f"about {spent:.0f} min"
