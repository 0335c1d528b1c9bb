"""A disk of a few megabytes that can be filled to the last byte."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import os
import resource
import subprocess
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


def can_mount(folder: Path) -> bool:
    """Say whether this user may mount a small disk, by doing it once."""
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", folder], capture_output=True, check=False
    )
    if mounted.returncode == 0:
        subprocess.run(["umount", folder], check=True)
    return mounted.returncode == 0


@contextmanager
def small_disk(folder: Path, megabytes: int) -> Iterator[Path]:
    """Give a folder in which no more than this fits; where mounting is not allowed, no longer file.

    The second way still makes the system refuse a write in the midst of a file ("file too large").
    """
    folder.mkdir()
    if can_mount(folder):
        size = f"size={megabytes}m"
        subprocess.run(["mount", "-t", "tmpfs", "-o", size, "tmpfs", folder], check=True)
        try:
            yield folder
        finally:
            subprocess.run(["umount", "--lazy", folder], check=True)
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (megabytes << 20, hard))
    try:
        yield folder
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def fill(folder: Path) -> Path:
    """Fill a disk to its last byte and return the file that does it."""
    filler = folder / "filler"
    with filler.open("wb", buffering=0) as target:
        for block in (1 << 16, 1 << 12, 1):
            try:
                while True:
                    target.write(os.urandom(block))
            except OSError:
                continue
    return filler
