"""Dossiers: make one with three facts and a size, list and search, describe the object."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace

from softmend.errors import InputError, RuleError
from softmend.records.dossier import Dossier, Hazard, HazardStatus, ObjectHead, Size
from softmend.records.entry import Entry, Head
from softmend.services.bench import Author, Bench
from softmend.services.recording import (
    append_record,
    current_record,
    current_records,
    record_one,
)
from softmend.services.store import DossierRow, Reader

# Organic collections were routinely treated with pesticides and only a test shows it
# (practice.md 2.8), so these stand on every dossier as "not tested" until somebody answers.
ALWAYS_ASKED = ("pesticide residues", "lead or asbestos in old fills", "radioactivity", "mould")

_SIZE_ORDER = (Size.NOTE, Size.SHORT, Size.FULL)


@dataclass(frozen=True)
class OpenDossier:
    """A dossier as its pages show it: opening, head of the object, hazards, end of the chain."""

    dossier_id: str
    dossier: Dossier
    dossier_entry_id: str
    object_head: ObjectHead
    object_entry_id: str
    hazards: tuple[tuple[str, str, Hazard], ...]
    head: Head

    @property
    def title(self) -> str:
        """Return the object's title, or what the dossier was opened for."""
        return self.object_head.title


def open_dossier(bench: Bench, author: Author, dossier: Dossier) -> str:
    """Make a dossier from three facts and a size; return its id."""
    for name, value in (
        ("what it is", dossier.what),
        ("its number", dossier.number),
        ("who issued the number", dossier.number_issued_by),
        ("why it is here", dossier.why_here),
    ):
        if not value.strip():
            raise InputError(f"A dossier is opened with three facts; {name} is missing")
        if len(value) > 2000:
            raise InputError(f"The answer to “{name}” is too long", allowed="2000 characters")
    dossier_id = bench.fresh_id()
    with bench.store.writing() as writer:
        append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=dossier_id,
            record=dossier,
            based_on="",
        )
        writer.commit()
    return dossier_id


def dossier_list(
    bench: Bench, search: str = "", limit: int = 50, offset: int = 0
) -> tuple[list[DossierRow], int]:
    """Return one page of dossiers that match, newest change first, and how many match in all."""
    with bench.store.reading() as reader:
        return reader.dossiers(search, limit, offset), reader.dossier_count(search)


def opened(reader: Reader, dossier_id: str) -> OpenDossier:
    """Return a dossier's opening, head and hazards; the always asked ones stand first."""
    entry, dossier = current_record(reader, dossier_id, "dossier", dossier_id)
    described = reader.latest("object_head", dossier_id)
    if described is None:
        head, head_entry_id = ObjectHead(title=dossier.what), ""
    else:
        _, head = current_record(reader, dossier_id, "object_head", dossier_id)
        head_entry_id = described.id
    return OpenDossier(
        dossier_id=dossier_id,
        dossier=dossier,
        dossier_entry_id=entry.id,
        object_head=head,
        object_entry_id=head_entry_id,
        hazards=_hazards(reader, dossier_id),
        head=reader.head(dossier_id),
    )


def _hazards(reader: Reader, dossier_id: str) -> tuple[tuple[str, str, Hazard], ...]:
    recorded = current_records(reader, dossier_id, "hazard")
    named = {hazard.hazard for _, hazard in recorded}
    asked = [("", "", Hazard(hazard=name)) for name in ALWAYS_ASKED if name not in named]
    known = [(entry.subject_id, entry.id, hazard) for entry, hazard in recorded]
    rank = {HazardStatus.PRESENT: 0, HazardStatus.NOT_TESTED: 1, HazardStatus.TESTED_CLEAR: 2}
    return tuple(sorted(known + asked, key=lambda row: rank[row[2].status]))


def change_size(bench: Bench, author: Author, dossier_id: str, size: Size, based_on: str) -> Entry:
    """Let a dossier grow; it never shrinks, since what was asked for stays asked for."""
    with bench.store.reading() as reader:
        _, dossier = current_record(reader, dossier_id, "dossier", dossier_id)
    if _SIZE_ORDER.index(size) <= _SIZE_ORDER.index(dossier.size):
        raise RuleError(
            f"A dossier of size {dossier.size.value} cannot become {size.value}",
            remedy="Choose a larger size, or leave it",
        )
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=dossier_id,
        record=replace(dossier, size=size),
        based_on=based_on,
    )


def describe_object(
    bench: Bench, author: Author, dossier_id: str, head: ObjectHead, based_on: str
) -> Entry:
    """Record who and what the object is."""
    if not head.title.strip():
        raise InputError("The object needs a title", remedy="Say what it is in a few words")
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=dossier_id,
        record=head,
        based_on=based_on,
    )


def record_hazard(
    bench: Bench,
    author: Author,
    dossier_id: str,
    hazard: Hazard,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record what is known of a hazard; "tested clear" needs its method and its limit."""
    if hazard.status is HazardStatus.TESTED_CLEAR and "not known" in (
        hazard.method,
        hazard.detection_limit,
    ):
        raise RuleError(
            f"“{hazard.hazard}: tested clear” needs the method and its detection limit",
            remedy="Give both, or leave the hazard as not tested",
        )
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=subject_id or bench.fresh_id(),
        record=hazard,
        based_on=based_on,
    )
