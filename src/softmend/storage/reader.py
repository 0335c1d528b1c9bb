"""Reading: every query written once for SQLite and PostgreSQL."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, Connection, Row, Select, Table, func, select

from softmend.errors import NotFoundError
from softmend.records.entry import Entry, Head
from softmend.records.projection import (
    NOT_OF_AN_OBJECT,
    SURVEY_SIZE,
    Current,
    Projection,
    is_about,
    searched_words,
)
from softmend.records.rows import DossierRow, Draft, JobRow, Person
from softmend.storage import tables as t

Answer = TypeVar("Answer")

# A walk through a whole house must not keep the house in memory.
MOST_ANSWERS = 1000

# A page that asks for so many kinds of a dossier wants nearly all: they are read at once.
MOST_KINDS_APART = 4

_ROW_COLUMNS = [column for column in t.dossier_row.c if column.name != "search_text"]
_CURRENT_COLUMNS = [column for column in t.current.c if column.name != "dossier_id"]


class SqlReader:
    """Reads within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def dossier_ids(self) -> list[str]:
        """Return the ids of all dossiers, in order of id."""
        return list(self._connection.scalars(select(t.dossier.c.id).order_by(t.dossier.c.id)))

    def head(self, dossier_id: str) -> Head:
        """Return the end of the chain; NotFoundError when there is no such dossier."""
        row = self._one(select(t.dossier).where(t.dossier.c.id == dossier_id))
        if row is None:
            raise NotFoundError("There is no such dossier")
        return Head(dossier_id, row.entry_count, row.head_hash)

    def entries(self, dossier_id: str, after: int = 0) -> list[Entry]:
        """Return the journal in order, from the entry numbered after + 1."""
        self.head(dossier_id)
        query = select(t.entry).where(t.entry.c.dossier_id == dossier_id, t.entry.c.number > after)
        return self._entries(query.order_by(t.entry.c.number))

    def entry(self, entry_id: str) -> Entry:
        """Return one entry; NotFoundError when there is none."""
        found = self._entries(select(t.entry).where(t.entry.c.id == entry_id))
        if not found:
            raise NotFoundError("There is no such entry")
        return found[0]

    def current(self, dossier_id: str, kind: str | None = None) -> list[Entry]:
        """Return the newest entry of every subject not struck, by kind and human number."""
        self.head(dossier_id)
        query = (
            select(t.entry)
            .join(t.current, t.current.c.entry_id == t.entry.c.id)
            .where(t.current.c.dossier_id == dossier_id, t.current.c.is_struck == False)  # noqa: E712
            .order_by(t.current.c.kind, t.current.c.human_number, t.current.c.entry_number)
        )
        return self._entries(query if kind is None else query.where(t.current.c.kind == kind))

    def latest(self, kind: str, subject_id: str) -> Entry | None:
        """Return the newest entry on a subject, a strike included, or None."""
        history = self.history(kind, subject_id)
        return history[-1] if history else None

    def history(self, kind: str, subject_id: str) -> list[Entry]:
        """Return every entry on a subject, strikes included, oldest first."""
        query = (
            select(t.entry)
            .where(t.entry.c.subject_id == subject_id, t.entry.c.kind.in_((kind, "struck")))
            .order_by(t.entry.c.number, t.entry.c.id)
        )
        return [entry for entry in self._entries(query) if is_about(entry, kind)]

    def next_number(self, dossier_id: str, kind: str) -> int:
        """Return the next human number of a kind; numbers of struck records are never reused."""
        self.head(dossier_id)
        highest = select(func.max(t.current.c.human_number)).where(
            t.current.c.dossier_id == dossier_id, t.current.c.kind == kind
        )
        return (self._connection.scalar(highest) or 0) + 1

    def dossiers(self, search: str = "", limit: int = 50, offset: int = 0) -> list[DossierRow]:
        """Return dossiers whose words begin with every searched word, newest change first."""
        query = (
            select(*_ROW_COLUMNS)
            .where(t.dossier_row.c.size.notin_(NOT_OF_AN_OBJECT), *_matches(search))
            .order_by(t.dossier_row.c.changed_at.desc(), t.dossier_row.c.dossier_id.desc())
            .limit(limit)
            .offset(offset)
        )
        return [_dossier_row(row) for row in self._connection.execute(query)]

    def dossier_count(self, search: str = "") -> int:
        """Return how many dossiers match."""
        query = select(func.count()).select_from(t.dossier_row)
        query = query.where(t.dossier_row.c.size.notin_(NOT_OF_AN_OBJECT), *_matches(search))
        return self._connection.scalar(query) or 0

    def surveys(self) -> list[DossierRow]:
        """Return the line of every survey, newest change first."""
        query = (
            select(*_ROW_COLUMNS)
            .where(t.dossier_row.c.size == SURVEY_SIZE)
            .order_by(t.dossier_row.c.changed_at.desc(), t.dossier_row.c.dossier_id.desc())
        )
        return [_dossier_row(row) for row in self._connection.execute(query)]

    def draft(self, author_id: str, kind: str, subject_id: str) -> Draft | None:
        """Return one person's draft of a subject, or None."""
        row = self._one(
            select(t.draft).where(
                t.draft.c.author_id == author_id,
                t.draft.c.kind == kind,
                t.draft.c.subject_id == subject_id,
            )
        )
        return None if row is None else Draft(**row._mapping)

    def drafts(self, dossier_id: str) -> list[Draft]:
        """Return every draft in a dossier."""
        query = select(t.draft).where(t.draft.c.dossier_id == dossier_id)
        rows = self._connection.execute(query.order_by(*t.draft.primary_key))
        return [Draft(**row._mapping) for row in rows]

    def people(self) -> list[Person]:
        """Return the people of this bench, erased ones too, by id."""
        rows = self._connection.execute(select(t.person).order_by(t.person.c.id))
        return [Person(row.id, row.name) for row in rows]

    def job(self, job_id: str) -> JobRow:
        """Return one job; NotFoundError when there is none."""
        row = self._one(select(t.job).where(t.job.c.id == job_id))
        if row is None:
            raise NotFoundError("There is no such job")
        return JobRow(**row._mapping)

    def jobs(self, dossier_id: str | None = None) -> list[JobRow]:
        """Return jobs, newest first."""
        query = select(t.job).order_by(t.job.c.started_at.desc(), t.job.c.id.desc())
        if dossier_id is not None:
            query = query.where(t.job.c.dossier_id == dossier_id)
        return [JobRow(**row._mapping) for row in self._connection.execute(query)]

    def file_names(self, dossier_id: str) -> dict[str, str]:
        """Return the SHA-256 of each file that the dossier's entries name, and what it is."""
        self.head(dossier_id)
        query = select(t.named_file).where(t.named_file.c.dossier_id == dossier_id)
        return {row.sha256: row.what for row in self._connection.execute(query)}

    def projection(self, dossier_id: str) -> Projection:
        """Return a dossier's projections as they are kept, to compare with its entries."""
        kept = self._one(select(t.dossier_row).where(t.dossier_row.c.dossier_id == dossier_id))
        if kept is None:
            raise NotFoundError("There is no such dossier")
        query = select(*_CURRENT_COLUMNS).where(t.current.c.dossier_id == dossier_id)
        rows = self._connection.execute(
            query.order_by(t.current.c.kind, t.current.c.human_number, t.current.c.entry_number)
        )
        return Projection(
            tuple(current_from(row) for row in rows),
            _dossier_row(kept),
            kept.search_text,
            self.file_names(dossier_id),
        )

    def _one(self, query: Select[Any]) -> Row[Any] | None:
        return self._connection.execute(query).one_or_none()

    def _entries(self, query: Select[Any]) -> list[Entry]:
        return [Entry(**row._mapping) for row in self._connection.execute(query)]


class OneStateReader(SqlReader):
    """Reads one state that nothing changes meanwhile: what was asked before is not asked again."""

    def __init__(self, connection: Connection) -> None:
        super().__init__(connection)
        self._answers: dict[tuple[str, ...], Any] = {}
        self._standing: dict[tuple[str, str], Entry] = {}
        self._by_id: dict[str, Entry] = {}
        self._kinds_asked: Counter[str] = Counter()

    def head(self, dossier_id: str) -> Head:
        """Return the end of the chain; NotFoundError when there is no such dossier."""
        return self._once(super().head, "head", dossier_id)

    def entry(self, entry_id: str) -> Entry:
        """Return one entry; NotFoundError when there is none."""
        standing = self._by_id.get(entry_id)
        return standing or self._once(super().entry, "entry", entry_id)

    def current(self, dossier_id: str, kind: str | None = None) -> list[Entry]:
        """Return the newest entry of every subject not struck, by kind and human number."""
        if kind is not None and ("current", dossier_id, kind) not in self._answers:
            self._kinds_asked[dossier_id] += 1
            if self._kinds_asked[dossier_id] == MOST_KINDS_APART:
                self._read_all_kinds(dossier_id)
        asked = (dossier_id,) if kind is None else (dossier_id, kind)
        return list(self._once(self._standing_entries, "current", *asked))

    def latest(self, kind: str, subject_id: str) -> Entry | None:
        """Return the newest entry on a subject, a strike included, or None."""
        # What stands is the newest; a strike stands nowhere and is looked for.
        return self._standing.get((kind, subject_id)) or super().latest(kind, subject_id)

    def history(self, kind: str, subject_id: str) -> list[Entry]:
        """Return every entry on a subject, strikes included, oldest first."""
        return list(self._once(super().history, "history", kind, subject_id))

    def _read_all_kinds(self, dossier_id: str) -> None:
        """Read a dossier of which many kinds are wanted at once, and keep it kind by kind."""
        by_kind: dict[str, list[Entry]] = {}
        for entry in self.current(dossier_id):
            by_kind.setdefault(entry.kind, []).append(entry)
        for kind, entries in by_kind.items():
            self._answers["current", dossier_id, kind] = entries

    def _standing_entries(self, dossier_id: str, kind: str | None = None) -> list[Entry]:
        whole = self._answers.get(("current", dossier_id))
        if kind is not None and whole is not None:
            return [entry for entry in whole if entry.kind == kind]
        entries = super().current(dossier_id, kind)
        self._standing |= {(one.kind, one.subject_id): one for one in entries}
        self._by_id |= {one.id: one for one in entries}
        return entries

    def _once(self, ask: Callable[..., Answer], name: str, *about: str) -> Answer:
        key = (name, *about)
        if key not in self._answers:
            if len(self._answers) >= MOST_ANSWERS:
                self._forget()
            self._answers[key] = ask(*about)
        answer: Answer = self._answers[key]
        return answer

    def _forget(self) -> None:
        for kept in (self._answers, self._standing, self._by_id, self._kinds_asked):
            kept.clear()


def _matches(search: str) -> list[ColumnElement[bool]]:
    words = searched_words(search)
    return [t.dossier_row.c.search_text.contains(f" {word}", autoescape=True) for word in words]


def _dossier_row(row: Row[Any]) -> DossierRow:
    said = {column.name: row._mapping[column.name] for column in _ROW_COLUMNS}
    return DossierRow(**{**said, "is_invented": bool(said["is_invented"])})


def current_from(row: Row[Any]) -> Current:
    """Return where a subject stands, from its row."""
    said = {column.name: row._mapping[column.name] for column in _CURRENT_COLUMNS}
    return Current(**{**said, "is_struck": bool(said["is_struck"])})


def values_of(table: Table, record: object) -> dict[str, Any]:
    """Return a record's fields that are columns of a table."""
    return {
        column.name: getattr(record, column.name)
        for column in table.columns
        if hasattr(record, column.name)
    }
