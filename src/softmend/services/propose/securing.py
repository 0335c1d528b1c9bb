"""Secure now: what may be done before consent, with its image and the day the owner is told."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

from softmend.errors import InputError, RuleError
from softmend.records.entry import Entry
from softmend.records.securing import Securing, checked_securing, is_owner_waiting
from softmend.records.wet_step import NOT_SAFE, Way
from softmend.services.bench import Author, Bench
from softmend.services.numbered import append_numbered
from softmend.services.propose.removing_gate import refuse_locked_words
from softmend.services.propose.wet_steps import before_wet_in, locked_for
from softmend.services.recording import current_record, current_records
from softmend.services.store import Reader


def record_securing(
    bench: Bench,
    author: Author,
    dossier_id: str,
    securing: Securing,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record one thing secured; a wet facing passes the same lock as all wet work."""
    checked = checked_securing(securing)
    with bench.store.writing() as writer:
        _refuse_unknown_view(writer, dossier_id, checked.view_number)
        if checked.is_wet:
            _refuse_locked(writer, dossier_id)
        refuse_locked_words(writer, dossier_id, [checked.with_what])
        entry = append_numbered(
            bench, writer, author, dossier_id, checked, subject_id=subject_id, based_on=based_on
        )
        writer.commit()
    return entry


def tell_owner(
    bench: Bench, author: Author, dossier_id: str, subject_id: str, told_on: str, based_on: str
) -> Entry:
    """Record that the owner was told of a securing."""
    if not told_on.strip():
        raise InputError("Say on which day the owner was told")
    with bench.store.writing() as writer:
        _, securing = current_record(writer, dossier_id, "securing", subject_id)
        entry = append_numbered(
            bench,
            writer,
            author,
            dossier_id,
            replace(securing, owner_told_on=told_on.strip()),
            subject_id=subject_id,
            based_on=based_on,
        )
        writer.commit()
    return entry


def securings_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, Securing]]:
    """Return what was secured, in order of number."""
    return current_records(reader, dossier_id, "securing")


def owners_to_tell(reader: Reader, dossier_id: str) -> list[Securing]:
    """Return the securings that the owner has still to be told of, the nearest day first."""
    waiting = [one for _, one in securings_in(reader, dossier_id) if is_owner_waiting(one)]
    return sorted(waiting, key=lambda one: one.owner_told_by_on)


def _refuse_locked(reader: Reader, dossier_id: str) -> None:
    material = locked_for(reader, dossier_id)
    if material and before_wet_in(reader, dossier_id)[1].way is Way.LOCKED:
        raise RuleError(
            f"A wet facing is wet work, and it is locked: {material}",
            remedy=f"Face dry, or open the lock by name. {NOT_SAFE}",
        )


def _refuse_unknown_view(reader: Reader, dossier_id: str, number: int | None) -> None:
    numbers = [view.number for _, view in current_records(reader, dossier_id, "view")]
    if number is not None and number not in numbers:
        raise InputError(
            "There is no view of that number in this dossier",
            value=number,
            allowed=", ".join(map(str, numbers)) or "none is there",
            remedy="Bring the photograph in first, or say why there is none",
        )
