"""Legal and ethical flags: facts and dates, asked again after a year and at every loan."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from softmend.errors import InputError
from softmend.records.entry import Entry
from softmend.records.legal import LegalFlag, Loan, checked_flag, human_caution, stale_law
from softmend.records.passing import passing_of
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import opened
from softmend.services.numbered import record_numbered
from softmend.services.passing import passings_in
from softmend.services.recording import current_records
from softmend.services.store import Reader

ABOUT_REMAINS = "possibly human"


@dataclass(frozen=True)
class FlagLine:
    """One flag as it is shown: `stale_because` is empty while it is fresh."""

    entry: Entry
    flag: LegalFlag
    stale_because: str


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


def remains_caution(reader: Reader, dossier_id: str) -> str:
    """Return why thumbnails and public packages are off (rule 16), or "" when they are not.

    Backup, verify and a deposit to a named custodian do not ask. A named person may pass it.
    """
    if passing_of(passings_in(reader, dossier_id), 16, ABOUT_REMAINS):
        return ""
    flags = [flag for _, flag in current_records(reader, dossier_id, "legal_flag")]
    return human_caution(flags, opened(reader, dossier_id).object_head.materials)
