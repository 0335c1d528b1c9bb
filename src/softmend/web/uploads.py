"""Photographs on their way in: how far each has come, and its stop button."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from fastapi import UploadFile

from softmend.services.bench import Bench


@dataclass
class Upload:
    """One file being read: what is being done, the share done, and whether to stop."""

    doing: str = "receiving"
    share: float = 0.0
    cancel: threading.Event = field(default_factory=threading.Event)

    def report(self, doing: str, share: float) -> None:
        """Note how far the reading has come."""
        self.doing, self.share = doing, share


class Uploads:
    """The files being read now, by the name that the page gave each."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._running: dict[str, Upload] = {}

    @contextmanager
    def running(self, upload_id: str) -> Iterator[Upload]:
        """Keep a file's progress while it is being read."""
        upload = Upload()
        with self._lock:
            self._running[upload_id] = upload
        try:
            yield upload
        finally:
            with self._lock:
                del self._running[upload_id]

    def find(self, upload_id: str) -> Upload | None:
        """Return a file being read, or None when it is done or not begun."""
        with self._lock:
            return self._running.get(upload_id)


@contextmanager
def received(bench: Bench, upload: UploadFile) -> Iterator[Path]:
    """Lend what was uploaded as a file on the disk where it will be kept."""
    with bench.store.files.working_folder() as folder:
        path = folder / "received"
        with path.open("wb") as kept:
            shutil.copyfileobj(upload.file, kept, 1 << 20)
        yield path
