"""Writing: one transaction, in which entries are chained and projections follow them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Table, delete, insert, select, update

from softmend.errors import ConflictError, NotFoundError
from softmend.records.entry import Entry, Head, empty_head, next_entry
from softmend.records.projection import (
    LISTED_KINDS,
    OPENING_KINDS,
    Current,
    Subject,
    current_after,
    dossier_line,
    files_named,
    projection_of,
    subjects_touched,
)
from softmend.records.rows import Draft, JobRow, Person
from softmend.storage import tables as t
from softmend.storage.reader import SqlReader, current_from, values_of


class SqlWriter(SqlReader):
    """Writes within one transaction; nothing is kept unless `commit` is called."""

    has_erased = False

    def append(self, entry: Entry) -> Entry:
        """Number, chain and keep an entry and its projections; return it as kept."""
        head = self._head_or_opening(entry)
        kept = next_entry(head, entry)
        if head.count == 0:
            self._insert(t.dossier, id=kept.dossier_id, opened_at=kept.at, entry_count=1,
                         head_hash=kept.hash)  # fmt: skip
        else:
            self._connection.execute(
                update(t.dossier)
                .where(t.dossier.c.id == kept.dossier_id)
                .values(entry_count=kept.number, head_hash=kept.hash)
            )
        self._insert(t.entry, **values_of(t.entry, kept))
        self._project(kept)
        return kept

    def keep_chain(self, entries: Sequence[Entry]) -> None:
        """Keep a whole dossier that was chained elsewhere, as it is; refused when it is here."""
        first, last = entries[0], entries[-1]
        if self._one(select(t.dossier.c.id).where(t.dossier.c.id == first.dossier_id)):
            raise ConflictError("This dossier is already here")
        self._insert(t.dossier, id=first.dossier_id, opened_at=first.at, entry_count=last.number,
                     head_hash=last.hash)  # fmt: skip
        self._connection.execute(insert(t.entry), [values_of(t.entry, each) for each in entries])
        self.rebuild(first.dossier_id)

    def save_draft(self, draft: Draft) -> None:
        """Keep a draft in place of the one before it."""
        self.head(draft.dossier_id)
        self._replace(t.draft, values_of(t.draft, draft))

    def drop_draft(self, author_id: str, kind: str, subject_id: str) -> None:
        """Forget a draft, if there is one."""
        self._drop(t.draft, {"author_id": author_id, "kind": kind, "subject_id": subject_id})

    def add_person(self, person: Person) -> None:
        """Add somebody to the list of people."""
        if any(person.id == each.id for each in self.people()):
            raise ConflictError("This person is already on the list")
        self._insert(t.person, id=person.id, name=person.name)

    def erase_name(self, person_id: str) -> None:
        """Erase a person's name; entries keep the id."""
        erased = self._connection.execute(
            update(t.person).where(t.person.c.id == person_id).values(name=None)
        )
        if erased.rowcount == 0:
            raise NotFoundError("There is no such person at this bench")
        self.has_erased = True

    def erase_payload(self, entry_id: str) -> None:
        """Erase an entry's content; its hash stays (call only beside a withdrawal entry)."""
        erased = self.entry(entry_id)
        self._connection.execute(
            update(t.entry).where(t.entry.c.id == entry_id).values(payload=None)
        )
        self.rebuild(erased.dossier_id)
        self.has_erased = True

    def save_job(self, job: JobRow) -> None:
        """Keep a job's row in place of the one before it."""
        self._replace(t.job, values_of(t.job, job))

    def rebuild(self, dossier_id: str) -> None:
        """Throw away a dossier's projections and make them again from its entries."""
        made = projection_of(self.entries(dossier_id))
        for table in t.PROJECTIONS:
            self._drop(table, {"dossier_id": dossier_id})
        key = {"dossier_id": dossier_id}
        files = [{**key, "sha256": each, "what": what} for each, what in made.files.items()]
        current = [{**key, **values_of(t.current, each)} for each in made.current]
        for table, rows in ((t.current, current), (t.named_file, files)):
            if rows:
                self._connection.execute(insert(table), rows)
        self._insert(
            t.dossier_row, **values_of(t.dossier_row, made.row), search_text=made.search_text
        )

    def commit(self) -> None:
        """Keep everything done in this transaction."""
        self._connection.commit()

    def _head_or_opening(self, entry: Entry) -> Head:
        if self._one(select(t.entry.c.id).where(t.entry.c.id == entry.id)) is not None:
            raise ConflictError("An entry of this id is already recorded")
        try:
            return self.head(entry.dossier_id)
        except NotFoundError:
            if entry.kind not in OPENING_KINDS:
                raise
            return empty_head(entry.dossier_id)

    def _project(self, entry: Entry) -> None:
        touched = subjects_touched(entry)
        for subject in touched:
            after = current_after(self._held(entry.dossier_id, subject), subject, entry)
            if after is not None:
                self._replace(
                    t.current, {"dossier_id": entry.dossier_id, **values_of(t.current, after)}
                )
        named = files_named(entry)
        known = self.file_names(entry.dossier_id) if named else {}
        for sha256 in named.keys() - known.keys():
            self._insert(
                t.named_file, dossier_id=entry.dossier_id, sha256=sha256, what=named[sha256]
            )
        if any(kind in LISTED_KINDS for kind, _ in touched):
            self._project_line(entry)
        else:
            self._connection.execute(
                update(t.dossier_row)
                .where(t.dossier_row.c.dossier_id == entry.dossier_id)
                .values(entry_count=entry.number, changed_at=entry.at)
            )

    def _project_line(self, newest: Entry) -> None:
        first = newest if newest.number == 1 else self._first(newest.dossier_id)
        row, search_text = dossier_line(
            first,
            newest,
            lambda subject: self._held(newest.dossier_id, subject),
            self.entry,
            lambda kind: self.current(newest.dossier_id, kind),
        )
        self._replace(t.dossier_row, {**values_of(t.dossier_row, row), "search_text": search_text})

    def _first(self, dossier_id: str) -> Entry:
        query = select(t.entry).where(t.entry.c.dossier_id == dossier_id, t.entry.c.number == 1)
        return self._entries(query)[0]

    def _held(self, dossier_id: str, subject: Subject) -> Current | None:
        kind, subject_id = subject
        query = select(t.current).where(
            t.current.c.dossier_id == dossier_id,
            t.current.c.kind == kind,
            t.current.c.subject_id == subject_id,
        )
        row = self._one(query)
        return None if row is None else current_from(row)

    def _insert(self, table: Table, **values: Any) -> None:
        self._connection.execute(insert(table).values(**values))

    def _replace(self, table: Table, values: dict[str, Any]) -> None:
        self._drop(table, {column.name: values[column.name] for column in table.primary_key})
        self._connection.execute(insert(table).values(**values))

    def _drop(self, table: Table, where: dict[str, str]) -> None:
        self._connection.execute(
            delete(table).where(*(table.c[name] == value for name, value in where.items()))
        )
