"""Packing in a process of its own: progress, a stop, and a package that waits until it is taken.

The child never touches the database: it is handed the journal as it stood, and the files.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from softmend.errors import ConflictError, NotFoundError
from softmend.records.canonical import canonical_json
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry, Head
from softmend.records.rows import JobRow, Person
from softmend.services.bench import Author, Bench
from softmend.services.deposit.archive import Packed, pack
from softmend.services.deposit.copies import log_copy, receiver_named
from softmend.services.deposit.outward import Receiver
from softmend.services.deposit.packing import Packing
from softmend.services.fake_store import FakeReader, State
from softmend.services.jobs import Jobs, Report
from softmend.services.store import Files, Writer

JOB_KIND = "package"
_FILE, _PERCENT = "package.zip", 100


@dataclass(frozen=True)
class Standing:
    """One dossier as it stood at one moment, for a process that reads no database."""

    dossier_id: str
    journal: tuple[Entry, ...]
    people: tuple[Person, ...]
    files: Files
    zone: str


@dataclass
class _Wanted:
    """One package on its way: for whom, where it lies, and whether it was taken."""

    dossier_id: str
    to_whom: str
    carried_how: str
    folder: Path
    kept: ExitStack
    is_taken: bool = False


@dataclass(frozen=True)
class PackageLine:
    """One package as a page shows it; `is_there` while its file waits to be taken."""

    job: JobRow
    to_whom: str
    is_there: bool
    is_taken: bool

    @property
    def is_under_way(self) -> bool:
        """Say whether it is still being made."""
        return self.job.state in ("waiting", "running")


class Packages:
    """The packages that this program makes; each lies in a folder that goes with the program."""

    def __init__(self, bench: Bench, jobs: Jobs) -> None:
        """Begin with none; what an earlier program made went with it."""
        self._bench, self._jobs = bench, jobs
        self._wanted: dict[str, _Wanted] = {}

    def start(self, dossier_id: str, to_whom: str, carried_how: str = NOT_KNOWN) -> str:
        """Begin to pack a dossier whole for a named custodian; return the job's id at once."""
        receiver = receiver_named(to_whom)
        standing = _standing(self._bench, dossier_id)
        # What is damaged or may not leave is refused here, before a process is started.
        Packing(_apart(standing), dossier_id, receiver, _quietly)
        kept = ExitStack()
        folder = kept.enter_context(self._bench.store.files.working_folder())
        job_id = self._jobs.start(
            JOB_KIND, dossier_id, packed_apart, standing, receiver, folder / _FILE
        )
        self._wanted[job_id] = _Wanted(dossier_id, receiver.custodian, carried_how, folder, kept)
        return job_id

    def stop(self, job_id: str) -> None:
        """Stop a package; nothing of it is kept."""
        self._jobs.stop(job_id)
        self._jobs.wait(job_id)
        self._found(job_id).kept.close()

    def take(self, author: Author, job_id: str) -> Path:
        """Log that the custodian has the package, once, and return where it lies."""
        wanted = self._found(job_id)
        row = self._jobs.wait(job_id, 0.0)
        path = wanted.folder / _FILE
        if row.state != "done" or not path.is_file():
            raise ConflictError("This package is not there to be taken", remedy="Make it again")
        if not wanted.is_taken:
            log_copy(
                self._bench, author, wanted.dossier_id, _packed(path, row.result),
                wanted.to_whom, wanted.carried_how,
            )  # fmt: skip
            wanted.is_taken = True
        return path

    def lines(self, dossier_id: str) -> list[PackageLine]:
        """Return the packages of a dossier that this program began, the newest first."""
        with self._bench.store.reading() as reader:
            rows = [row for row in reader.jobs(dossier_id) if row.kind == JOB_KIND]
        found = []
        for row in sorted(rows, key=lambda row: row.started_at, reverse=True):
            wanted = self._wanted.get(row.id)
            if wanted is not None:
                is_there = row.state == "done" and (wanted.folder / _FILE).is_file()
                found.append(PackageLine(row, wanted.to_whom, is_there, wanted.is_taken))
        return found

    def close(self) -> None:
        """Let every folder go."""
        for wanted in self._wanted.values():
            wanted.kept.close()

    def _found(self, job_id: str) -> _Wanted:
        if job_id not in self._wanted:
            raise NotFoundError("This package is not made here", remedy="Make it again")
        return self._wanted[job_id]


def packed_apart(
    _folder: Path, report: Report, standing: Standing, receiver: Receiver, out: Path
) -> str:
    """Pack what was handed over, in a process of its own; return what was packed as JSON."""

    def tell(what: str, share: float) -> None:
        report(round(_PERCENT * share), _PERCENT, what)

    packed = pack(_apart(standing), standing.dossier_id, out, tell, receiver)
    return canonical_json(
        {
            "dossier_id": packed.head.dossier_id,
            "sha256": packed.sha256,
            "entry_count": packed.head.count,
            "head_hash": packed.head.hash,
            "part_count": packed.part_count,
            "withheld_count": packed.withheld_count,
        }
    )


def _standing(bench: Bench, dossier_id: str) -> Standing:
    with bench.store.reading() as reader:
        return Standing(
            dossier_id,
            tuple(reader.entries(dossier_id)),
            tuple(reader.people()),
            bench.store.files,
            bench.zone,
        )


def _packed(path: Path, result: str) -> Packed:
    told = json.loads(result)
    head = Head(told["dossier_id"], told["entry_count"], told["head_hash"])
    return Packed(path, told["sha256"], head, told["part_count"], told["withheld_count"])


class _StandingStore:
    """A store that reads one dossier as it stood and writes nothing; its files are real."""

    def __init__(self, standing: Standing) -> None:
        """Keep what was handed over."""
        people = {person.id: person for person in standing.people}
        self._state = State({standing.dossier_id: standing.journal}, people=people)
        self._files = standing.files

    @property
    def files(self) -> Files:
        """Return the kept files."""
        return self._files

    @contextmanager
    def reading(self) -> Iterator[FakeReader]:
        """Open a read of what stood."""
        yield FakeReader(self._state)

    @contextmanager
    def writing(self) -> Iterator[Writer]:
        """Refuse: what stood cannot change."""
        raise ConflictError("A dossier that is being packed cannot be written to")
        yield

    def older_copies(self) -> list[str]:
        """Return nothing: there are no older copies."""
        return []

    def close(self) -> None:
        """Let go of nothing: everything was lent."""


def _apart(standing: Standing) -> Bench:
    return Bench(_StandingStore(standing), zone=standing.zone)


def _quietly(_what: str, _share: float) -> None:
    """Tell nobody how far the work is."""
