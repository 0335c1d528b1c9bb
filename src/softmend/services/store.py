"""What the services ask of a store: a protocol, so that rules run on a fake and storage plugs in."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Protocol

from softmend.records.entry import Entry, Head


@dataclass(frozen=True)
class Person:
    """Somebody who works at the bench; `name` is None once erased."""

    id: str
    name: str | None


@dataclass(frozen=True)
class DossierRow:
    """One line of the list of dossiers, a projection of its entries."""

    dossier_id: str
    number: str
    number_issued_by: str
    what: str
    title: str
    size: str
    is_invented: bool
    entry_count: int
    opened_at: str
    changed_at: str


@dataclass(frozen=True)
class Draft:
    """A gesture not yet recorded: one mutable row per person and subject, outside the chain.

    `content` is JSON text; `based_on` is the entry the person last saw on that subject, or "".
    """

    dossier_id: str
    author_id: str
    kind: str
    subject_id: str
    content: str
    based_on: str
    saved_at: str


@dataclass(frozen=True)
class JobRow:
    """A long piece of work: its progress and how it ended.

    `state` is one of waiting, running, done, failed, stopped, interrupted.
    """

    id: str
    kind: str
    dossier_id: str | None
    state: str
    done: int
    total: int
    message: str
    result: str
    started_at: str
    changed_at: str


class Reader(Protocol):
    """What can be read; every read inside one `reading()` sees one state."""

    def head(self, dossier_id: str) -> Head:
        """Return the end of the chain; NotFoundError when there is no such dossier."""

    def entries(self, dossier_id: str, after: int = 0) -> list[Entry]:
        """Return the journal in order, from the entry numbered after + 1."""

    def entry(self, entry_id: str) -> Entry:
        """Return one entry; NotFoundError when there is none."""

    def current(self, dossier_id: str, kind: str | None = None) -> list[Entry]:
        """Return the newest entry of every subject not struck, in order of human then entry number."""

    def latest(self, kind: str, subject_id: str) -> Entry | None:
        """Return the newest entry on a subject, a strike included, or None."""

    def history(self, kind: str, subject_id: str) -> list[Entry]:
        """Return every entry on a subject, strikes included, oldest first."""

    def next_number(self, dossier_id: str, kind: str) -> int:
        """Return the next human number of a kind; numbers of struck records are never reused."""

    def dossiers(self, search: str = "", limit: int = 50, offset: int = 0) -> list[DossierRow]:
        """Return dossiers whose words begin with every searched word, newest change first."""

    def dossier_count(self, search: str = "") -> int:
        """Return how many dossiers match."""

    def draft(self, author_id: str, kind: str, subject_id: str) -> Draft | None:
        """Return one person's draft of a subject, or None."""

    def drafts(self, dossier_id: str) -> list[Draft]:
        """Return every draft in a dossier."""

    def people(self) -> list[Person]:
        """Return the people of this bench, erased ones too."""

    def job(self, job_id: str) -> JobRow:
        """Return one job; NotFoundError when there is none."""

    def jobs(self, dossier_id: str | None = None) -> list[JobRow]:
        """Return jobs, newest first."""

    def file_names(self, dossier_id: str) -> dict[str, str]:
        """Return the SHA-256 of each file that the dossier's entries name, and what it is."""


class Writer(Reader, Protocol):
    """One transaction: nothing is kept unless `commit` is called."""

    def append(self, entry: Entry) -> Entry:
        """Number, chain and keep an entry and its projections; return it as kept."""

    def save_draft(self, draft: Draft) -> None:
        """Keep a draft in place of the one before it."""

    def drop_draft(self, author_id: str, kind: str, subject_id: str) -> None:
        """Forget a draft, if there is one."""

    def add_person(self, person: Person) -> None:
        """Add somebody to the list of people."""

    def erase_name(self, person_id: str) -> None:
        """Erase a person's name; entries keep the id."""

    def erase_payload(self, entry_id: str) -> None:
        """Erase an entry's content; its hash stays (call only beside a withdrawal entry)."""

    def save_job(self, job: JobRow) -> None:
        """Keep a job's row in place of the one before it."""

    def rebuild(self, dossier_id: str) -> None:
        """Throw away a dossier's projections and make them again from its entries."""

    def commit(self) -> None:
        """Keep everything done in this transaction."""


class Files(Protocol):
    """Content-addressed files: each is named by the SHA-256 of its bytes and never changed."""

    def put(self, stream: BinaryIO) -> str:
        """Keep the stream's bytes durably and return their SHA-256; NoSpaceError when full."""

    def put_path(self, path: Path) -> str:
        """Keep a finished temporary file (it may be moved) and return its SHA-256."""

    def path(self, sha256: str) -> Path:
        """Return where the file lies, to hand to a reader; NotFoundError when there is none."""

    def has(self, sha256: str) -> bool:
        """Say whether the file is kept."""

    def size(self, sha256: str) -> int:
        """Return the file's length in bytes."""

    def erase(self, sha256: str) -> None:
        """Erase a file's content (call only beside a withdrawal entry)."""

    def working_folder(self) -> AbstractContextManager[Path]:
        """Lend a temporary folder on the same disk; it is removed afterwards or at the next start."""

    def derived_folder(self, sha256: str, name: str) -> Path:
        """Return the folder for what can be made again from a file, such as tiles."""

    def all(self) -> Iterator[str]:
        """Yield the SHA-256 of every kept file."""


class Store(Protocol):
    """A place where dossiers and files are kept."""

    @property
    def files(self) -> Files:
        """Return the kept files."""

    def reading(self) -> AbstractContextManager[Reader]:
        """Open a read of one state."""

    def writing(self) -> AbstractContextManager[Writer]:
        """Open one write transaction; leaving it without commit keeps nothing."""
