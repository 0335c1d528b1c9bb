"""A lock that the system lets go when its holder dies, kill -9 included."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from softmend.errors import StorageError

_PAUSE_S = 0.05

if sys.platform == "win32":
    import msvcrt

    def _take(handle: BinaryIO) -> None:
        msvcrt.locking(handle.fileno(), msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _take(handle: BinaryIO) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def try_lock(path: Path) -> BinaryIO | None:
    """Return a handle that holds the lock until it is closed, or None when another holds it."""
    handle = path.open("ab")
    try:
        _take(handle)
    except OSError:
        handle.close()
        return None
    return handle


@contextmanager
def locked(path: Path, wait_s: float, sentence: str) -> Iterator[None]:
    """Hold a lock, waiting for it at most `wait_s`; then StorageError with the sentence."""
    end = time.monotonic() + wait_s
    while (handle := try_lock(path)) is None:
        if time.monotonic() > end:
            raise StorageError(sentence, remedy="Close the other Softmend and try again")
        time.sleep(_PAUSE_S)
    with handle:
        yield
