"""What has changed since the last examination: recorded facts, one line each, never a guess."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from softmend.records.condition import Grade
from softmend.records.consent import Difference, differences
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.payload import as_plain
from softmend.services.days import day_of
from softmend.services.examine.told_words import told
from softmend.services.examine.vocabulary import term
from softmend.services.store import Reader

_COMPARED = ("mark", "body_zone", "on_zone", "grade", "hazard", "view", "not_examined",
             "object_head", "examination")  # fmt: skip
_DRAWN = frozenset({"sightings", "rings", "plan_x", "plan_y"})


@dataclass(frozen=True)
class Change:
    """One fact that was recorded since: what it is about, and what reads otherwise now."""

    about: str
    what: str
    lines: tuple[Difference, ...] = ()
    is_redrawn: bool = False


@dataclass(frozen=True)
class Since:
    """What was recorded since the last examination, which is named by its date and its number."""

    examination_number: int
    at: str
    examined_on: str
    changes: tuple[Change, ...]


def since_last_examination(reader: Reader, dossier_id: str) -> Since | None:
    """Return what was recorded since the last examination before the one under way, or None.

    Two examinations are two by their day of examining; corrections of one are not another. What
    was recorded on the day of examining belongs to that examination, also after its words.
    """
    base = _baseline(reader.history("examination", dossier_id))
    if base is None:
        return None
    earlier: dict[tuple[str, str], Entry] = {}
    examined_on: str = record_in(base).examined_on
    for entry in reader.entries(dossier_id):
        if entry.number > base.number and day_of(entry.at) != examined_on:
            break
        if entry.kind in _COMPARED:
            earlier[entry.kind, entry.subject_id] = entry
        elif entry.kind == "struck" and entry.payload is not None:
            earlier.pop((record_in(entry).struck_kind, entry.subject_id), None)
    return Since(
        examination_number=base.number,
        at=base.at,
        examined_on=examined_on,
        changes=tuple(_changes(reader, dossier_id, earlier)),
    )


def _baseline(history: list[Entry]) -> Entry | None:
    told = [entry for entry in history if entry.payload is not None and entry.kind != "struck"]
    if not told:
        return None
    newest = record_in(told[-1]).examined_on
    for entry in reversed(told):
        if record_in(entry).examined_on != newest:
            return entry
    return told[-1]


def _changes(
    reader: Reader, dossier_id: str, earlier: dict[tuple[str, str], Entry]
) -> Iterator[Change]:
    standing = {
        (entry.kind, entry.subject_id): entry
        for kind in _COMPARED
        for entry in reader.current(dossier_id, kind)
        if entry.payload is not None
    }
    for key, entry in standing.items():
        before, record = earlier.get(key), record_in(entry)
        if before is None or before.payload is None:
            yield Change(_about(reader, entry.kind, record), _new(record))
        elif before.id != entry.id:
            about = _about(reader, entry.kind, record)
            change = _changed(about, record_in(before), record)
            if change.lines or change.is_redrawn:
                yield change
    for key, entry in earlier.items():
        if key not in standing and entry.payload is not None:
            yield Change(_about(reader, entry.kind, record_in(entry)), "struck since")


def _new(record: Any) -> str:
    return f"grade {record.grade}, given since" if isinstance(record, Grade) else "recorded since"


def _changed(about: str, before: Any, now: Any) -> Change:
    first, second = as_plain(before), as_plain(now)
    drawn = any(first.get(name) != second.get(name) for name in _DRAWN)
    lines = differences(told(first), told(second))
    return Change(about, _how(before, now), lines, drawn)


def _how(before: Any, now: Any) -> str:
    """Return in a few words how a record changed; a grade says from what to what."""
    if not isinstance(now, Grade):
        return "changed since"
    if before.grade == now.grade:
        return f"still grade {now.grade}, said anew"
    return f"grade {before.grade} then, grade {now.grade} now"


def _about(reader: Reader, kind: str, record: Any) -> str:
    if kind == "mark":
        return f"Mark {record.number} ({term(record.term_id).term})"
    if kind in ("body_zone", "on_zone"):
        what = record.body if kind == "body_zone" else record.on_it
        return f"Zone {record.name} ({what.value})"
    if kind == "grade":
        return f"Grade of {_graded(reader, record)}"
    if kind == "view":
        return f"View {record.number}"
    if kind == "hazard":
        return f"Hazard: {record.hazard}"
    if kind == "not_examined":
        return f"Not examined: {record.place}"
    return "The object" if kind == "object_head" else "The examination"


def _graded(reader: Reader, grade: Any) -> str:
    """Return what a grade is of, as a person names it."""
    if grade.of_kind == "part":
        return str(grade.of_id)
    entry = reader.latest(grade.of_kind, grade.of_id)
    if entry is None or entry.payload is None or entry.kind != grade.of_kind:
        return "a place that was struck or withdrawn"
    about = _about(reader, grade.of_kind, record_in(entry))
    return about[:1].lower() + about[1:]
