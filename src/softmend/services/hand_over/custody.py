"""Custody at the bench: receipts written, their signed papers named, what is still out."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.custody import (
    Receipt,
    Way,
    check_correction,
    checked_receipt,
    is_overdue,
)
from softmend.records.entry import Entry
from softmend.services.bench import Author, Bench
from softmend.services.legal_flags import refuse_while_law_is_stale, today_at
from softmend.services.numbered import record_numbered
from softmend.services.recording import current_record, current_records
from softmend.services.store import Reader


@dataclass(frozen=True)
class ReceiptLine:
    """One receipt as it is shown: whether what it is about should have gone back by now."""

    entry: Entry
    receipt: Receipt
    is_overdue: bool


def write_receipt(
    bench: Bench,
    author: Author,
    dossier_id: str,
    receipt: Receipt,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record one receipt; what was signed for is never rewritten.

    Nothing goes out while a law flag is stale for this way out (rule 17).
    """
    today = today_at(bench)
    checked = checked_receipt(receipt, today)
    with bench.store.reading() as reader:
        _check_paper(reader, dossier_id, receipt)
        went = Way.IN
        if subject_id:
            _, before = current_record(reader, dossier_id, "custody", subject_id)
            check_correction(before, receipt)
            went = before.way
        if checked.way is Way.OUT and went is not Way.OUT:
            refuse_while_law_is_stale(reader, dossier_id, today)
    return record_numbered(
        bench, author, dossier_id, checked, subject_id=subject_id, based_on=based_on
    )


def receipts_in(bench: Bench, reader: Reader, dossier_id: str) -> list[ReceiptLine]:
    """Return every receipt in order of its number."""
    today = today_at(bench)
    return [
        ReceiptLine(entry, receipt, is_overdue(receipt, today))
        for entry, receipt in current_records(reader, dossier_id, "custody")
    ]


def receipt_numbered(reader: Reader, dossier_id: str, number: int) -> Receipt:
    """Return one receipt by its number; InputError when there is none."""
    for _, receipt in current_records(reader, dossier_id, "custody"):
        if receipt.number == number:
            found: Receipt = receipt
            return found
    raise InputError("There is no receipt of that number", value=number)


def _check_paper(reader: Reader, dossier_id: str, receipt: Receipt) -> None:
    numbers = [paper.number for _, paper in current_records(reader, dossier_id, "paper")]
    if receipt.paper_number is not None and receipt.paper_number not in numbers:
        raise InputError(
            "There is no paper of that number in this dossier",
            value=receipt.paper_number,
            allowed=", ".join(str(number) for number in numbers) or "none yet",
            remedy="Attach the signed receipt first",
        )
