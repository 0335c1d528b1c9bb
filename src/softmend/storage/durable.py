"""Writing so that a power cut or a full disk leaves either the whole thing or nothing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from softmend.errors import NoSpaceError

_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}


def no_space() -> NoSpaceError:
    """Return the one sentence that a full disk is worth."""
    return NoSpaceError(
        "The disk is full; nothing was saved and nothing was lost",
        remedy="Free some space and try again",
    )


@contextmanager
def disk_full_said() -> Iterator[None]:
    """Turn the system's "no space left" into our sentence."""
    try:
        yield
    except OSError as failed:
        if failed.errno in _FULL:
            raise no_space() from failed
        raise


def sync_file(path: Path) -> None:
    """Return when the file's bytes are on the disk."""
    with path.open("rb+") as handle:
        os.fsync(handle.fileno())


def sync_folder(folder: Path) -> None:
    """Return when the names in a folder are on the disk."""
    # Windows keeps names with the file and cannot open a folder.
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def make_folder(folder: Path) -> None:
    """Make a folder that survives a power cut, with those above it."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    sync_folder(folder.parent)
