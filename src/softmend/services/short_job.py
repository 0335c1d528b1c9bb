"""The short job: one option beside doing nothing, and the one print that holds the whole of it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from importlib.resources import as_file, files
from pathlib import Path

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.proposal import NOTHING, Option, PlanStep, checked_options, checked_step
from softmend.records.view import View
from softmend.report.content import ConditionReport
from softmend.report.proposal_report import ProposalReport
from softmend.report.treatment_report import TreatmentReport
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.deposit.plain_copy import carrying_copy
from softmend.services.examine.printing import pictures_of
from softmend.services.examine.report_content import condition_report
from softmend.services.examine.views import describe_view, import_photograph
from softmend.services.hand_over.closing import AFTER, ClosingState, closing_state
from softmend.services.next_steps import Asked
from softmend.services.numbered import append_numbered
from softmend.services.propose.proposal_content import proposal_report
from softmend.services.propose.proposals import options_in
from softmend.services.recording import (
    append_record,
    append_strike,
    current_record,
    current_records,
)
from softmend.services.store import Reader, Writer
from softmend.services.treat.seats_printed import treatment_pictures, with_seats
from softmend.services.treat.treatment_content import treatment_report
from softmend.services.treat.treatment_words import action

AFTER_THE_CONDITION = ("photograph_after", "options", "consent", "log")


@dataclass(frozen=True)
class OneOption:
    """What a short job proposes: one thing to do beside doing nothing, and which was chosen.

    The thing to do becomes the one step of the plan; it is not written while nothing is chosen.
    """

    nothing_result: str
    nothing_risk: str
    what: str
    action_id: str
    result: str
    risk: str
    stop_rule: str
    is_chosen: bool
    because: str


def one_option_in(reader: Reader, dossier_id: str) -> tuple[str, OneOption | None]:
    """Return the option of a short job and the entry of its options; None before it is written.

    A proposal that has more than one option or step belongs to the pages of Propose.
    """
    entry_id, options = options_in(reader, dossier_id)
    if not entry_id:
        return "", None
    option = options.fuller[0] if options.fuller else Option("")
    step = next((one for _, one in current_records(reader, dossier_id, "plan_step")), None)
    return entry_id, OneOption(
        nothing_result=options.nothing.result,
        nothing_risk=options.nothing.risk,
        what=option.name,
        action_id=step.action_id if step else "",
        result=option.result,
        risk=option.risk,
        stop_rule=step.stop_rule if step else "",
        is_chosen=options.chosen not in (NOT_KNOWN, NOTHING),
        because=options.chosen_because,
    )


def write_one_option(
    bench: Bench, author: Author, dossier_id: str, said: OneOption, based_on: str
) -> Entry:
    """Record the option beside “do nothing”, the choice, and the one step, in one transaction."""
    if not said.what.strip():
        raise InputError("The option needs what would be done", remedy="Say it in a sentence")
    action(said.action_id)
    with bench.store.writing() as writer:
        writer.head(dossier_id)
        _refuse_more_than_one(writer, dossier_id)
        _entry_id, held = options_in(writer, dossier_id)
        option = Option(said.what.strip(), said.result, said.risk)
        options = replace(
            held,
            nothing=replace(held.nothing, result=said.nothing_result, risk=said.nothing_risk),
            fuller=(option,),
            chosen=option.name if said.is_chosen else NOTHING,
            chosen_because=said.because,
        )
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=dossier_id,
            record=checked_options(options),
            based_on=based_on,
        )
        _write_step(bench, writer, author, dossier_id, said)
        writer.commit()
    return entry


def _write_step(
    bench: Bench, writer: Writer, author: Author, dossier_id: str, said: OneOption
) -> None:
    standing = next(iter(current_records(writer, dossier_id, "plan_step")), None)
    if not said.is_chosen:
        if standing is not None:
            append_strike(
                bench,
                writer,
                author,
                dossier_id=dossier_id,
                kind="plan_step",
                subject_id=standing[0].subject_id,
                because=f"“{NOTHING}” was chosen",
                based_on=standing[0].id,
            )
        return
    step = checked_step(PlanStep(0, said.action_id, said.what.strip(), said.stop_rule))
    append_numbered(
        bench,
        writer,
        author,
        dossier_id,
        replace(step, aims=action(said.action_id).aims),
        subject_id=standing[0].subject_id if standing else "",
        based_on=standing[0].id if standing else "",
    )


def _refuse_more_than_one(reader: Reader, dossier_id: str) -> None:
    _entry_id, held = options_in(reader, dossier_id)
    steps = len(current_records(reader, dossier_id, "plan_step"))
    if len(held.fuller) > 1 or steps > 1:
        raise InputError(
            "This proposal has more than one option or step",
            value=f"{len(held.fuller)} options, {steps} steps",
            allowed="one of each on this screen",
            remedy="Change it under Propose",
        )


def bring_in_after(
    bench: Bench, author: Author, dossier_id: str, source: Path, original_name: str
) -> Entry:
    """Bring in the photograph of the state after the work, and say that it is one."""
    entry = import_photograph(bench, author, dossier_id, source, original_name)
    with bench.store.reading() as reader:
        _, view = current_record(reader, dossier_id, "view", entry.subject_id)
    told: View = replace(view, shows="after the work", stage=AFTER)
    if view.taken_on == NOT_KNOWN:
        told = replace(told, taken_on=bench_day(bench))
    return describe_view(bench, author, dossier_id, entry.subject_id, told, entry.id)


def asked_of_a_short_job(reader: Reader, dossier_id: str) -> list[Asked]:
    """Return what a short job still asks for after its condition: option, consent, log, after."""
    state: ClosingState = closing_state(reader, dossier_id)
    return [one for one in state.asked if one.item in AFTER_THE_CONDITION]


def short_job_reports(
    bench: Bench, dossier_id: str
) -> tuple[ConditionReport, ProposalReport, TreatmentReport, dict[str, bytes]]:
    """Return the three reports that a short job is printed from, and the pictures they show."""
    with bench.store.reading() as reader:
        condition = carrying_copy(reader, dossier_id, condition_report(reader, dossier_id))
        proposal = proposal_report(reader, dossier_id)
        treatment = treatment_report(reader, dossier_id)
    treatment = with_seats(bench, dossier_id, treatment)
    pictures = treatment_pictures(bench, dossier_id, treatment) | pictures_of(bench, condition)
    return condition, proposal, treatment, pictures


def print_short_job(bench: Bench, dossier_id: str) -> bytes:
    """Return the whole short job as one archival PDF; the same dossier gives the same bytes."""
    from softmend.report.short_report import short_report_pdf

    reports = short_job_reports(bench, dossier_id)
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return short_report_pdf(*reports, fonts)
