"""An entry of a dossier's journal, its hash, and the chain that the hashes form."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from softmend.errors import RuleError
from softmend.records.canonical import canonical_json, sha256_text

FIRST_PREVIOUS_HASH = "0" * 64


@dataclass(frozen=True)
class Entry:
    """One thing recorded: who, when, why, about what, and what it said.

    `payload` is canonical JSON text, or None once its content has been withdrawn;
    `payload_hash` stands for it in the chain, so the chain still verifies afterwards.
    `at` is UTC with milliseconds and the bench's zone: "2026-03-02T09:15:30.250Z[Europe/Oslo]".
    """

    id: str
    dossier_id: str
    number: int
    kind: str
    subject_id: str
    payload: str | None
    payload_version: int
    payload_hash: str
    corrects: str | None
    author_id: str
    purpose: str
    at: str
    previous_hash: str
    hash: str = ""


@dataclass(frozen=True)
class Head:
    """The end of a dossier's chain: how many entries there are and the hash of the last."""

    dossier_id: str
    count: int
    hash: str


@dataclass(frozen=True)
class Finding:
    """One thing that a verification found: what, where, and how bad it is."""

    what: str
    where: str
    is_damage: bool


AT_PATTERN = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z\[[A-Za-z0-9_+\-/]+\]")


def entry_hash(entry: Entry) -> str:
    """Return SHA-256 over every field but `hash` and `payload`, whose own hash stands for it."""
    return sha256_text(
        canonical_json(
            {
                "id": entry.id,
                "dossier_id": entry.dossier_id,
                "number": entry.number,
                "kind": entry.kind,
                "subject_id": entry.subject_id,
                "payload_version": entry.payload_version,
                "payload_hash": entry.payload_hash,
                "corrects": entry.corrects,
                "author_id": entry.author_id,
                "purpose": entry.purpose,
                "at": entry.at,
                "previous_hash": entry.previous_hash,
            }
        )
    )


def next_entry(head: Head, draft: Entry) -> Entry:
    """Return `draft` numbered and chained behind `head`; rule 1: purpose, author and date."""
    for name, value in (
        ("a purpose", draft.purpose),
        ("an author", draft.author_id),
        ("a date", draft.at),
    ):
        if not value.strip():
            raise RuleError(f"Nothing is recorded without {name}", rule=1, remedy=f"Give {name}")
    if not AT_PATTERN.fullmatch(draft.at):
        raise RuleError("The time of an entry is not written as agreed", rule=1)
    if draft.payload is None:
        raise RuleError("An entry cannot be born without content", rule=14)
    chained = replace(
        draft,
        number=head.count + 1,
        previous_hash=head.hash,
        payload_hash=sha256_text(draft.payload),
    )
    return replace(chained, hash=entry_hash(chained))


def empty_head(dossier_id: str) -> Head:
    """Return the head of a dossier in which nothing is recorded yet."""
    return Head(dossier_id=dossier_id, count=0, hash=FIRST_PREVIOUS_HASH)


def chain_findings(
    dossier_id: str, entries: Iterable[Entry], withdrawn: frozenset[str] = frozenset()
) -> Iterator[Finding]:
    """Yield what is wrong in a chain of entries; `withdrawn` holds ids whose content was erased."""
    head = empty_head(dossier_id)
    for entry in entries:
        where = f"entry {entry.number} ({entry.kind})"
        if entry.number != head.count + 1:
            yield Finding(f"entry {head.count + 1} is missing", f"before {where}", True)
        if entry.previous_hash != head.hash:
            yield Finding("does not follow the entry before it", where, True)
        if entry.hash != entry_hash(entry):
            yield Finding("was changed after it was recorded", where, True)
        if entry.payload is None:
            if entry.id in withdrawn:
                yield Finding("withdrawn", where, False)
            else:
                yield Finding("content is missing and no withdrawal is recorded", where, True)
        elif sha256_text(entry.payload) != entry.payload_hash:
            yield Finding("content was changed after it was recorded", where, True)
        head = Head(dossier_id, entry.number, entry.hash)
