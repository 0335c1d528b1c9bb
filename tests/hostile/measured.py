"""Import each named file in turn and print, as JSON lines, how it ended and what it cost.

Run as a process of its own, so that the children it waits for are only the decoders.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import resource
import sys
import tempfile
import time
from pathlib import Path

from softmend.errors import SoftmendError
from softmend.intake.decode import import_picture


def measured(path: Path) -> dict[str, object]:
    """Return how one import ended, its processor seconds and the largest child so far."""
    before, started = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    told = {"name": path.name, "error": None, "sentence": ""}
    with tempfile.TemporaryDirectory() as scratch:
        try:
            import_picture(path, Path(scratch) / "picture")
        except SoftmendError as refused:
            told |= {"error": type(refused).__name__, "sentence": str(refused)}
        left = [str(found) for found in Path(scratch).rglob("*")]
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return {
        **told,
        "left": left,
        "cpu_s": cpu_s,
        "wall_s": time.monotonic() - started,
        "largest_child_bytes": after.ru_maxrss * 1024,
    }


if __name__ == "__main__":
    for argument in sys.argv[1:]:
        print(json.dumps(measured(Path(argument))), flush=True)
