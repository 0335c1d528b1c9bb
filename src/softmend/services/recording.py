"""Recording: one entry at a time, never over somebody else's newer one."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from typing import Any

from softmend.errors import ConflictError, NotFoundError, RuleError
from softmend.records.answers import refuse_blank_answers
from softmend.records.bookkeeping import Struck
from softmend.records.closing import check_is_open
from softmend.records.entry import Entry
from softmend.records.kinds import KINDS, kind_of, record_in
from softmend.records.payload import as_plain, payload_text
from softmend.services.bench import Author, Bench
from softmend.services.store import Reader, Writer

ONE_WAY = frozenset(
    {
        *("action", "batch", "fragment", "bag", "incident", "assembly", "body_zone", "on_zone"),
        *("plan_step", "plan_material", "plan_fill", "plan_removal", "consent", "wording_noted"),
        *("securing", "before_wet", "passed", "legal_flag", "loan", "custody", "hand_over"),
        *("spot_test", "spot_decision", "patch_grid", "lock_override", "solvent_turned_on"),
        *("closing", "reopened", "sheet_back", "withdrawal"),
    }
)
"""Kinds whose past stays past: each step has rules of its own."""


def append_record(
    bench: Bench,
    writer: Writer,
    author: Author,
    *,
    dossier_id: str,
    subject_id: str,
    record: object,
    based_on: str,
) -> Entry:
    """Append a record inside an open transaction; `based_on` is the entry its author last saw.

    A new subject is based on "". ConflictError when another entry stands there by now.
    """
    kind = kind_of(record)
    refuse_blank_answers(record)
    _refuse_if_closed(writer, dossier_id, kind)
    standing = writer.latest(kind, subject_id)
    _refuse_if_newer(standing, based_on, record)
    corrects = standing.id if standing else None
    return writer.append(_entry(bench, author, dossier_id, subject_id, record, corrects=corrects))


def record_one(
    bench: Bench,
    author: Author,
    *,
    dossier_id: str,
    subject_id: str,
    record: object,
    based_on: str,
) -> Entry:
    """Record one thing in a transaction of its own."""
    with bench.store.writing() as writer:
        writer.head(dossier_id)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=subject_id,
            record=record,
            based_on=based_on,
        )
        writer.commit()
    return entry


def strike(
    bench: Bench,
    author: Author,
    *,
    dossier_id: str,
    kind: str,
    subject_id: str,
    because: str,
    based_on: str,
) -> Entry:
    """Take a record out of the current state, with a reason; its number is never used again."""
    with bench.store.writing() as writer:
        entry = append_strike(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            kind=kind,
            subject_id=subject_id,
            because=because,
            based_on=based_on,
        )
        writer.commit()
    return entry


def append_strike(
    bench: Bench,
    writer: Writer,
    author: Author,
    *,
    dossier_id: str,
    kind: str,
    subject_id: str,
    because: str,
    based_on: str,
) -> Entry:
    """Strike a record inside an open transaction."""
    if not because.strip():
        raise RuleError("Nothing is struck without a reason", rule=3, remedy="Say why")
    _refuse_if_closed(writer, dossier_id, "struck")
    standing, _ = current_record(writer, dossier_id, kind, subject_id)
    struck = Struck(kind, because)
    _refuse_if_newer(standing, based_on, struck)
    return writer.append(
        _entry(bench, author, dossier_id, subject_id, struck, corrects=standing.id)
    )


def restore(
    bench: Bench, author: Author, *, dossier_id: str, entry_id: str, based_on: str
) -> Entry:
    """Bring back an earlier state of a subject as a further entry; nothing is removed.

    What goes one way is corrected with its reason instead, under its own rules (rules 2 to 8).
    A zone goes through `restoring.bring_back`, which cuts it to what is drawn today.
    """
    with bench.store.reading() as reader:
        earlier = reader.entry(entry_id)
    if earlier.dossier_id != dossier_id or earlier.kind == "struck":
        raise NotFoundError("There is no earlier state of that name in this dossier")
    if earlier.kind in ONE_WAY:
        raise RuleError(
            f"A record of this kind is not brought back: {earlier.kind}",
            rule=3,
            remedy="Open it and record the correction with its reason",
        )
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=earlier.subject_id,
        record=record_in(earlier),
        based_on=based_on,
    )


def current_record(
    reader: Reader, dossier_id: str, kind: str, subject_id: str
) -> tuple[Entry, Any]:
    """Return the newest entry of a subject and the record in it; NotFoundError when struck."""
    entry = reader.latest(kind, subject_id)
    if entry is None or entry.kind == "struck" or entry.dossier_id != dossier_id:
        raise NotFoundError(f"There is no such {kind.replace('_', ' ')} in this dossier")
    return entry, record_in(entry)


def current_records(reader: Reader, dossier_id: str, kind: str) -> list[tuple[Entry, Any]]:
    """Return every current record of a kind whose content was not withdrawn, with its entry."""
    return [
        (entry, record_in(entry))
        for entry in reader.current(dossier_id, kind)
        if entry.payload is not None
    ]


def _entry(
    bench: Bench,
    author: Author,
    dossier_id: str,
    subject_id: str,
    record: object,
    *,
    corrects: str | None,
) -> Entry:
    kind = kind_of(record)
    # Number, payload hash and chain are given by the store, inside the transaction.
    return Entry(
        id=bench.fresh_id(),
        dossier_id=dossier_id,
        number=0,
        kind=kind,
        subject_id=subject_id,
        payload=payload_text(record),
        payload_version=KINDS[kind].version,
        payload_hash="",
        corrects=corrects,
        author_id=author.person_id,
        purpose=author.purpose,
        at=bench.at(),
        previous_hash="",
    )


def _refuse_if_closed(reader: Reader, dossier_id: str, kind: str) -> None:
    closing = reader.latest("closing", dossier_id)
    if closing is not None:
        reopened = [entry.number for entry in reader.current(dossier_id, "reopened")]
        check_is_open(kind, closing.number, max(reopened, default=0))


def _refuse_if_newer(standing: Entry | None, based_on: str, record: object) -> None:
    standing_id = standing.id if standing else ""
    if standing_id == based_on:
        return
    theirs = json.loads(standing.payload) if standing and standing.payload else None
    raise ConflictError(
        "Somebody recorded something newer on this since you opened it; nothing was written",
        yours=as_plain(record),
        theirs=theirs,
        standing_id=standing_id,
        remedy="Look at both versions and record again on the newer one",
    )
