"""Entries to keep, made with plain ids, for tests of stores."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from itertools import count
from typing import TYPE_CHECKING

from softmend.records.bookkeeping import Struck
from softmend.records.dossier import Dossier, Hazard, Identifier, Material, ObjectHead
from softmend.records.entry import Entry
from softmend.records.kinds import KINDS, kind_of
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.payload import payload_text

if TYPE_CHECKING:
    from softmend.services.store import Store

SHA_A, SHA_B = "a" * 64, "b" * 64
_serial = count(1)


def an_entry(dossier_id: str, subject_id: str, record: object, at_s: int = 0) -> Entry:
    kind = kind_of(record)
    return Entry(
        id=f"entry-{next(_serial):08d}",
        dossier_id=dossier_id,
        number=0,
        kind=kind,
        subject_id=subject_id,
        payload=payload_text(record),
        payload_version=KINDS[kind].version,
        payload_hash="",
        corrects=None,
        author_id="person-1",
        purpose="condition check",
        at=f"2026-03-02T09:{at_s // 60:02d}:{at_s % 60:02d}.250Z[Europe/Oslo]",
        previous_hash="",
    )


def an_opening(dossier_id: str, number: str = "INV 2026.14/3", at_s: int = 0) -> Entry:
    record = Dossier("antler beam", number, "an invented house", "cracked since the winter")
    return an_entry(dossier_id, dossier_id, record, at_s)


def a_head(dossier_id: str, title: str = "Beam of a sub-fossil deer") -> Entry:
    record = ObjectHead(
        title,
        owner="Müller family (invented)",
        identifiers=(Identifier("OLD-77", "a former house"),),
        materials=(Material("beam", "antler"), Material("fill", "polyester resin")),
    )
    return an_entry(dossier_id, dossier_id, record)


def a_mark(number: int, term: str = "crack", note: str = "not known") -> Mark:
    line = Geometry(Shape.LINE, (((10.0, 10.0), (200.0, 40.0)),))
    return Mark(number, term, (Sighting("view-1", line),), note_observed=note)


def a_hazard(name: str = "mould") -> Hazard:
    return Hazard(name)


def a_strike(dossier_id: str, kind: str, subject_id: str) -> Entry:
    return an_entry(dossier_id, subject_id, Struck(kind, "drawn twice"))


def append(store: Store, *entries: Entry) -> list[Entry]:
    with store.writing() as writer:
        kept = [writer.append(entry) for entry in entries]
        writer.commit()
    return kept
