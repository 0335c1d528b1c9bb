"""Bring in one foreign picture: a child process reads it, the parent keeps all of it or nothing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import os
import queue
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from softmend.errors import (
    Cancelled,
    ConflictError,
    InputError,
    LimitError,
    NoSpaceError,
    NotFoundError,
    SoftmendError,
)
from softmend.intake.facts import PictureFacts
from softmend.intake.layout import CANONICAL_NAME, PARTIAL_PREFIX
from softmend.intake.limits import STANDARD, Limits

if TYPE_CHECKING:
    from softmend.intake.canonical import Pixels

Progress = Callable[[str, float], None]

_REFUSALS: dict[str, type[SoftmendError]] = {
    "InputError": InputError,
    "LimitError": LimitError,
    "NoSpaceError": NoSpaceError,
}
_LOOK_EVERY_S = 0.1
_CPU_SIGNAL = -24  # SIGXCPU; the name is missing on Windows
_CHILD = ("-P", "-m", "softmend.intake.child")


class DecoderStopped(Exception):
    """What the child said on standard error; the cause behind a refusal, for whoever looks."""


def import_picture(
    source: Path,
    folder: Path,
    *,
    limits: Limits = STANDARD,
    progress: Progress | None = None,
    cancel: threading.Event | None = None,
) -> PictureFacts:
    """Make `folder` with `canonical.tif` and `tiles/` of its two coarsest levels; return the facts.

    The folder must not exist; it appears whole, by one rename, or not at all. The source is never
    touched. Raises InputError or LimitError with one sentence for a file that is not taken, and
    Cancelled when the event is set. A parent that is killed leaves a folder `.partial-…` behind.
    """
    _check_source(source, limits)
    if folder.exists():
        raise ConflictError("a picture stands there already", remedy="choose another folder")
    partial = Path(tempfile.mkdtemp(prefix=PARTIAL_PREFIX, dir=folder.parent))
    try:
        facts = _in_child(source, partial, limits, progress, cancel)
        _flush(partial / CANONICAL_NAME)
        partial.rename(folder)
    finally:
        shutil.rmtree(partial, ignore_errors=True)
    return facts


def read_picture(path: Path, *, limits: Limits = STANDARD) -> Pixels:
    """Return the upright pixels of any picture, read through the child: H x W x 3, or H x W."""
    from softmend.intake.canonical import read_canonical

    with tempfile.TemporaryDirectory(prefix="softmend-") as scratch:
        folder = Path(scratch) / "picture"
        import_picture(path, folder, limits=limits)
        return read_canonical(folder / CANONICAL_NAME)


def _check_source(source: Path, limits: Limits) -> None:
    if not source.exists():
        raise NotFoundError("there is no such file", value=source.name, remedy="choose it again")
    if not source.is_file():
        raise InputError("this is not a file", value=source.name, remedy="choose a picture file")
    limits.check_file_bytes(source.stat().st_size)


def _in_child(
    source: Path,
    partial: Path,
    limits: Limits,
    progress: Progress | None,
    cancel: threading.Event | None,
) -> PictureFacts:
    order = {
        "source": str(source.resolve()),
        "folder": str(partial.resolve()),
        "limits": asdict(limits),
    }
    with tempfile.TemporaryFile() as orders, tempfile.TemporaryFile() as story:
        orders.write(json.dumps(order).encode() + b"\n")
        orders.seek(0)
        child = subprocess.Popen(
            [sys.executable, *_CHILD],
            stdin=orders,
            stdout=subprocess.PIPE,
            stderr=story,
            # The child's memory is counted in addresses: idle threads must not reserve any.
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        )
        lines: queue.SimpleQueue[bytes | None] = queue.SimpleQueue()
        listener = threading.Thread(target=_listen, args=(child.stdout, lines), daemon=True)
        listener.start()
        try:
            answer = _answer(lines, limits, progress, cancel)
        except BaseException:
            child.kill()
            raise
        finally:
            child.wait()
            listener.join()
        if answer is None:
            raise _stopped(child.returncode) from _story(story)
        if "facts" in answer:
            return PictureFacts.of_plain(answer["facts"])
        raise _REFUSALS[answer["refused"]](**answer["parts"]) from _story(story)


def _answer(
    lines: queue.SimpleQueue[bytes | None],
    limits: Limits,
    progress: Progress | None,
    cancel: threading.Event | None,
) -> dict[str, Any] | None:
    """Return the child's last word, None when it died without one; tell its stages meanwhile."""
    ends_at = time.monotonic() + limits.wall_seconds(0)
    while True:
        if cancel is not None and cancel.is_set():
            raise Cancelled("the import was stopped; nothing was kept")
        if time.monotonic() > ends_at:
            raise _took_too_long()
        try:
            line = lines.get(timeout=_LOOK_EVERY_S)
        except queue.Empty:
            continue
        if line is None:
            return None
        message: dict[str, Any] = json.loads(line)
        if "stage" not in message:
            return message
        ends_at += limits.wall_seconds(message.get("pixels", 0)) - limits.wall_seconds(0)
        if progress is not None:
            progress(message["stage"], message["share"])


def _listen(said: IO[bytes], lines: queue.SimpleQueue[bytes | None]) -> None:
    """Hand every line of the child back; None marks the end of what it said."""
    with said:
        for line in said:
            lines.put(line)
    lines.put(None)


def _stopped(returncode: int | None) -> InputError:
    if returncode == _CPU_SIGNAL:
        return _took_too_long()
    return InputError(
        "the decoder gave up on this picture",
        remedy="open it in a picture editor, save it anew as TIFF or JPEG, and bring that in",
    )


def _took_too_long() -> LimitError:
    return LimitError(
        "the picture took too long to read and was stopped",
        remedy="open it in a picture editor, save it anew as TIFF or JPEG, and bring that in",
    )


def _story(story: IO[bytes]) -> DecoderStopped:
    story.seek(0)
    return DecoderStopped(story.read(20_000).decode("utf-8", "replace"))


def _flush(path: Path) -> None:
    """Make sure the canonical copy is on the disk before its folder gets its name."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())
