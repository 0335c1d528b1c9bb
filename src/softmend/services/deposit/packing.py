"""Packing: one dossier, as it stood at one moment, written part by part into a bag."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import BinaryIO

from softmend import __version__
from softmend.errors import InputError, RuleError, StorageError
from softmend.exchange.bagit import BagWriter
from softmend.exchange.jpeg_size import jpeg_size
from softmend.exchange.package import (
    CRATE,
    FORMAT,
    JOURNAL,
    PEOPLE,
    READ_ME,
    JournalLine,
    file_path,
    files_standing,
    journal_text,
    people_text,
    read_me,
    withdrawn_ids,
)
from softmend.exchange.ro_crate import Crate, CratePart, ro_crate_metadata
from softmend.records.canonical import canonical_json
from softmend.records.entry import Entry, chain_findings
from softmend.report.content import Audience
from softmend.services.bench import Bench
from softmend.services.deposit.outward import (
    OutwardReader,
    Receiver,
    travelling,
    withheld_words,
)
from softmend.services.deposit.parts import (
    Part,
    Picture,
    journal_table,
    made_parts,
)
from softmend.services.dossiers import opened
from softmend.services.examine.printing import print_copy_path
from softmend.services.examine.views import views_in
from softmend.services.legal_flags import remains_caution

Progress = Callable[[str, float], None]


class Packing:
    """One dossier on its way to one receiver."""

    def __init__(
        self, bench: Bench, dossier_id: str, receiver: Receiver, progress: Progress
    ) -> None:
        """Read the dossier once, and refuse what is damaged or may not leave the house."""
        self._bench, self._dossier_id = bench, dossier_id
        self._receiver, self._progress = receiver, progress
        with bench.store.reading() as reader:
            self.head = reader.head(dossier_id)
            self._kept = reader.entries(dossier_id)
            people = reader.people()
            caution = remains_caution(reader, dossier_id) if receiver.is_public else ""
        if self._kept[0].kind != "dossier":
            raise InputError("Only the dossier of an object is packed", remedy="Make a backup")
        _refuse_damaged(dossier_id, self._kept)
        _refuse_remains(caution)
        self._reader = OutwardReader(self._kept, people, receiver)
        going = travelling(self._kept, receiver)
        self._lines = [
            JournalLine(entry, kept.payload is not None and entry.payload is None)
            for kept, entry in zip(self._kept, going, strict=True)
        ]
        self._parts: list[CratePart] = []

    @property
    def withheld_count(self) -> int:
        """Return how many entries travel without the content that stands in the house."""
        return sum(line.is_withheld for line in self._lines)

    def write(self, target: BinaryIO) -> int:
        """Write the whole package; return how many parts its payload has."""
        pictures = self._pictures()
        with BagWriter(target, f"softmend-{self._dossier_id}", self._kept[-1].at) as bag:
            self._add_journal(bag)
            self._add_made(bag, pictures)
            self._add_files(bag, self._files(pictures))
            metadata = f"{canonical_json(ro_crate_metadata(self._crate()))}\n"
            bag.add(CRATE, metadata.encode())
            bag.finish(self._info())
        self._progress("packed", 1.0)
        return len(self._parts) + 1

    def _add_journal(self, bag: BagWriter) -> None:
        people = self._reader.people()
        withheld = withheld_words(self._kept, self._receiver)
        for part in (
            Part(
                READ_ME, "what this is, in plain words", read_me(self._receiver.custodian, withheld)
            ),
            Part(JOURNAL, "the journal, one entry a line", journal_text(self._lines)),
            Part(PEOPLE, "the people who wrote the journal", people_text(people)),
            journal_table(self._lines),
        ):
            self._add(bag, part)

    def _pictures(self) -> list[Picture]:
        """Make the smaller copies of the photographs that are kept, one at a time."""
        files = self._bench.store.files
        views = [
            Picture(entry, view)
            for entry, view in views_in(self._reader, self._dossier_id)
            if files.has(view.canonical_sha256)
        ]
        for done, picture in enumerate(views):
            self._progress(f"photograph {done + 1} of {len(views)}", 0.4 * done / len(views))
            print_copy_path(self._bench, picture.view.canonical_sha256)
        return views

    def _files(self, pictures: list[Picture]) -> dict[str, str]:
        # An original holds whatever its camera wrote into it, place and owner included, and is
        # never altered: the public gets the canonical copy, which has every pixel and no more.
        if self._receiver.is_public:
            return {
                each.view.canonical_sha256: f"view {each.view.number}, canonical copy"
                for each in pictures
            }
        return files_standing(self._kept)

    def _add_made(self, bag: BagWriter, pictures: list[Picture]) -> None:
        self._progress("report", 0.4)
        sizes = {}
        for picture in pictures:
            with self._copy(picture).open("rb") as copy:
                sizes[picture.entry.subject_id] = jpeg_size(copy)
        audience = Audience.BENCH if self._receiver.is_public else Audience.REGISTRAR
        for part in made_parts(self._bench, self._reader, self._dossier_id, audience, sizes):
            self._add(bag, part)
        for picture in pictures:
            path = self._copy(picture)
            size = path.stat().st_size
            with path.open("rb") as copy:
                sha256 = bag.add_stream(picture.path, copy, size)
            self._parts.append(CratePart(picture.path, picture.what, size, sha256))

    def _add_files(self, bag: BagWriter, standing: dict[str, str]) -> None:
        files = self._bench.store.files
        for done, (sha256, what) in enumerate(sorted(standing.items())):
            self._progress(f"file {done + 1} of {len(standing)}", 0.6 + 0.4 * done / len(standing))
            if not files.has(sha256):
                raise StorageError("A file is missing; nothing was packed", value=what)
            size = files.size(sha256)
            with files.path(sha256).open("rb") as stream:
                if bag.add_stream(file_path(sha256), stream, size) != sha256:
                    raise StorageError("A file was changed; nothing was packed", value=what)
            self._parts.append(CratePart(file_path(sha256), what, size, sha256))

    def _copy(self, picture: Picture) -> Path:
        return print_copy_path(self._bench, picture.view.canonical_sha256)

    def _add(self, bag: BagWriter, part: Part) -> None:
        sha256 = bag.add(part.path, part.data)
        self._parts.append(CratePart(part.path, part.what, len(part.data), sha256))

    def _crate(self) -> Crate:
        dossier = opened(self._reader, self._dossier_id)
        return Crate(
            dossier_id=self._dossier_id,
            title=dossier.title,
            description=_description(dossier.dossier.is_invented, self._receiver),
            dated_on=self._kept[-1].at[:10],
            software_version=__version__,
            people=self._reader.people(),
            parts=self._parts,
        )

    def _info(self) -> Iterable[tuple[str, str]]:
        yield "Softmend-Package", FORMAT
        yield "Softmend-Made-For", self._receiver.custodian or "the public"
        yield "Softmend-Head", f"{self.head.count}:{self.head.hash}"
        yield "Softmend-Withheld", str(self.withheld_count)
        yield "External-Identifier", f"urn:uuid:{self._dossier_id}"
        yield "Bag-Software-Agent", f"Softmend {__version__}"


def _description(is_invented: bool, receiver: Receiver) -> str:
    said = "The dossier of one object: its journal, report, photographs, marks and tables."
    if receiver.is_public:
        said += " Place, mass and dates of movement are withheld."
    return f"{said} The object is invented." if is_invented else said


def _refuse_damaged(dossier_id: str, journal: list[Entry]) -> None:
    for found in chain_findings(dossier_id, journal, withdrawn_ids(journal)):
        if found.is_damage:
            raise StorageError(
                "The journal is damaged; nothing was packed",
                value=f"{found.where} {found.what}",
                remedy="Run softmend verify, and restore a backup",
            )


def _refuse_remains(caution: str) -> None:
    if caution:
        raise RuleError(
            f"The remains may be human, so no public package is made: {caution}",
            rule=16,
            remedy="Name the custodian that it is made for",
        )
