"""Deposit: a dossier packed whole for an archive, brought back from there, and handed over."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import errno
import hashlib
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from softmend.errors import ConflictError, InputError, NoSpaceError, NotFoundError, StorageError
from softmend.exchange.bag_reading import STANDARD, Bag, BagLimits, opened_bag
from softmend.exchange.package import file_path
from softmend.records.entry import Entry, Head
from softmend.records.handover import HandOver, checked_hand_over
from softmend.services.bench import Author, Bench
from softmend.services.deposit.outward import Receiver
from softmend.services.deposit.packing import Packing, Progress
from softmend.services.deposit.unpacking import Package, read_package
from softmend.services.recording import record_one
from softmend.services.store import Reader

PUBLIC = Receiver()
_FULL_DISK = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}


@dataclass(frozen=True)
class Packed:
    """A package made: where, its SHA-256, the head of its journal, and how much is in it."""

    path: Path
    sha256: str
    head: Head
    part_count: int
    withheld_count: int


@dataclass(frozen=True)
class Unpacked:
    """A package brought back: which dossier, its head, and whether it was here already."""

    dossier_id: str
    head: Head
    file_count: int
    was_here: bool


def pack(
    bench: Bench,
    dossier_id: str,
    out: Path,
    progress: Progress | None = None,
    receiver: Receiver = PUBLIC,
) -> Packed:
    """Write a dossier's package to a new file; the same dossier gives the same bytes.

    Whatever stops it leaves no file of that name.
    """
    packing = Packing(bench, dossier_id, receiver, progress or _quietly)
    with _written(out) as target:
        part_count = packing.write(target)
    with out.open("rb") as made:
        sha256 = hashlib.file_digest(made, "sha256").hexdigest()
    return Packed(out, sha256, packing.head, part_count, packing.withheld_count)


def look_into(source: Path, limits: BagLimits = STANDARD) -> Package:
    """Check everything in a package, and bring nothing in; public packages can be checked too."""
    with opened_bag(source, limits) as bag:
        return read_package(bag, _quietly)


def unpack(
    bench: Bench, source: Path, progress: Progress | None = None, limits: BagLimits = STANDARD
) -> Unpacked:
    """Bring a custodian's package into the house: all of it, or nothing.

    Every name, size, sum and link of the chain is checked before the first byte is written.
    """
    tell = progress or _quietly
    with whole_package(source, tell, limits) as (bag, package):
        return bring_in(bench, bag, package, tell)


@contextmanager
def whole_package(
    source: Path, progress: Progress, limits: BagLimits = STANDARD
) -> Iterator[tuple[Bag, Package]]:
    """Open a package that is sound and from which nothing is withheld."""
    with opened_bag(source, limits) as bag:
        package = read_package(bag, progress)
        if package.withheld_count:
            raise InputError(
                "This package was made for the public and cannot be brought in",
                value=f"{package.withheld_count} entries withheld in it",
                remedy="Ask for the package made for a custodian",
            )
        yield bag, package


def bring_in(bench: Bench, bag: Bag, package: Package, progress: Progress) -> Unpacked:
    """Keep a whole package: its files first, then the journal and people in one transaction."""
    with bench.store.reading() as reader:
        if _is_here(reader, package.head):
            return Unpacked(package.dossier_id, package.head, 0, was_here=True)
    count = len(package.files)
    for done, sha256 in enumerate(package.files):
        progress(f"file {done + 1} of {count}", 0.5 + 0.5 * done / count)
        with bag.stream(file_path(sha256)) as stream:
            if bench.store.files.put(stream) != sha256:
                raise StorageError("The package changed while it was unpacked; nothing is here")
    _keep(bench, package)
    progress("unpacked", 1.0)
    return Unpacked(package.dossier_id, package.head, count, was_here=False)


def record_hand_over(bench: Bench, author: Author, dossier_id: str, hand_over: HandOver) -> Entry:
    """Record that a package was given to somebody; it ended with an entry of this journal."""
    checked = checked_hand_over(hand_over)
    with bench.store.reading() as reader:
        _check_head(reader.entries(dossier_id), checked)
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=bench.fresh_id(),
        record=checked,
        based_on="",
    )


def _check_head(journal: list[Entry], handed: HandOver) -> None:
    heads = {entry.number: entry.hash for entry in journal}
    if heads.get(handed.entry_count) != handed.head_hash:
        raise InputError(
            "No package of this dossier ended with this entry",
            value=f"entry {handed.entry_count}, {handed.head_hash[:12]}…",
            allowed=f"entries 1 to {len(journal)}, each with its own hash",
            remedy="Copy both from the line that packing printed",
        )


def _is_here(reader: Reader, packed: Head) -> bool:
    try:
        here = reader.head(packed.dossier_id)
    except NotFoundError:
        return False
    if here != packed:
        raise ConflictError(
            f"This dossier is here already and differs: {here.count} entries here, "
            f"{packed.count} in the package; nothing was unpacked",
            yours=packed.hash,
            theirs=here.hash,
            remedy="Unpack it into an empty folder and compare",
        )
    return True


def _keep(bench: Bench, package: Package) -> None:
    with bench.store.writing() as writer:
        for entry in package.journal:
            if _is_known(writer, entry.id):
                raise ConflictError(
                    "An entry of the package is here in another dossier; nothing was unpacked"
                )
        writer.keep_chain(package.journal)
        here = {person.id for person in writer.people()}
        for person in package.people:
            # A name that this house keeps, or has erased, stands.
            if person.id not in here:
                writer.add_person(person)
        writer.commit()


def _is_known(reader: Reader, entry_id: str) -> bool:
    try:
        reader.entry(entry_id)
    except NotFoundError:
        return False
    return True


@contextmanager
def _written(out: Path) -> Iterator[BinaryIO]:
    if out.exists():
        raise ConflictError("This file is there already", remedy="Name a new file")
    arriving = out.with_name(f"{out.name}.arriving")
    try:
        with arriving.open("wb") as target:
            yield target
            target.flush()
            os.fsync(target.fileno())
        arriving.replace(out)
    except OSError as failed:
        if failed.errno in _FULL_DISK:
            raise NoSpaceError("The disk is full; nothing was packed") from failed
        raise StorageError(
            "The package could not be written; nothing was packed", value=failed
        ) from failed
    finally:
        arriving.unlink(missing_ok=True)


def _quietly(_what: str, _share: float) -> None:
    """Tell nobody how far the work is."""
