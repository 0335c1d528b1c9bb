"""Content-addressed files in a folder: each named by its SHA-256, written once, never changed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from collections.abc import Collection, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from softmend.errors import InputError, NotFoundError
from softmend.records.projection import SHA256
from softmend.storage.durable import disk_full_said, make_folder, sync_file, sync_folder
from softmend.storage.lock import try_lock

_BLOCK = 1 << 20
_ARRIVING = ".arriving-"
_LOCK = ".lock"
_READ_ONLY = 0o444


class FolderFiles:
    """Keeps files below `folder/files`; what can be made again lies in `folder/derived`."""

    def __init__(self, folder: Path) -> None:
        """Make the folders and clear what a killed process left in the working folder."""
        self._content = folder / "files"
        self._derived = folder / "derived"
        self._working = folder / "working"
        with disk_full_said():
            for each in (self._content, self._derived, self._working):
                make_folder(each)
        self._clear_working_folders()

    def put(self, stream: BinaryIO) -> str:
        """Keep the stream's bytes durably and return their SHA-256; NoSpaceError when full."""
        with disk_full_said():
            number, name = tempfile.mkstemp(prefix=_ARRIVING, dir=self._content)
            arriving = Path(name)
            try:
                with os.fdopen(number, "wb") as target:
                    sha256 = _copied(stream, target)
                self._place(arriving, sha256)
            finally:
                arriving.unlink(missing_ok=True)
        return sha256

    def put_path(self, path: Path) -> str:
        """Keep a finished temporary file, which is moved when it lies on the same disk."""
        if path.stat().st_dev != self._content.stat().st_dev:
            with path.open("rb") as stream:
                return self.put(stream)
        with disk_full_said():
            sha256 = sha256_of(path)
            sync_file(path)
            self._place(path, sha256)
        return sha256

    def path(self, sha256: str) -> Path:
        """Return where the file lies; NotFoundError when there is none."""
        where = self._where(sha256)
        if not where.is_file():
            raise NotFoundError("There is no such file", value=sha256)
        return where

    def has(self, sha256: str) -> bool:
        """Say whether the file is kept."""
        return self._where(sha256).is_file()

    def size(self, sha256: str) -> int:
        """Return the file's length in bytes."""
        return self.path(sha256).stat().st_size

    def erase(self, sha256: str) -> None:
        """Erase a file's content and everything that was made from it."""
        where = self.path(sha256)
        shutil.rmtree(self._derived / sha256, ignore_errors=True)
        # Windows does not remove a read-only file. On one disk with a hard-linked backup the
        # copy there stays, and stays read-only.
        if os.name == "nt":
            where.chmod(0o600)
        where.unlink()
        sync_folder(where.parent)

    @contextmanager
    def working_folder(self) -> Iterator[Path]:
        """Lend a temporary folder on the same disk; removed afterwards or at the next start."""
        lock, held = self._working_lock()
        folder = lock.with_suffix("")
        try:
            folder.mkdir(mode=0o700)
            yield folder
        finally:
            shutil.rmtree(folder, ignore_errors=True)
            held.close()
            lock.unlink(missing_ok=True)

    def derived_folder(self, sha256: str, name: str) -> Path:
        """Return the folder for what can be made again from a file, such as tiles."""
        self._where(sha256)
        if not name.replace("-", "").replace("_", "").isalnum():
            raise InputError("This is not the name of a derived folder", value=name)
        folder = self._derived / sha256 / name
        folder.mkdir(parents=True, exist_ok=True)
        return folder

    def holds(self, path: Path) -> bool:
        """Say whether a place, its links followed, is the store's own folder or lies in it."""
        return path.resolve().is_relative_to(self._content.parent.resolve())

    def all(self) -> Iterator[str]:
        """Yield the SHA-256 of every kept file, in order."""
        for folder in sorted(self._content.iterdir()):
            if folder.is_dir():
                yield from sorted(each.name for each in folder.iterdir())

    def copy_into(self, sha256: str, folder: Path) -> str:
        """Hard-link or copy a file to `ab/<sha256>` below a folder; return the copy's SHA-256."""
        source = self.path(sha256)
        target = folder / sha256[:2] / sha256
        with disk_full_said():
            make_folder(target.parent)
            if not target.exists():
                _linked_or_copied(source, target)
        return sha256_of(target)

    def sweep(self, named: Collection[str], before: float) -> list[str]:
        """Erase files that nothing names, untouched since `before` (s since 1970); return them."""
        for arriving in self._content.glob(f"{_ARRIVING}*"):
            if arriving.stat().st_mtime < before:
                arriving.unlink(missing_ok=True)
        swept = []
        for sha256 in self.all():
            if sha256 not in named and self.path(sha256).stat().st_mtime < before:
                self.erase(sha256)
                swept.append(sha256)
        return swept

    def _place(self, finished: Path, sha256: str) -> None:
        where = self._where(sha256)
        make_folder(where.parent)
        if where.is_file():
            # A fresh date keeps the sweep away until an entry names the file.
            os.utime(where)
            finished.unlink()
            return
        finished.chmod(_READ_ONLY)
        finished.replace(where)
        sync_folder(where.parent)

    def _where(self, sha256: str) -> Path:
        if not SHA256.fullmatch(sha256):
            raise InputError("This is not the name of a file", value=sha256)
        return self._content / sha256[:2] / sha256

    def _working_lock(self) -> tuple[Path, BinaryIO]:
        while True:
            number, name = tempfile.mkstemp(suffix=_LOCK, dir=self._working)
            os.close(number)
            # None: another process that starts just now took it for a dead one's.
            if (held := try_lock(Path(name))) is not None:
                return Path(name), held

    def _clear_working_folders(self) -> None:
        for lock in self._working.glob(f"*{_LOCK}"):
            if (held := try_lock(lock)) is not None:
                shutil.rmtree(lock.with_suffix(""), ignore_errors=True)
                held.close()
                lock.unlink(missing_ok=True)


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file's bytes."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _copied(stream: BinaryIO, target: BinaryIO) -> str:
    digest = hashlib.sha256()
    while block := stream.read(_BLOCK):
        digest.update(block)
        target.write(block)
    target.flush()
    os.fsync(target.fileno())
    return digest.hexdigest()


def _linked_or_copied(source: Path, target: Path) -> None:
    with suppress(OSError):
        # Another disk, or one without hard links: then it is copied.
        os.link(source, target)
        sync_folder(target.parent)
        return
    number, name = tempfile.mkstemp(prefix=_ARRIVING, dir=target.parent)
    try:
        with os.fdopen(number, "wb") as copy, source.open("rb") as original:
            _copied(original, copy)
        Path(name).chmod(_READ_ONLY)
        Path(name).replace(target)
    finally:
        Path(name).unlink(missing_ok=True)
    sync_folder(target.parent)
