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
    kind = kind_of(record)
    writer.head(dossier_id)
    if subject_id and writer.history(kind, subject_id):
        _, before = current_record(writer, dossier_id, kind, subject_id)
        number = before.number
    else:
        number = writer.next_number(dossier_id, kind)
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
