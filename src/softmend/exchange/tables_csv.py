"""Records as CSV: one table a kind, made from the record's own fields, so that none is left out.

Source: rfc4180, section 2; UTF-8, comma, CRLF, one header line.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import fields
from typing import Any

from softmend.records.canonical import canonical_json, number_text
from softmend.records.entry import Entry
from softmend.records.payload import as_plain

# A spreadsheet takes a cell that begins so for a formula; what somebody wrote must not run there.
_RUNS = ("=", "+", "-", "@", "\t", "\r")


def table_csv(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> bytes:
    """Return a table as CSV; None is an empty cell, lists and nested values are JSON text."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([cell(value) for value in row] for row in rows)
    return text.getvalue().encode()


def records_csv(record: type, rows: Iterable[tuple[Entry, Any]]) -> bytes:
    """Return every current record of one kind, a row each, with the entry that it stands in."""
    names = [field.name for field in fields(record)]
    return table_csv(
        ["subject_id", "entry_number", *names],
        (
            [entry.subject_id, entry.number, *(getattr(said, name) for name in names)]
            for entry, said in rows
        ),
    )


def cell(value: Any) -> str:
    """Return one value as a cell; a text that a spreadsheet would run gets a leading quote."""
    plain = as_plain(value)
    if plain is None:
        return ""
    if isinstance(plain, bool):
        return "true" if plain else "false"
    if isinstance(plain, int | float):
        return number_text(plain)
    text = plain if isinstance(plain, str) else canonical_json(plain)
    return f"'{text}" if text.startswith(_RUNS) else text
