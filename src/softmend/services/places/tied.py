"""An object's place: where it stands for its climate, since when, and the body it is taken for."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from softmend.errors import InputError, MissingEvidenceError, NotFoundError
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.place import (
    NearLogger,
    ObjectInAir,
    ObjectPlace,
    checked_in_air,
    checked_object_place,
)
from softmend.services.bench import Author, Bench
from softmend.services.places.house import KeptCase, KeptPlace, case_of, loggers_in, place_of
from softmend.services.recording import current_records, record_one
from softmend.services.store import Reader


@dataclass(frozen=True)
class Tied:
    """An object's place and case with the entries that say so; None is not said yet."""

    stands_id: str
    stands: ObjectPlace | None
    said_id: str
    said: ObjectInAir | None
    place: KeptPlace | None
    case: KeptCase | None
    earlier: tuple[ObjectPlace, ...] = ()


def tied_in(reader: Reader, dossier_id: str) -> Tied:
    """Return what a dossier says of its object's place and body.

    A place of another house, from a package that was unpacked here, counts as not known.
    """
    stands_id, stands = _latest(reader, dossier_id, "object_place")
    said_id, said = _latest(reader, dossier_id, "object_in_air")
    place: KeptPlace | None = None
    case: KeptCase | None = None
    if stands is not None:
        try:
            place = place_of(reader, stands.place_id)
            case = case_of(reader, stands.showcase_id) if stands.showcase_id else None
        except NotFoundError:
            place = case = None
    return Tied(stands_id, stands, said_id, said, place, case, _earlier(reader, dossier_id))


def stand_object(
    bench: Bench, author: Author, dossier_id: str, stands: ObjectPlace, based_on: str
) -> Entry:
    """Record where an object stands; where it stood before stays to be read."""
    checked = checked_object_place(stands)
    with bench.store.reading() as reader:
        place_of(reader, checked.place_id)
        if checked.showcase_id:
            case_of(reader, checked.showcase_id)
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=_subject(dossier_id, "object_place"),
        record=checked,
        based_on=based_on,
    )


def say_nearest(
    bench: Bench, author: Author, dossier_id: str, near: tuple[NearLogger, ...], based_on: str
) -> Entry:
    """Record which logger of the room stood nearest to the object, and when."""
    with bench.store.reading() as reader:
        tied = tied_in(reader, dossier_id)
        if tied.stands is None:
            raise MissingEvidenceError(
                "Where the object stands is not said", remedy="Say it first, then the logger"
            )
        loggers = loggers_in(reader, tied.stands.place_id)
    for one in near:
        if one.logger not in loggers:
            raise InputError(
                "No such logger hangs in this room",
                value=one.logger,
                allowed=", ".join(loggers) or "none yet",
            )
    return stand_object(bench, author, dossier_id, replace(tied.stands, near=near), based_on)


def say_of_object(
    bench: Bench, author: Author, dossier_id: str, said: ObjectInAir, based_on: str
) -> Entry:
    """Record the body that an object is taken for, and its state in the climate it knew."""
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=_subject(dossier_id, "object_in_air"),
        record=checked_in_air(said),
        based_on=based_on,
    )


def _latest(reader: Reader, dossier_id: str, kind: str) -> tuple[str, Any]:
    for entry, record in current_records(reader, dossier_id, kind):
        return entry.id, record
    return "", None


def _earlier(reader: Reader, dossier_id: str) -> tuple[ObjectPlace, ...]:
    """Return where it stood before, latest first; a corrected date or logger is no move."""
    history = reader.history("object_place", _subject(dossier_id, "object_place"))
    told = [record_in(one) for one in history if one.kind == "object_place" and one.payload]
    found: list[ObjectPlace] = []
    for one, later in pairwise(told):
        if (one.place_id, one.showcase_id) != (later.place_id, later.showcase_id):
            found.append(one)
    return tuple(reversed(found))


def _subject(dossier_id: str, what: str) -> str:
    return f"{dossier_id}:{what}"
