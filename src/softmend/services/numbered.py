"""Numbered records: a number is given once, inside the transaction, and kept for ever."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Any

from softmend.records.entry import Entry
from softmend.records.kinds import kind_of
from softmend.services.bench import Author, Bench
from softmend.services.recording import append_record, current_record
from softmend.services.store import Writer


def human_number(writer: Writer, dossier_id: str, kind: str, subject_id: str) -> int:
    """Return the number that a subject has for ever, or the next one for a new subject."""
    if not subject_id or not writer.history(kind, subject_id):
        return writer.next_number(dossier_id, kind)
    _, standing = current_record(writer, dossier_id, kind, subject_id)
    number: int = standing.number
    return number


def append_numbered(
    bench: Bench,
    writer: Writer,
    author: Author,
    dossier_id: str,
    record: Any,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Append a record that carries a number: a new one gets the next, an old one keeps its own."""
    writer.head(dossier_id)
    number = human_number(writer, dossier_id, kind_of(record), subject_id)
    return append_record(
        bench,
        writer,
        author,
        dossier_id=dossier_id,
        subject_id=subject_id or bench.fresh_id(),
        record=replace(record, number=number),
        based_on=based_on,
    )


def record_numbered(
    bench: Bench,
    author: Author,
    dossier_id: str,
    record: Any,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record something that carries a number in a transaction of its own."""
    with bench.store.writing() as writer:
        entry = append_numbered(
            bench, writer, author, dossier_id, record, subject_id=subject_id, based_on=based_on
        )
        writer.commit()
    return entry
