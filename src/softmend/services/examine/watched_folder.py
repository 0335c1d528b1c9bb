"""The folder where a camera or phone drops photographs: shown, and brought in only when asked.

Nothing in it is ever written, moved or deleted, and no link leads out of it.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from softmend.errors import ConflictError, InputError, NotFoundError, SoftmendError
from softmend.intake.limits import STANDARD
from softmend.intake.sniff import refusal, sniff
from softmend.records.entry import Entry
from softmend.records.watched_folder import WatchedFolder
from softmend.services.bench import Author, Bench
from softmend.services.examine.folder_watch import (
    Seen,
    Watch,
    copy_of,
    entries_in,
    head_of,
    sha256_in,
)
from softmend.services.examine.views import import_photograph, views_in
from softmend.services.house_journal import HOUSE_ID, house_is_open, record_in_house
from softmend.services.recording import current_records
from softmend.services.store import Files, Reader

SUBJECT = f"{HOUSE_ID}:watched folder"
MOST_SHOWN = 500
HASHED_AT_ONE_LOOK_BYTES = 100_000_000
"""How much is read at one look to tell what is here already; the rest waits for the next."""


class Lies(Enum):
    """What is to be said of a file that lies in the folder."""

    READY = "ready"
    WRITTEN = "still being written"
    COMPARED = "being compared with what is here"
    HERE = "brought in already"
    NOT_READ = "not a photograph that is read"


@dataclass(frozen=True)
class Lying:
    """One file of the folder as the page shows it."""

    name: str
    original_bytes: int
    changed_at: str
    lies: Lies
    because: str = ""


@dataclass(frozen=True)
class Found:
    """What lies in the folder, the newest first, or the one sentence why nothing is shown."""

    folder: str
    files: tuple[Lying, ...] = ()
    more: int = 0
    problem: str = ""

    @property
    def ready(self) -> tuple[Lying, ...]:
        """Return what may be brought in, the first taken first."""
        return tuple(reversed([one for one in self.files if one.lies is Lies.READY]))

    @property
    def fingerprint(self) -> str:
        """Return what differs as soon as anything shown does."""
        return hashlib.sha256(repr(self).encode("utf-8", "replace")).hexdigest()[:16]


def house_folder(reader: Reader) -> tuple[str, str]:
    """Return the watched folder with the entry that names it; both empty when none was named."""
    if house_is_open(reader):
        for entry, watched in current_records(reader, HOUSE_ID, "watched_folder"):
            return entry.id, watched.folder
    return "", ""


def watch_folder(bench: Bench, author: Author, typed: str, based_on: str) -> Entry:
    """Record which folder this house watches, once it is there and can be read."""
    folder = str(_checked(bench.store.files, typed))
    return record_in_house(bench, author, SUBJECT, WatchedFolder(folder), based_on)


def watch_nothing(bench: Bench, author: Author, based_on: str) -> Entry:
    """Record that this house watches no folder; an earlier one stays in the journal."""
    return record_in_house(bench, author, SUBJECT, WatchedFolder(), based_on)


def lying_in_folder(bench: Bench, dossier_id: str, watch: Watch) -> Found:
    """Return what lies in the house's folder now, held against the photographs of a dossier."""
    with bench.store.reading() as reader:
        _, named = house_folder(reader)
        here = {view.original_sha256: view.number for _, view in views_in(reader, dossier_id)}
        lengths = {view.original_bytes for _, view in views_in(reader, dossier_id)}
    if not named:
        return Found("")
    try:
        folder = _standing(bench.store.files, named)
        found = entries_in(folder)
    except SoftmendError as refused:
        return Found(named, problem=refused.sentence())
    except OSError:
        return Found(named, problem=f"The folder cannot be read just now: {named}.")
    shown = found[:MOST_SHOWN]
    left = HASHED_AT_ONE_LOOK_BYTES
    files = []
    with watch.looking(named, bench.clock().timestamp()) as look:
        for name, stat in shown:
            seen = look.seen(name, stat)
            may_hash = left > 0
            if seen.sha256 is None and seen.length in lengths:
                left -= seen.length
            lies, because = _told(folder, seen, here, lengths, may_hash=may_hash)
            changed_at = seen.changed_at(bench.zone)
            files.append(Lying(_shown_name(name), seen.length, changed_at, lies, because))
    return Found(named, tuple(files), len(found) - len(shown))


def bring_in_lying(bench: Bench, author: Author, dossier_id: str, watch: Watch, name: str) -> Entry:
    """Bring in one file of the folder as an upload would be; the file itself stays as it is."""
    found = lying_in_folder(bench, dossier_id, watch)
    lying = next((one for one in found.files if one.name == name), None)
    if lying is None:
        raise NotFoundError(
            "This file no longer lies in the watched folder", value=name, remedy="Look again"
        )
    if lying.lies is Lies.HERE:
        raise ConflictError(f"{name} is brought in already, {lying.because}")
    if lying.lies is not Lies.READY:
        because = f": {lying.because}" if lying.because else ""
        raise InputError(f"{name} is {lying.lies.value}{because}", remedy="Look again in a moment")
    with bench.store.files.working_folder() as working:
        copy = working / "received"
        stamp = copy_of(Path(found.folder), name, copy)
        try:
            return import_photograph(bench, author, dossier_id, copy, name)
        except InputError as refused:
            watch.refuse(found.folder, name, stamp, refused.sentence())
            raise


def bring_in_next(bench: Bench, author: Author, dossier_id: str, watch: Watch) -> Entry | None:
    """Bring in the file that has waited longest, or None when nothing waits.

    A file that is refused stands in the list with its sentence, and the next one is taken.
    """
    passed: set[str] = set()
    while True:
        ready = lying_in_folder(bench, dossier_id, watch).ready
        waiting = [one.name for one in ready if one.name not in passed]
        if not waiting:
            return None
        passed.add(waiting[0])
        try:
            return bring_in_lying(bench, author, dossier_id, watch, waiting[0])
        except (InputError, NotFoundError):
            continue


def _told(
    folder: Path, seen: Seen, here: dict[str, int], lengths: set[int], *, may_hash: bool
) -> tuple[Lies, str]:
    if _shown_name(seen.name) != seen.name:
        return Lies.NOT_READ, "Its name cannot be written; give it another."
    if seen.is_fresh:
        return Lies.WRITTEN, ""
    try:
        if seen.refused is None:
            seen.refused = _refused(folder, seen)
        if seen.refused:
            return Lies.NOT_READ, seen.refused
        # Only a file as long as one that is here can be the same.
        if seen.sha256 is None and seen.length in lengths:
            if not may_hash:
                return Lies.COMPARED, ""
            seen.sha256 = sha256_in(folder, seen.name)
    except OSError:
        return Lies.WRITTEN, "it cannot be read yet"
    number = here.get(seen.sha256 or "")
    return (Lies.HERE, f"as view {number}") if number else (Lies.READY, "")


def _refused(folder: Path, seen: Seen) -> str:
    """Return the sentence for a file that no intake would take, by its first bytes and length."""
    try:
        STANDARD.check_file_bytes(seen.length)
    except InputError as large:
        return large.sentence()
    sniffed = sniff(head_of(folder, seen.name))
    return "" if sniffed.is_picture else refusal(Path(seen.name), sniffed).sentence()


def _shown_name(name: str) -> str:
    """Return a file's name as a page can write it."""
    return name.encode("utf-8", "replace").decode("utf-8")


def _standing(files: Files, named: str) -> Path:
    """Return the folder as it was named, refused when a link stands in its place since."""
    folder = _checked(files, named)
    if str(folder) != named:
        raise InputError(
            "The folder that is watched now leads elsewhere",
            value=named,
            remedy="Name the folder itself again",
        )
    return folder


def _checked(files: Files, typed: str) -> Path:
    """Return the folder that was named, without links, if it may be watched."""
    named = typed.strip().strip('"')
    remedy = "Name a folder that is there, from the beginning, for example /home/me/Camera"
    try:
        folder = Path(named).expanduser()
        if not named or not folder.is_absolute():
            raise InputError("This is not a whole folder name", value=named, remedy=remedy)
        folder = folder.resolve(strict=True)
        if not folder.is_dir():
            raise InputError("This is not a folder", value=named, remedy=remedy)
        with os.scandir(folder):
            pass
    except PermissionError as closed:
        raise InputError(
            "The folder cannot be read", value=named, remedy="Let this user read it"
        ) from closed
    except (OSError, ValueError, RuntimeError) as missing:
        raise InputError("The folder is not there", value=named, remedy=remedy) from missing
    if files.holds(folder):
        raise InputError(
            "This is the folder in which Softmend keeps its own files",
            value=named,
            remedy="Name the folder in which the camera or phone drops photographs",
        )
    return folder
