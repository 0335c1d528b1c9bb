"""What services ask of a store: a protocol, so that rules run on a fake, storage plugs in."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import BinaryIO, Protocol

from softmend.records.entry import Entry, Head
from softmend.records.projection import Projection
from softmend.records.rows import DossierRow, Draft, JobRow, Person

__all__ = [
    "DossierRow",
    "Draft",
    "Files",
    "JobRow",
    "Person",
    "Reader",
    "Store",
    "Writer",
]


class Reader(Protocol):
    """What can be read; every read inside one `reading()` sees one state."""

    def dossier_ids(self) -> list[str]:
        """Return the ids of all dossiers, in order of id."""

    def head(self, dossier_id: str) -> Head:
        """Return the end of the chain; NotFoundError when there is no such dossier."""

    def entries(self, dossier_id: str, after: int = 0) -> list[Entry]:
        """Return the journal in order, from the entry numbered after + 1."""

    def entry(self, entry_id: str) -> Entry:
        """Return one entry; NotFoundError when there is none."""

    def current(self, dossier_id: str, kind: str | None = None) -> list[Entry]:
        """Return the newest entry of every subject not struck, by kind and human number.

        An entry whose content was withdrawn still stands here, with None for its payload.
        """

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

    def surveys(self) -> list[DossierRow]:
        """Return the line of every survey, newest change first; no list of dossiers has them."""

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

    def projection(self, dossier_id: str) -> Projection:
        """Return a dossier's projections as they are kept, to compare with its entries."""


class Writer(Reader, Protocol):
    """One transaction: nothing is kept unless `commit` is called."""

    def append(self, entry: Entry) -> Entry:
        """Number, chain and keep an entry and its projections; return it as kept.

        An entry of kind "dossier", "survey" or "bench_materials" opens a journal; any other needs
        one (NotFoundError).
        ConflictError when an entry of that id is already kept.
        """

    def keep_chain(self, entries: Sequence[Entry]) -> None:
        """Keep a whole dossier that was chained elsewhere, as it is; refused when it is here."""

    def save_draft(self, draft: Draft) -> None:
        """Keep a draft in place of the one before it."""

    def drop_draft(self, author_id: str, kind: str, subject_id: str) -> None:
        """Forget a draft, if there is one."""

    def add_person(self, person: Person) -> None:
        """Add somebody to the list of people."""

    def erase_name(self, person_id: str) -> None:
        """Erase a person's name; entries keep the id."""

    def erase_payload(self, entry_id: str) -> None:
        """Erase an entry's content; its hash stays (call only beside a withdrawal entry).

        Once `writing()` is left after a commit, the bytes are gone from the disk as well.
        """

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
        """Lend a temporary folder on the same disk; removed afterwards or at the next start."""

    def derived_folder(self, sha256: str, name: str) -> Path:
        """Return the folder for what can be made again from a file, such as tiles."""

    def holds(self, path: Path) -> bool:
        """Say whether a place, its links followed, is the store's own folder or lies in it."""

    def all(self) -> Iterator[str]:
        """Yield the SHA-256 of every kept file."""

    def copy_into(self, sha256: str, folder: Path) -> str:
        """Hard-link or copy a file to `ab/<sha256>` below a folder; return the copy's SHA-256."""

    def sweep(self, named: Collection[str], before: float) -> list[str]:
        """Erase files that nothing names, untouched since `before` (s since 1970); return them."""


class Store(Protocol):
    """A place where dossiers and files are kept."""

    @property
    def files(self) -> Files:
        """Return the kept files."""

    def reading(self) -> AbstractContextManager[Reader]:
        """Open a read of one state."""

    def writing(self) -> AbstractContextManager[Writer]:
        """Open one write transaction; leaving it without commit keeps nothing."""

    def older_copies(self) -> list[str]:
        """Return where else the store keeps copies of what was recorded, such as old databases."""

    def close(self) -> None:
        """Let go of every connection and lock."""
