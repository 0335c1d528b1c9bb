"""Places, cases and loggers of the house; they stand in the house's own journal."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import NotFoundError
from softmend.records.entry import Entry
from softmend.records.logger_file import Beside, LoggerFile, checked_file
from softmend.records.place import Place, checked_place
from softmend.records.showcase import Showcase, checked_showcase
from softmend.services.bench import Author, Bench
from softmend.services.house_journal import (
    HOUSE_ID,
    house_is_open,
    record_in_house,
)
from softmend.services.recording import (
    current_record,
    current_records,
)
from softmend.services.store import Reader


@dataclass(frozen=True)
class Kept:
    """One record of the house: its entry, the subject that names it for ever, and what it says."""

    entry_id: str
    subject_id: str
    number: int


@dataclass(frozen=True)
class KeptPlace(Kept):
    """A place."""

    place: Place


@dataclass(frozen=True)
class KeptCase(Kept):
    """A case."""

    case: Showcase


@dataclass(frozen=True)
class KeptFile(Kept):
    """One logger of one file."""

    file: LoggerFile


def places_in(reader: Reader) -> list[KeptPlace]:
    """Return the places of the house, by name."""
    if not house_is_open(reader):
        return []
    found = [
        KeptPlace(entry.id, entry.subject_id, entry.number, place)
        for entry, place in current_records(reader, HOUSE_ID, "place")
    ]
    return sorted(found, key=lambda one: one.place.name.casefold())


def place_of(reader: Reader, place_id: str) -> KeptPlace:
    """Return one place; NotFoundError when the house has none of that name."""
    entry, place = current_record(reader, HOUSE_ID, "place", place_id)
    return KeptPlace(entry.id, entry.subject_id, entry.number, place)


def cases_in(reader: Reader, place_id: str = "") -> list[KeptCase]:
    """Return the cases of one place, or of the house, by name."""
    if not house_is_open(reader):
        return []
    found = [
        KeptCase(entry.id, entry.subject_id, entry.number, case)
        for entry, case in current_records(reader, HOUSE_ID, "showcase")
        if place_id in ("", case.place_id)
    ]
    return sorted(found, key=lambda one: one.case.name.casefold())


def case_of(reader: Reader, showcase_id: str) -> KeptCase:
    """Return one case; NotFoundError when the house has none of that name."""
    entry, case = current_record(reader, HOUSE_ID, "showcase", showcase_id)
    return KeptCase(entry.id, entry.subject_id, entry.number, case)


def files_in(reader: Reader, place_id: str) -> list[KeptFile]:
    """Return the loggers' files of a place, earliest first."""
    if not house_is_open(reader):
        return []
    found = [
        KeptFile(entry.id, entry.subject_id, entry.number, kept)
        for entry, kept in current_records(reader, HOUSE_ID, "logger_file")
        if kept.place_id == place_id
    ]
    return sorted(found, key=lambda one: (one.file.start_at, one.number))


def loggers_in(
    reader: Reader, place_id: str, beside: Beside = Beside.ROOM, showcase_id: str = ""
) -> dict[str, list[KeptFile]]:
    """Return the loggers of a room or of a case in it with their files; longest record first."""
    found: dict[str, list[KeptFile]] = {}
    for one in files_in(reader, place_id):
        if one.file.beside is beside and (not showcase_id or one.file.showcase_id == showcase_id):
            found.setdefault(one.file.logger, []).append(one)
    hours = {
        name: sum(one.file.reading_count * one.file.step_hours for one in files)
        for name, files in found.items()
    }
    return dict(sorted(found.items(), key=lambda one: (-hours[one[0]], one[0])))


def record_place(
    bench: Bench, author: Author, place: Place, *, subject_id: str = "", based_on: str = ""
) -> Entry:
    """Record a place; a correction names the subject that it corrects."""
    return _record(bench, author, checked_place(place), subject_id, based_on)


def record_case(
    bench: Bench, author: Author, case: Showcase, *, subject_id: str = "", based_on: str = ""
) -> Entry:
    """Record a case in a place of the house."""
    with bench.store.reading() as reader:
        place_of(reader, case.place_id)
    return _record(bench, author, checked_showcase(case), subject_id, based_on)


def record_file(
    bench: Bench, author: Author, kept: LoggerFile, *, subject_id: str = "", based_on: str = ""
) -> Entry:
    """Record a logger's file whose reading a person confirmed; its bytes must be kept already."""
    checked = checked_file(kept)
    if not bench.store.files.has(checked.original_sha256):
        raise NotFoundError("The logger's file is not kept here", remedy="Bring it in again")
    with bench.store.reading() as reader:
        place_of(reader, checked.place_id)
        if checked.beside is Beside.CASE:
            case_of(reader, checked.showcase_id)
    return _record(bench, author, checked, subject_id, based_on)


def _record(
    bench: Bench,
    author: Author,
    record: Place | Showcase | LoggerFile,
    subject_id: str,
    based_on: str,
) -> Entry:
    return record_in_house(bench, author, subject_id or bench.fresh_id(), record, based_on)
