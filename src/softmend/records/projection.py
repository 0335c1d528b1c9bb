"""What can be made again from a dossier's entries: current state, list line, search, files named.

Every store keeps these for speed; what they must hold is said here and nowhere else.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from softmend.errors import NotFoundError
from softmend.records.action import Action
from softmend.records.batch import Batch
from softmend.records.dossier import NOT_KNOWN, Dossier, ObjectHead
from softmend.records.entry import Entry
from softmend.records.kinds import KINDS, record_in
from softmend.records.rows import DossierRow
from softmend.records.shelf import BenchMaterials
from softmend.records.survey import Survey

Subject = tuple[str, str]
"""The kind and the id of what an entry is about."""

SHA256 = re.compile(r"[0-9a-f]{64}")
CARRIED_KINDS = ("batch", "action")
LISTED_KINDS = ("dossier", "object_head", "survey", "bench_materials", *CARRIED_KINDS)
OPENING_KINDS = ("dossier", "survey", "bench_materials")
"""What a journal begins with: a dossier about one object, a survey of many, the house's shelf."""

SURVEY_SIZE = "survey"
"""Stands for the size of a survey, which has none and is in no list of dossiers."""

HOUSE_SIZE = "bench"
"""Stands for the size of the house's own journal of materials."""

NOT_OF_AN_OBJECT = (SURVEY_SIZE, HOUSE_SIZE)

CARRIED = "+"
"""Stands before a word of a batch or a log entry, so that the list's own search passes it by."""


@dataclass(frozen=True)
class Current:
    """Where a subject stands: its newest entry and its human number (0 when its kind has none)."""

    kind: str
    subject_id: str
    entry_id: str
    entry_number: int
    human_number: int
    is_struck: bool


@dataclass(frozen=True)
class Projection:
    """Everything that is derived from one dossier's entries, in a fixed order."""

    current: tuple[Current, ...]
    row: DossierRow
    search_text: str
    files: dict[str, str]


def projection_of(entries: Sequence[Entry]) -> Projection:
    """Return what a dossier's entries, in order and at least one, amount to."""
    if not entries:
        raise NotFoundError("There is no such dossier")
    current: dict[Subject, Current] = {}
    files: dict[str, str] = {}
    for entry in entries:
        for subject in subjects_touched(entry):
            after = current_after(current.get(subject), subject, entry)
            if after is not None:
                current[subject] = after
        for sha256, what in files_named(entry).items():
            files.setdefault(sha256, what)
    by_id = {entry.id: entry for entry in entries}
    ordered = tuple(sorted(current.values(), key=place))
    row, search_text = dossier_line(
        entries[0],
        entries[-1],
        current.get,
        by_id.__getitem__,
        lambda kind: [
            by_id[one.entry_id] for one in ordered if one.kind == kind if not one.is_struck
        ],
    )
    return Projection(ordered, row, search_text, files)


def place(current: Current) -> tuple[str, int, int]:
    """Return where a subject stands in a list: by kind, human number, then entry number."""
    return current.kind, current.human_number, current.entry_number


def subjects_touched(entry: Entry) -> list[Subject]:
    """Return the subjects whose current state an entry changes."""
    if entry.kind == "struck":
        return [(str(_said(entry).get("struck_kind", "")), entry.subject_id)]
    own = (entry.kind, entry.subject_id)
    if entry.kind == "withdrawal":
        said = _said(entry)
        return [own, (str(said.get("withdrawn_kind")), str(said.get("withdrawn_subject_id")))]
    return [own]


def is_about(entry: Entry, kind: str) -> bool:
    """Say whether an entry is of that kind, or strikes a record of that kind."""
    if entry.kind == "struck":
        return kind == "struck" or _said(entry).get("struck_kind") == kind
    return entry.kind == kind


def current_after(before: Current | None, subject: Subject, entry: Entry) -> Current | None:
    """Return the current state of one touched subject once the entry stands."""
    kind, subject_id = subject
    if entry.kind != kind:
        if before is None:
            return None
        if entry.kind == "struck":
            return replace(before, is_struck=True)
        # The number went with the withdrawn content; the tombstone remembers it, for it is
        # never given again.
        number = before.human_number or int(_said(entry).get("withdrawn_number", 0))
        return replace(before, human_number=number)
    number = human_number_in(entry) or (before.human_number if before else 0)
    return Current(kind, subject_id, entry.id, entry.number, number, is_struck=False)


def human_number_in(entry: Entry) -> int:
    """Return the human number that an entry carries, or 0."""
    kind = KINDS.get(entry.kind)
    if kind is None or not kind.is_numbered:
        return 0
    return int(_said(entry).get("number", 0))


def dossier_line(
    first: Entry,
    newest: Entry,
    current: Callable[[Subject], Current | None],
    entry: Callable[[str], Entry],
    all_current: Callable[[str], Iterable[Entry]],
) -> tuple[DossierRow, str]:
    """Return a dossier's line in the list and its search text, from the entries they rest on.

    `all_current` gives the standing entries of a kind, by human number.
    """

    def standing(kind: str) -> Any:
        held = current((kind, first.dossier_id))
        if held is None or held.is_struck:
            return None
        source = entry(held.entry_id)
        return None if source.payload is None else record_in(source)

    if first.kind != "dossier":
        return _line_without_object(first, newest, standing(first.kind))
    opening: Dossier | None = standing("dossier")
    about: ObjectHead | None = standing("object_head")
    row = DossierRow(
        dossier_id=first.dossier_id,
        number=_listed(opening.number if opening else ""),
        number_issued_by=_listed(opening.number_issued_by if opening else ""),
        what=_listed(opening.what if opening else ""),
        title=_listed(about.title if about else ""),
        size=opening.size.value if opening else "",
        is_invented=opening.is_invented if opening else False,
        entry_count=newest.number,
        opened_at=first.at,
        changed_at=newest.at,
    )
    carried = [record_in(one) for kind in CARRIED_KINDS for one in all_current(kind) if one.payload]
    return row, search_text(_searched(row, about)) + _carried_text(carried)


def _line_without_object(
    first: Entry, newest: Entry, opening: Survey | BenchMaterials | None
) -> tuple[DossierRow, str]:
    row = DossierRow(
        dossier_id=first.dossier_id,
        number="",
        number_issued_by="",
        what="",
        title=_listed(opening.title if opening else ""),
        size=SURVEY_SIZE if first.kind == "survey" else HOUSE_SIZE,
        is_invented=isinstance(opening, Survey) and opening.is_invented,
        entry_count=newest.number,
        opened_at=first.at,
        changed_at=newest.at,
    )
    return row, search_text([row.title])


def files_named(entry: Entry) -> dict[str, str]:
    """Return the SHA-256 of each file that an entry names, and what the file is to it."""
    if entry.payload is None:
        return {}
    said = json.loads(entry.payload)
    number = human_number_in(entry)
    whose = f"{entry.kind} {number}" if number else entry.kind
    name = said.get("original_name", "") if isinstance(said, dict) else ""
    return {
        sha256: f"{whose}: {field}" + (f" of {name}" if name else "")
        for field, sha256 in _hashes(said)
    }


def search_text(values: Iterable[str]) -> str:
    """Return the words of some texts as they are searched: each once, with a space before it."""
    words = {word: None for value in values for word in _words(value)}
    return "".join(f" {word}" for word in words)


def searched_words(search: str) -> list[str]:
    """Return the beginnings of words that a search asks for."""
    return [word for word in (token.strip(_EDGES) for token in _folded(search).split()) if word]


def carried_texts(record: Batch | Action) -> tuple[str, ...]:
    """Return by what a batch or a log entry is looked up: materials, makers, lots, method."""
    if isinstance(record, Batch):
        made_of = [text for one in record.ingredients for text in (one.name, one.supplier, one.lot)]
        texts = [f"batch {record.number}", record.kind.value, record.name, record.written, *made_of]
    else:
        texts = [
            record.action.replace("_", " "),
            record.tool,
            *(one.material for one in record.moved),
        ]
    return tuple(text for text in texts if text not in ("", NOT_KNOWN))


def carried_search(search: str) -> str:
    """Return a search of the list that finds the dossiers whose batches or log hold the words."""
    return " ".join(f"{CARRIED}{word}" for word in searched_words(search))


def is_found(text: str, search: str) -> bool:
    """Say whether a search text has, for every searched word, a word that begins with it."""
    return all(f" {word}" in text for word in searched_words(search))


def _listed(text: str) -> str:
    # PostgreSQL keeps no zero byte in a text; the entry itself still has it.
    return text.replace("\x00", "")


_EDGES = ".,;:!?()[]{}\"'“”‘’«»"


def _folded(text: str) -> str:
    apart = unicodedata.normalize("NFKD", text.casefold()).replace("\x00", " ")
    return "".join(character for character in apart if not unicodedata.combining(character))


def _words(value: str) -> Iterator[str]:
    for token in _folded(value).split():
        yield token.strip(_EDGES)
        # "2026.14/3" is found as a whole and by its parts.
        pieces = re.findall(r"\w+", token)
        if len(pieces) > 1:
            yield from pieces


def _searched(row: DossierRow, about: ObjectHead | None) -> Iterator[str]:
    yield from (row.number, row.number_issued_by, row.what, row.title)
    if about is None:
        return
    said = [about.owner]
    said += [text for each in about.identifiers for text in (each.number, each.issued_by)]
    said += [text for each in about.materials for text in (each.part, each.material)]
    yield from (text for text in said if text != NOT_KNOWN)


def _said(entry: Entry) -> dict[str, Any]:
    said = {} if entry.payload is None else json.loads(entry.payload)
    return said if isinstance(said, dict) else {}


def _carried_text(records: Iterable[Batch | Action]) -> str:
    texts = (text for record in records for text in carried_texts(record))
    words = dict.fromkeys(word for text in texts for word in _words(text))
    return "".join(f" {CARRIED}{word}" for word in words)


def _hashes(said: Any) -> Iterator[tuple[str, str]]:
    if isinstance(said, list):
        for item in said:
            yield from _hashes(item)
    if not isinstance(said, dict):
        return
    for name, value in said.items():
        if isinstance(value, str) and SHA256.fullmatch(value):
            field, _, unit = name.rpartition("_")
            if unit in {"sha256", "file"}:
                yield field.replace("_", " "), value
        yield from _hashes(value)
