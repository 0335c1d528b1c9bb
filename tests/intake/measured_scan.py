"""Read each named scan in turn and print, as JSON lines, how it ended and what it cost.

Run as a process of its own, so that the children it waits for are only the readers of scans.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import resource
import sys
import tempfile
from pathlib import Path

from softmend.errors import SoftmendError
from softmend.intake.scan import read_scan


def measured(path: Path) -> dict[str, object]:
    """Return how one reading ended, its processor seconds and the largest child so far."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    told = {"name": path.name, "error": "", "sentence": "", "remedy": ""}
    with tempfile.TemporaryDirectory() as scratch:
        tempfile.tempdir = scratch
        try:
            read_scan(path)
        except SoftmendError as refused:
            told |= {"error": type(refused).__name__, "sentence": str(refused)}
            told["remedy"] = refused.remedy or ""
        tempfile.tempdir = None
        left = [str(found) for found in Path(scratch).rglob("*")]
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return {**told, "left": left, "cpu_s": cpu_s, "largest_child_bytes": after.ru_maxrss * 1024}


if __name__ == "__main__":
    for argument in sys.argv[1:]:
        print(json.dumps(measured(Path(argument))), flush=True)
