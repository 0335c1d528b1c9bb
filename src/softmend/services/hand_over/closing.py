"""Closing at the bench: the care sheet, what is still asked for, closing and opening again."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from softmend.records.bookkeeping import NotDone
from softmend.records.closing import (
    CareSheet,
    Closing,
    Finding,
    Reopened,
    check_can_close,
    check_date_finding,
    check_is_closed,
    checked_care,
    checked_closing,
    checked_reopening,
    copies_findings,
    deposit_findings,
    not_passed,
    unwarranted_fill,
)
from softmend.records.dossier import NOT_KNOWN, Size
from softmend.records.entry import Entry
from softmend.records.handover import HandOver
from softmend.records.passing import Passed, about_closing
from softmend.records.proposal import coating_finding
from softmend.services.bench import Author, Bench
from softmend.services.legal_flags import today_at
from softmend.services.next_steps import PAGE_OF_ITEM, Asked, asked_for
from softmend.services.passing import append_pass, passings_in
from softmend.services.propose.proposals import options_in, proposal_in
from softmend.services.recording import append_record, current_records, record_one
from softmend.services.store import Reader
from softmend.services.treat.fragments import ledger_of
from softmend.tables import table

AFTER = "after treatment"
PAGE_AT_CLOSING = {
    **PAGE_OF_ITEM,
    "photograph_after": "examine",
    "options": "propose",
    "consent": "propose",
    "log": "treat",
    "grade_after": "condition",
    "balance": "treat",
    "care": "return/care",
    "custody": "return/custody",
}


@dataclass(frozen=True)
class ClosingState:
    """What closing asks for and how it stands; `closed` is None while the dossier is open.

    `about` names this closing, as the passes for it do; those for an earlier one do not count.
    """

    about: str
    asked: tuple[Asked, ...]
    findings: tuple[Finding, ...]
    passed: tuple[tuple[int, str, str], ...]
    hand_overs: tuple[HandOver, ...]
    closed: Closing | None
    closing_entry_id: str
    reopened: tuple[Reopened, ...]

    @property
    def missing(self) -> list[Asked]:
        """Return what is neither there nor answered with "not done, because"."""
        return [one for one in self.asked if not one.is_there and not one.not_done_because]


def write_care(
    bench: Bench, author: Author, dossier_id: str, care: CareSheet, based_on: str
) -> Entry:
    """Record how the object is kept from now on; the next check date is part of it (rule 19)."""
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=dossier_id,
        record=checked_care(care, today_at(bench)),
        based_on=based_on,
    )


def care_in(reader: Reader, dossier_id: str) -> tuple[str, CareSheet | None]:
    """Return the care sheet and its entry, or ("", None)."""
    for entry, care in current_records(reader, dossier_id, "care"):
        return entry.id, care
    return "", None


def closing_state(reader: Reader, dossier_id: str) -> ClosingState:
    """Return what a dossier of its size asks for before closing, and what the rules find."""
    about = closing_about(reader, dossier_id)
    passings = passings_in(reader, dossier_id)
    hand_overs = [one for _, one in current_records(reader, dossier_id, "hand_over")]
    findings = [
        *_fills(reader, dossier_id),
        *_coating(reader, dossier_id),
        *check_date_finding(care_in(reader, dossier_id)[1]),
        *copies_findings(hand_overs),
        *deposit_findings(hand_overs, [entry.kind for entry in reader.entries(dossier_id)]),
    ]
    open_findings = not_passed(findings, passings, about)
    closed = _closed(reader, dossier_id)
    return ClosingState(
        about=about,
        asked=tuple(_asked(reader, dossier_id)),
        findings=tuple(open_findings),
        passed=tuple((one.rule, one.because, one.by) for one in passings if one.about == about),
        hand_overs=tuple(hand_overs),
        closed=closed[1] if closed else None,
        closing_entry_id=_newest_id(reader, dossier_id),
        reopened=tuple(one for _, one in current_records(reader, dossier_id, "reopened")),
    )


def closing_about(reader: Reader, dossier_id: str) -> str:
    """Return what a pass for the closing to come, or for the one that stands, is about."""
    return about_closing(len(reader.current(dossier_id, "reopened")) + 1)


def pass_at_closing(
    bench: Bench, author: Author, dossier_id: str, rule: int, because: str, by: str
) -> Entry:
    """Record that a named person closes although a rule is not met: this once."""
    with bench.store.writing() as writer:
        passed = Passed(rule, closing_about(writer, dossier_id), because.strip(), by.strip())
        entry = append_pass(bench, writer, author, dossier_id, passed)
        writer.commit()
    return entry


def close_dossier(
    bench: Bench, author: Author, dossier_id: str, closing: Closing, based_on: str
) -> Entry:
    """Close a dossier: everything its size asks for is there, answered, or passed by name."""
    checked = checked_closing(closing, today_at(bench))
    with bench.store.writing() as writer:
        state = closing_state(writer, dossier_id)
        check_can_close([one.asks for one in state.missing], state.findings)
        care = care_in(writer, dossier_id)[1]
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=dossier_id,
            record=replace(
                checked,
                next_check_on=care.next_check_on if care else NOT_KNOWN,
                copies_with=tuple(dict.fromkeys(one.to_whom for one in state.hand_overs)),
                deposit_hash=_newest_package(state.hand_overs),
            ),
            based_on=based_on,
        )
        writer.commit()
    return entry


def reopen_dossier(bench: Bench, author: Author, dossier_id: str, because: str) -> Entry:
    """Open a closed dossier again by a further entry; the closing stays to be read.

    What was passed for that closing is asked for again at the next.
    """
    reopened = checked_reopening(Reopened(because.strip()))
    with bench.store.writing() as writer:
        check_is_closed(is_closed=is_closed(writer, dossier_id))
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=bench.fresh_id(),
            record=reopened,
            based_on="",
        )
        writer.commit()
    return entry


def is_closed(reader: Reader, dossier_id: str) -> bool:
    """Say whether the dossier is closed now."""
    return _closed(reader, dossier_id) is not None


def _closed(reader: Reader, dossier_id: str) -> tuple[Entry, Closing] | None:
    for entry, closing in current_records(reader, dossier_id, "closing"):
        reopened = [one.number for one in reader.current(dossier_id, "reopened")]
        if entry.number > max(reopened, default=0):
            return entry, closing
    return None


def _newest_id(reader: Reader, dossier_id: str) -> str:
    newest = reader.latest("closing", dossier_id)
    return newest.id if newest else ""


def _asked(reader: Reader, dossier_id: str) -> list[Asked]:
    """Return what was asked from the start, then what is asked at closing."""
    size = current_records(reader, dossier_id, "dossier")[0][1].size
    column = {Size.NOTE: "note", Size.SHORT: "short", Size.FULL: "full"}[size]
    answers: dict[str, tuple[Entry, NotDone]] = {
        answer.asked: (entry, answer)
        for entry, answer in current_records(reader, dossier_id, "not_done")
    }
    has_date = care_in(reader, dossier_id)[1] is not None
    at_closing = []
    for row in table("minimum").rows:
        if row[column] != "yes" or row["closing"] != "yes":
            continue
        item = str(row["item"])
        answered = answers.get(item)
        at_closing.append(
            Asked(
                item=item,
                asks=str(row["asks"]),
                is_there=_AT_CLOSING[item](reader, dossier_id),
                not_done_entry_id=answered[0].id if answered else "",
                not_done_because=answered[1].because if answered else "",
            )
        )
    from_the_start = [
        # The care sheet's date of the next check stands for the examination's.
        replace(one, is_there=True) if one.item == "next_check" and has_date else one
        for one in asked_for(reader, dossier_id)
    ]
    return [*from_the_start, *at_closing]


def _fills(reader: Reader, dossier_id: str) -> list[Finding]:
    """Return what was filled without a warrant (rule 8); a plan's fill was asked for it.

    A warrant belongs to a mark: a fill that is logged at none, but at a zone or at a place in
    words, can have none until its entry names the mark.
    """
    planned = {
        number
        for _, fill in current_records(reader, dossier_id, "plan_fill")
        for number in fill.mark_numbers
    }
    log = [one for _, one in current_records(reader, dossier_id, "action")]
    filling = [one for one in log if one.action == "filling"]
    filled = {mark_id for one in filling for mark_id in one.mark_ids}
    marks = {
        entry.subject_id: mark.number for entry, mark in current_records(reader, dossier_id, "mark")
    }
    at_marks = [
        Finding(8, f"Mark {number} was filled and has no warrant", "propose/fills")
        for mark_id, number in marks.items()
        if mark_id in filled and number not in planned
    ]
    at_none = [
        Finding(8, unwarranted_fill(one.number, one.place), "treat")
        for one in filling
        if not set(one.mark_ids) & set(marks)
    ]
    return [*at_marks, *at_none]


def _coating(reader: Reader, dossier_id: str) -> list[Finding]:
    # A note on which nothing was done asks nothing of a coating.
    size = current_records(reader, dossier_id, "dossier")[0][1].size
    if size is Size.NOTE and not reader.current(dossier_id, "action"):
        return []
    sentence = coating_finding(proposal_in(reader, dossier_id)[1])
    return [Finding(11, sentence, "propose")] if sentence else []


def _is_graded_after_the_work(reader: Reader, dossier_id: str) -> bool:
    work = [entry.number for entry in reader.current(dossier_id, "action")]
    grades = [entry.number for entry in reader.current(dossier_id, "grade")]
    return max(grades, default=0) > max(work, default=0)


def _is_balanced(reader: Reader, dossier_id: str) -> bool:
    incidents = [one for _, one in current_records(reader, dossier_id, "incident")]
    on_the_table = ledger_of(reader, dossier_id).balance.on_the_table
    return on_the_table == 0 and not any(one.is_open for one in incidents)


def _is_care_told(care: CareSheet | None) -> bool:
    """Say whether the care sheet answers what practice asks of it; "not known" is no answer."""
    return care is not None and NOT_KNOWN not in (
        care.lift_points,
        care.handling,
        care.light,
        care.rh_band,
        care.dust,
        care.no_touch_zones,
    )


def _newest_package(hand_overs: tuple[HandOver, ...]) -> str:
    newest = max(hand_overs, key=lambda one: one.entry_count, default=None)
    return newest.package_hash if newest else ""


_AT_CLOSING: dict[str, Callable[[Reader, str], bool]] = {
    "photograph_after": lambda reader, dossier_id: any(
        view.stage == AFTER for _, view in current_records(reader, dossier_id, "view")
    ),
    "options": lambda reader, dossier_id: options_in(reader, dossier_id)[1].chosen != NOT_KNOWN,
    "consent": lambda reader, dossier_id: bool(reader.current(dossier_id, "consent")),
    "log": lambda reader, dossier_id: bool(reader.current(dossier_id, "action")),
    "grade_after": _is_graded_after_the_work,
    "balance": _is_balanced,
    "care": lambda reader, dossier_id: _is_care_told(care_in(reader, dossier_id)[1]),
    "custody": lambda reader, dossier_id: bool(reader.current(dossier_id, "custody")),
}
