"""What was seen of a folder's files at the look before, and how one is opened without a link."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import errno
import hashlib
import os
import stat as status
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from io import BufferedReader
from pathlib import Path

from softmend.errors import InputError, NoSpaceError
from softmend.intake.limits import STANDARD
from softmend.intake.sniff import HEAD_BYTES

SETTLES_S = 2.0
"""How long a file must have been left alone before it is taken to be whole."""

PASSED_OVER = (".part", ".partial", ".tmp", ".temp", ".crdownload", ".download", "~")
_BLOCK = 1 << 20
_LAST_SECOND = 253_402_300_799  # 9999-12-31: a broken clock may have stamped anything
# A link put in a file's place between look and opening is not followed, nor does a pipe hold us up.
_OPENED = (
    os.O_RDONLY
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_BINARY", 0)
)

Stamp = tuple[int, int, int]


@dataclass
class Seen:
    """One file as it was seen: since when unchanged, what was found of it so far."""

    name: str
    stamp: Stamp
    since: float
    is_fresh: bool
    refused: str | None = None
    sha256: str | None = None

    @property
    def length(self) -> int:
        """Return how long the file is, in bytes."""
        return self.stamp[0]

    def changed_at(self, zone: str) -> str:
        """Return when the file says that it was last changed, as entries write times."""
        second = min(max(self.stamp[1] / 1e9, 0), _LAST_SECOND)
        return f"{datetime.fromtimestamp(second, UTC):%Y-%m-%dT%H:%M:%S}.000Z[{zone}]"


class Look:
    """One look at the folder; what it does not see again is forgotten."""

    def __init__(self, before: dict[str, Seen], now: float) -> None:
        """Hold this look against the one `before`."""
        self._before = before
        self._now = now
        self.after: dict[str, Seen] = {}

    def seen(self, name: str, stat: os.stat_result) -> Seen:
        """Return what is known of a file; anything that changed of it makes it fresh again."""
        stamp, before = stamp_of(stat), self._before.get(name)
        # The time of the last change of any kind: a copy may bring an old time of its own along.
        newest = max(stat.st_mtime, stat.st_ctime)
        if before is not None and before.stamp == stamp:
            one = before
        else:
            since = min(newest, self._now) if before is None else self._now
            one = Seen(name, stamp, since, is_fresh=True)
        one.is_fresh = self._now - one.since < SETTLES_S
        self.after[name] = one
        return one


class Watch:
    """The looks of this start of Softmend at the watched folder, one at a time."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._folder = ""
        self._seen: dict[str, Seen] = {}

    @contextmanager
    def looking(self, folder: str, now: float) -> Iterator[Look]:
        """Lend a look at a folder at the time `now`, in seconds since 1970."""
        with self._lock:
            look = Look(self._seen if folder == self._folder else {}, now)
            yield look
            self._folder, self._seen = folder, look.after

    def refuse(self, folder: str, name: str, stamp: Stamp, sentence: str) -> None:
        """Remember why a file was refused, until it changes."""
        with self._lock:
            seen = self._seen.get(name)
            if folder == self._folder and seen is not None and seen.stamp == stamp:
                seen.refused = sentence


def stamp_of(stat: os.stat_result) -> Stamp:
    """Return what changes when a file is written: its length and its two times."""
    return stat.st_size, stat.st_mtime_ns, stat.st_ctime_ns


def entries_in(folder: Path) -> list[tuple[str, os.stat_result]]:
    """Return the plain files directly in a folder, the newest first; no links, nothing hidden."""
    found = []
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.startswith((".", "~")) or entry.name.lower().endswith(PASSED_OVER):
                continue
            try:
                # Not the entry's own answer: on Windows that may be older than the file.
                stat = os.lstat(entry.path)
            except OSError:
                continue  # it went away since
            if status.S_ISREG(stat.st_mode):
                found.append((entry.name, stat))
    return sorted(found, key=lambda one: (-one[1].st_mtime_ns, one[0]))


def head_of(folder: Path, name: str) -> bytes:
    """Return the first bytes of a file in the folder."""
    with _opened(folder, name) as file:
        return file.read(HEAD_BYTES)


def sha256_in(folder: Path, name: str) -> str:
    """Return the SHA-256 of a file in the folder."""
    with _opened(folder, name) as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def copy_of(folder: Path, name: str, target: Path) -> Stamp:
    """Copy a file of the folder; InputError when it cannot be read or changes meanwhile."""
    try:
        with _opened(folder, name) as source, target.open("wb") as kept:
            before = os.fstat(source.fileno())
            STANDARD.check_file_bytes(before.st_size)
            left = before.st_size
            while left and (block := source.read(min(left, _BLOCK))):
                kept.write(block)
                left -= len(block)
            after = os.fstat(source.fileno())
    except OSError as closed:
        if closed.errno in (errno.ENOSPC, errno.EDQUOT):
            raise NoSpaceError(
                "The disk is full; nothing was saved", remedy="Free some space and try again"
            ) from closed
        raise InputError(
            "The file cannot be read", value=name, remedy="Wait until it is written, or copy it"
        ) from closed
    if left or stamp_of(before) != stamp_of(after):
        raise InputError(
            "The file is still being written", value=name, remedy="Look again in a moment"
        )
    return stamp_of(before)


def _opened(folder: Path, name: str) -> BufferedReader:
    file = os.fdopen(os.open(folder / name, _OPENED), "rb")
    if not status.S_ISREG(os.fstat(file.fileno()).st_mode):
        file.close()
        raise PermissionError(f"{name} is not a plain file")
    return file
