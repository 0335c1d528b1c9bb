"""What a treatment proposal says, gathered from a dossier at one moment, and its prints."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from importlib.resources import as_file, files

from softmend import __version__
from softmend.records.consent import Plan, Standing, hash_of, hash_of_points, wording
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.report.content import ConditionReport, Provenance
from softmend.report.proposal_report import AreaRow, ProposalReport
from softmend.services.bench import Bench
from softmend.services.deposit.plain_copy import carrying_copy
from softmend.services.dossiers import opened
from softmend.services.examine.quantities import mark_quantities, scales_in, zone_area
from softmend.services.examine.report_content import flag_rows
from softmend.services.examine.vocabulary import term
from softmend.services.explain.coating_page import kept_coatings
from softmend.services.explain.fill_design import designs_in
from softmend.services.explain.joins_page import kept_joins
from softmend.services.hand_over.place_print import coat_shown, coat_working
from softmend.services.passing import passed_rows
from softmend.services.people import names_in
from softmend.services.propose.consents import standings_in
from softmend.services.propose.hours_shown import estimate_shown
from softmend.services.propose.proposals import PLAN_KINDS, missing_in, plan_in
from softmend.services.propose.removing_shown import removal_shown
from softmend.services.propose.securing import securings_in
from softmend.services.propose.tint_printed import tints_shown
from softmend.services.propose.wet_steps import wet_step_findings
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.services.treat.treatment_words import actions, removal_routes

_WRITTEN = frozenset({"options", "proposal", *PLAN_KINDS})


@dataclass(frozen=True)
class PointsShown:
    """The listed points as a page asks for consent to them, and every answer so far."""

    plan: Plan
    points_hash: str
    actions: dict[str, str]
    areas: tuple[AreaRow, ...]
    standings: tuple[Standing, ...]


def points_shown(reader: Reader, dossier_id: str) -> PointsShown:
    """Return what a consent is asked for, without the rest of the proposal."""
    plan = plan_in(reader, dossier_id)
    return PointsShown(
        plan=plan,
        points_hash=hash_of_points(plan),
        actions=_action_names(),
        areas=tuple(_areas(reader, dossier_id, plan)),
        standings=tuple(standings_in(reader, dossier_id, plan)),
    )


def _action_names() -> dict[str, str]:
    return {one.action_id: one.action for one in actions().values()}


def proposal_report(reader: Reader, dossier_id: str) -> ProposalReport:
    """Return everything that a dossier's treatment proposal says."""
    journal = reader.entries(dossier_id)
    plan = plan_in(reader, dossier_id)
    designs, workings = designs_in(reader, dossier_id)
    coatings, joins = kept_coatings(reader, dossier_id), kept_joins(reader, dossier_id)
    works = [*(one.work for one in coatings), *(one.work for one in joins)]
    tints = tints_shown(reader, dossier_id)
    works += [work for one in tints for work in one.works]
    works.append(coat_working(reader, dossier_id))
    return ProposalReport(
        about=_about(reader, dossier_id, journal),
        plan=plan,
        points_hash=hash_of_points(plan),
        wording_hash=hash_of(wording(plan)),
        based_on=_condition_report(journal),
        actions=_action_names(),
        routes={route: words for route, (words, _) in removal_routes().items()},
        areas=tuple(_areas(reader, dossier_id, plan)),
        securings=tuple(one for _, one in securings_in(reader, dossier_id)),
        owed_before_wet=wet_step_findings(reader, dossier_id),
        standings=tuple(standings_in(reader, dossier_id, plan)),
        missing=tuple(one.sentence for one in missing_in(reader, dossier_id, plan)),
        removal=removal_shown(reader, dossier_id),
        estimate=estimate_shown(reader, dossier_id),
        designs=designs,
        workings=(*workings, *(work for work in works if work is not None)),
        coatings=coatings,
        joins=joins,
        tints=tints,
        climate=coat_shown(reader, dossier_id),
    )


def print_proposal(bench: Bench, dossier_id: str) -> bytes:
    """Return the treatment proposal as an archival PDF; the same dossier gives the same bytes."""
    from softmend.report.proposal_pdf import treatment_proposal_pdf

    with bench.store.reading() as reader:
        report = proposal_report(reader, dossier_id)
        report = replace(report, about=carrying_copy(reader, dossier_id, report.about))
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return treatment_proposal_pdf(report, fonts)


def proposal_as_text(bench: Bench, dossier_id: str) -> dict[str, str]:
    """Return every section of the proposal as text, to be copied."""
    from softmend.report.proposal_pdf import proposal_text

    with bench.store.reading() as reader:
        return proposal_text(proposal_report(reader, dossier_id))


def _about(reader: Reader, dossier_id: str, journal: list[Entry]) -> ConditionReport:
    dossier = opened(reader, dossier_id)
    written = [entry for entry in journal if entry.kind in _WRITTEN]
    names = names_in(reader)
    authors = dict.fromkeys(names[entry.author_id] for entry in written)
    return ConditionReport(
        dossier=dossier.dossier,
        provenance=Provenance(
            head_hash=dossier.head.hash,
            entry_count=dossier.head.count,
            newest_at=journal[-1].at,
            software_version=__version__,
        ),
        examined_by=", ".join(authors) or "not known",
        version=len(written) or 1,
        object_head=dossier.object_head,
        hazards=tuple(hazard for _, _, hazard in dossier.hazards),
        flags=flag_rows(reader, dossier_id),
        passings=passed_rows(reader, dossier_id),
    )


def _condition_report(journal: list[Entry]) -> str:
    told = [entry for entry in journal if entry.kind == "examination"]
    if not told:
        return "no examination is recorded"
    examined_on = record_in(told[-1]).examined_on if told[-1].payload else "not known"
    return f"condition report, version {len(told)}, examined on: {examined_on}"


def _areas(reader: Reader, dossier_id: str, plan: Plan) -> Iterator[AreaRow]:
    scales = scales_in(reader, dossier_id)
    for _, mark in current_records(reader, dossier_id, "mark"):
        if f"mark {mark.number}" in plan.outlines:
            found = mark_quantities(mark, scales)
            sizes = dict.fromkeys(
                f"{one.name} {one.text}" if one.runs else one.text for one in found
            )
            size = ", ".join(sizes) or "a point"
            yield AreaRow(f"Mark {mark.number}", term(mark.term_id).term, size)
    for kind, words in (("body_zone", "body zone"), ("on_zone", "zone on the body")):
        for _, zone in current_records(reader, dossier_id, kind):
            if f"{words} {zone.number}" in plan.outlines:
                what = zone.body if kind == "body_zone" else zone.on_it
                area = zone_area(zone, scales)
                yield AreaRow(f"Zone {zone.name}", f"{words}: {what.value}", area.text)
