"""A store in memory, for tests and for reading: the plainest thing that keeps the contract."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import shutil
import tempfile
import threading
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import BinaryIO

from softmend.errors import ConflictError, InputError, NotFoundError
from softmend.records.entry import Entry, Head, empty_head, next_entry
from softmend.records.projection import (
    NOT_OF_AN_OBJECT,
    OPENING_KINDS,
    SHA256,
    SURVEY_SIZE,
    Projection,
    is_about,
    is_found,
    projection_of,
)
from softmend.records.rows import DossierRow, Draft, JobRow, Person


@dataclass
class State:
    """Everything that is kept, at one moment; a commit puts a new one in its place."""

    journals: dict[str, tuple[Entry, ...]] = field(default_factory=dict)
    drafts: dict[tuple[str, str, str], Draft] = field(default_factory=dict)
    people: dict[str, Person] = field(default_factory=dict)
    jobs: dict[str, JobRow] = field(default_factory=dict)

    def copy(self) -> State:
        """Return a state that can be changed while this one is being read."""
        return State(dict(self.journals), dict(self.drafts), dict(self.people), dict(self.jobs))


class FakeReader:
    """Reads one state; every projection is made again at each question."""

    def __init__(self, state: State) -> None:
        self.state = state

    def dossier_ids(self) -> list[str]:
        """Return the ids of all dossiers."""
        return sorted(self.state.journals)

    def head(self, dossier_id: str) -> Head:
        """Return the end of the chain."""
        last = self._journal(dossier_id)[-1]
        return Head(dossier_id, last.number, last.hash)

    def entries(self, dossier_id: str, after: int = 0) -> list[Entry]:
        """Return the journal in order."""
        return list(self._journal(dossier_id)[after:])

    def entry(self, entry_id: str) -> Entry:
        """Return one entry."""
        for journal in self.state.journals.values():
            for entry in journal:
                if entry.id == entry_id:
                    return entry
        raise NotFoundError("There is no such entry")

    def current(self, dossier_id: str, kind: str | None = None) -> list[Entry]:
        """Return the newest entry of every subject not struck."""
        return [
            self.entry(held.entry_id)
            for held in self.projection(dossier_id).current
            if not held.is_struck and kind in {None, held.kind}
        ]

    def latest(self, kind: str, subject_id: str) -> Entry | None:
        """Return the newest entry on a subject."""
        history = self.history(kind, subject_id)
        return history[-1] if history else None

    def history(self, kind: str, subject_id: str) -> list[Entry]:
        """Return every entry on a subject, strikes included."""
        return [
            entry
            for journal in self.state.journals.values()
            for entry in journal
            if entry.subject_id == subject_id and is_about(entry, kind)
        ]

    def next_number(self, dossier_id: str, kind: str) -> int:
        """Return the next human number of a kind."""
        held = self.projection(dossier_id).current
        return max((each.human_number for each in held if each.kind == kind), default=0) + 1

    def dossiers(self, search: str = "", limit: int = 50, offset: int = 0) -> list[DossierRow]:
        """Return dossiers that match, newest change first."""
        return _newest_first(self._found(search))[offset : offset + limit]

    def dossier_count(self, search: str = "") -> int:
        """Return how many dossiers match."""
        return len(self._found(search))

    def surveys(self) -> list[DossierRow]:
        """Return the line of every survey, newest change first."""
        held = [self.projection(dossier_id).row for dossier_id in self.state.journals]
        return _newest_first([row for row in held if row.size == SURVEY_SIZE])

    def draft(self, author_id: str, kind: str, subject_id: str) -> Draft | None:
        """Return one person's draft of a subject."""
        return self.state.drafts.get((author_id, kind, subject_id))

    def drafts(self, dossier_id: str) -> list[Draft]:
        """Return every draft in a dossier."""
        drafts = sorted(self.state.drafts.items())
        return [draft for _, draft in drafts if draft.dossier_id == dossier_id]

    def people(self) -> list[Person]:
        """Return the people of this bench, by id."""
        return [self.state.people[person_id] for person_id in sorted(self.state.people)]

    def job(self, job_id: str) -> JobRow:
        """Return one job."""
        if job_id not in self.state.jobs:
            raise NotFoundError("There is no such job")
        return self.state.jobs[job_id]

    def jobs(self, dossier_id: str | None = None) -> list[JobRow]:
        """Return jobs, newest first."""
        jobs = [job for job in self.state.jobs.values() if dossier_id in {None, job.dossier_id}]
        return sorted(jobs, key=lambda job: (job.started_at, job.id), reverse=True)

    def file_names(self, dossier_id: str) -> dict[str, str]:
        """Return the SHA-256 of each file named, and what it is."""
        return self.projection(dossier_id).files

    def projection(self, dossier_id: str) -> Projection:
        """Return a dossier's projections."""
        return projection_of(self._journal(dossier_id))

    def _journal(self, dossier_id: str) -> tuple[Entry, ...]:
        if dossier_id not in self.state.journals:
            raise NotFoundError("There is no such dossier")
        return self.state.journals[dossier_id]

    def _found(self, search: str) -> list[DossierRow]:
        held = [self.projection(dossier_id) for dossier_id in self.state.journals]
        return [
            each.row
            for each in held
            if each.row.size not in NOT_OF_AN_OBJECT and is_found(each.search_text, search)
        ]


def _newest_first(rows: list[DossierRow]) -> list[DossierRow]:
    return sorted(rows, key=lambda row: (row.changed_at, row.dossier_id), reverse=True)


class FakeWriter(FakeReader):
    """Works on a copy of the state, which the store takes over when it is committed."""

    def __init__(self, store: FakeStore) -> None:
        super().__init__(store.state.copy())
        self._store = store

    def append(self, entry: Entry) -> Entry:
        """Number, chain and keep an entry."""
        if any(entry.id == kept.id for kept in self._every_entry()):
            raise ConflictError("An entry of this id is already recorded")
        if entry.kind in OPENING_KINDS and entry.dossier_id not in self.state.journals:
            head = empty_head(entry.dossier_id)
        else:
            head = self.head(entry.dossier_id)
        kept = next_entry(head, entry)
        journal = self.state.journals.get(entry.dossier_id, ())
        self.state.journals[entry.dossier_id] = (*journal, kept)
        return kept

    def keep_chain(self, entries: Sequence[Entry]) -> None:
        """Keep a whole dossier that was chained elsewhere."""
        dossier_id = entries[0].dossier_id
        if dossier_id in self.state.journals:
            raise ConflictError("This dossier is already here")
        self.state.journals[dossier_id] = tuple(entries)

    def save_draft(self, draft: Draft) -> None:
        """Keep a draft in place of the one before it."""
        self.head(draft.dossier_id)
        self.state.drafts[draft.author_id, draft.kind, draft.subject_id] = draft

    def drop_draft(self, author_id: str, kind: str, subject_id: str) -> None:
        """Forget a draft, if there is one."""
        self.state.drafts.pop((author_id, kind, subject_id), None)

    def add_person(self, person: Person) -> None:
        """Add somebody to the list of people."""
        if person.id in self.state.people:
            raise ConflictError("This person is already on the list")
        self.state.people[person.id] = person

    def erase_name(self, person_id: str) -> None:
        """Erase a person's name."""
        if person_id not in self.state.people:
            raise NotFoundError("There is no such person at this bench")
        self.state.people[person_id] = Person(person_id, None)

    def erase_payload(self, entry_id: str) -> None:
        """Erase an entry's content."""
        erased = self.entry(entry_id)
        self.state.journals[erased.dossier_id] = tuple(
            replace(entry, payload=None) if entry.id == entry_id else entry
            for entry in self.state.journals[erased.dossier_id]
        )

    def save_job(self, job: JobRow) -> None:
        """Keep a job's row in place of the one before it."""
        self.state.jobs[job.id] = job

    def rebuild(self, dossier_id: str) -> None:
        """Make nothing again: projections are made at each question."""
        self.head(dossier_id)

    def commit(self) -> None:
        """Keep everything done so far."""
        self._store.state = self.state
        self.state = self.state.copy()

    def _every_entry(self) -> Iterator[Entry]:
        for journal in self.state.journals.values():
            yield from journal


class FakeFiles:
    """Files by SHA-256 in a temporary folder, without care for power cuts."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        (folder / "content").mkdir(parents=True, exist_ok=True)

    def put(self, stream: BinaryIO) -> str:
        """Keep the stream's bytes."""
        content = stream.read()
        sha256 = hashlib.sha256(content).hexdigest()
        if not self.has(sha256):
            self._where(sha256).write_bytes(content)
        return sha256

    def put_path(self, path: Path) -> str:
        """Keep a finished temporary file."""
        with path.open("rb") as stream:
            return self.put(stream)

    def path(self, sha256: str) -> Path:
        """Return where the file lies."""
        if not self.has(sha256):
            raise NotFoundError("There is no such file", value=sha256)
        return self._where(sha256)

    def has(self, sha256: str) -> bool:
        """Say whether the file is kept."""
        return self._where(sha256).exists()

    def size(self, sha256: str) -> int:
        """Return the file's length in bytes."""
        return self.path(sha256).stat().st_size

    def erase(self, sha256: str) -> None:
        """Erase a file's content and what was made from it."""
        self.path(sha256).unlink()
        shutil.rmtree(self._folder / "derived" / sha256, ignore_errors=True)

    @contextmanager
    def working_folder(self) -> Iterator[Path]:
        """Lend a temporary folder."""
        with tempfile.TemporaryDirectory(dir=self._folder) as folder:
            yield Path(folder)

    def derived_folder(self, sha256: str, name: str) -> Path:
        """Return the folder for what can be made again from a file."""
        self._where(sha256)
        folder = self._folder / "derived" / sha256 / name
        folder.mkdir(parents=True, exist_ok=True)
        return folder

    def holds(self, path: Path) -> bool:
        """Say whether a place is the folder of the files or lies in it."""
        return path.resolve().is_relative_to(self._folder.resolve())

    def all(self) -> Iterator[str]:
        """Yield the SHA-256 of every kept file."""
        yield from sorted(path.name for path in (self._folder / "content").iterdir())

    def copy_into(self, sha256: str, folder: Path) -> str:
        """Copy a file to `ab/<sha256>` below a folder."""
        target = folder / sha256[:2] / sha256
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(self.path(sha256), target)
        return hashlib.sha256(target.read_bytes()).hexdigest()

    def sweep(self, named: Collection[str], before: float) -> list[str]:
        """Erase files that nothing names, untouched since `before`."""
        swept = [
            sha256
            for sha256 in self.all()
            if sha256 not in named and self._where(sha256).stat().st_mtime < before
        ]
        for sha256 in swept:
            self.erase(sha256)
        return swept

    def _where(self, sha256: str) -> Path:
        if not SHA256.fullmatch(sha256):
            raise InputError("This is not the name of a file", value=sha256)
        return self._folder / "content" / sha256


class FakeStore:
    """Keeps dossiers in memory and files in a temporary folder; gone when it is let go."""

    def __init__(self) -> None:
        self.state = State()
        self._folder = tempfile.TemporaryDirectory(prefix="softmend-fake-")
        self._files = FakeFiles(Path(self._folder.name))
        self._one_writer = threading.Lock()

    @property
    def files(self) -> FakeFiles:
        """Return the kept files."""
        return self._files

    @contextmanager
    def reading(self) -> Iterator[FakeReader]:
        """Open a read of one state."""
        yield FakeReader(self.state)

    @contextmanager
    def writing(self) -> Iterator[FakeWriter]:
        """Open one write transaction."""
        with self._one_writer:
            yield FakeWriter(self)

    def older_copies(self) -> list[str]:
        """Return nothing: there are no older copies."""
        return []

    def close(self) -> None:
        """Remove the files."""
        self._folder.cleanup()
