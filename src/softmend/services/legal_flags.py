"""Legal and ethical flags: facts and dates, asked again after a year and at every loan."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from softmend.errors import InputError, StaleError
from softmend.records.custody import Way
from softmend.records.entry import Entry
from softmend.records.legal import LegalFlag, Loan, checked_flag, human_caution, stale_law
from softmend.records.passing import Passed, passing_of
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import opened
from softmend.services.numbered import record_numbered
from softmend.services.passing import append_pass, passings_in
from softmend.services.recording import current_records
from softmend.services.store import Reader

ABOUT_REMAINS = "possibly human"


@dataclass(frozen=True)
class FlagLine:
    """One flag as it is shown: `stale_because` is empty while it is fresh."""

    entry: Entry
    flag: LegalFlag
    stale_because: str


@dataclass(frozen=True)
class Kept:
    """One flag that keeps the object from its next way out: `about` is what a pass is about."""

    flag: LegalFlag
    because: str
    about: str


def today_at(bench: Bench) -> date:
    """Return the date on this bench's wall."""
    return bench.clock().astimezone(ZoneInfo(bench.zone)).date()


def record_flag(
    bench: Bench,
    author: Author,
    dossier_id: str,
    flag: LegalFlag,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record one flag, dated and signed (rule 17)."""
    checked = checked_flag(flag, today_at(bench))
    return record_numbered(
        bench, author, dossier_id, checked, subject_id=subject_id, based_on=based_on
    )


def record_loan(bench: Bench, author: Author, dossier_id: str, loan: Loan) -> Entry:
    """Record a loan or another way out: every law field is asked again."""
    if not loan.to_whom.strip():
        raise InputError("A loan needs to whom it goes")
    return record_numbered(bench, author, dossier_id, loan)


def flags_in(reader: Reader, dossier_id: str, today: date) -> list[FlagLine]:
    """Return every flag with why it must be asked again, or "" while it is fresh."""
    loans = current_records(reader, dossier_id, "loan")
    return [
        FlagLine(
            entry,
            flag,
            stale_law(flag, today, [loan for sent, loan in loans if sent.number > entry.number]),
        )
        for entry, flag in current_records(reader, dossier_id, "legal_flag")
    ]


def kept_by_law(reader: Reader, dossier_id: str, today: date) -> list[Kept]:
    """Return the flags that are stale for the object's next way out and that nobody passed.

    Every flag is asked again for every loan and exit (rule 17): one that was checked before the
    object last left is stale for its next way out, however young. A pass holds for one exit.
    """
    exits = [
        (entry.number, receipt)
        for entry, receipt in current_records(reader, dossier_id, "custody")
        if receipt.way is Way.OUT
    ]
    passings = passings_in(reader, dossier_id)
    kept = []
    for line in flags_in(reader, dossier_id, today):
        left = [out for number, out in exits if number > line.entry.number]
        because = line.stale_because
        if not because and left:
            because = (
                f"checked on {line.flag.checked_on}, and receipt {left[-1].number} went out since"
            )
        about = f"flag {line.flag.number}, way out {len(exits) + 1}"
        if because and passing_of(passings, 17, about) is None:
            kept.append(Kept(line.flag, because, about))
    return kept


def refuse_while_law_is_stale(reader: Reader, dossier_id: str, today: date) -> None:
    """Refuse to let the object go while a flag is stale for this way out (rule 17)."""
    kept = kept_by_law(reader, dossier_id, today)
    if kept:
        flags = "; ".join(f"flag {one.flag.number}, {one.because}" for one in kept)
        raise StaleError(
            "The law is to be asked again before this goes out",
            value=flags,
            remedy="Check each flag and record it anew under Law and ethics; or a named person "
            "passes the rule there, with a printed reason, for this way out",
        )


def let_go(bench: Bench, author: Author, dossier_id: str, because: str, by: str) -> list[Entry]:
    """Record that a named person lets the object go this once although flags are stale."""
    with bench.store.writing() as writer:
        entries = [
            append_pass(bench, writer, author, dossier_id, Passed(17, one.about, because, by))
            for one in kept_by_law(writer, dossier_id, today_at(bench))
        ]
        writer.commit()
    return entries


def remains_caution(reader: Reader, dossier_id: str) -> str:
    """Return why thumbnails and public packages are off (rule 16), or "" when they are not.

    Backup, verify and a deposit to a named custodian do not ask. A named person may pass it.
    """
    if passing_of(passings_in(reader, dossier_id), 16, ABOUT_REMAINS):
        return ""
    flags = [flag for _, flag in current_records(reader, dossier_id, "legal_flag")]
    return human_caution(flags, opened(reader, dossier_id).object_head.materials)
