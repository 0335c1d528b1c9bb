"""Bring in one foreign scan: a child process reads it, the parent takes the arrays or nothing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from softmend.errors import InputError, LimitError, NotFoundError, SoftmendError
from softmend.intake.scan_limits import EXPORT, STANDARD_SCAN, ScanLimits

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_CHILD = ("-P", "-m", "softmend.intake.scan_child")
_CPU_SIGNAL = -24  # SIGXCPU; the name is missing on Windows


class ScanReaderStopped(Exception):
    """What the child said on standard error; the cause behind a refusal, for whoever looks."""


@dataclass(frozen=True, eq=False)
class Scan:
    """A scan as its file has it, in the file's own unit, which is not known yet."""

    points: NDArray[np.float64]
    faces: NDArray[np.int64]
    kind: str
    notes: tuple[str, ...]


def read_scan(path: Path, *, limits: ScanLimits = STANDARD_SCAN) -> Scan:
    """Return the points and triangles of a PLY, STL, OBJ or GLB file, read by a child process.

    The file is never touched and nothing is left behind. Raises InputError or LimitError with one
    sentence for a file that is not taken.
    """
    import numpy as np

    if not path.exists():
        raise NotFoundError("there is no such file", value=path.name, remedy="choose it again")
    if not path.is_file():
        raise InputError("this is not a file", value=path.name, remedy="choose a scan")
    limits.check_file_bytes(path.stat().st_size)
    with tempfile.TemporaryDirectory(prefix="softmend-scan-") as scratch:
        folder = Path(scratch)
        told = _in_child(path, folder, limits)
        return Scan(
            points=np.load(folder / "points.npy", allow_pickle=False),
            faces=np.load(folder / "faces.npy", allow_pickle=False),
            kind=told["kind"],
            notes=tuple(told["notes"]),
        )


def _in_child(path: Path, folder: Path, limits: ScanLimits) -> dict[str, Any]:
    order = {"source": str(path.resolve()), "folder": str(folder), "limits": asdict(limits)}
    child = subprocess.Popen(
        [sys.executable, *_CHILD],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        # The child's memory is counted in addresses: idle threads must not reserve any.
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
    )
    # The child itself limits its processor time by the size that it finds; this is the last wall.
    most_s = limits.wall_seconds(min(path.stat().st_size // 12, limits.faces))
    try:
        said, story = child.communicate(json.dumps(order).encode() + b"\n", timeout=most_s)
    except subprocess.TimeoutExpired as error:
        child.kill()
        child.communicate()
        raise _took_too_long() from error
    except BaseException:
        child.kill()
        child.communicate()
        raise
    cause = ScanReaderStopped(story[-20_000:].decode("utf-8", "replace"))
    lines = said.splitlines()
    answer: dict[str, Any] = json.loads(lines[-1]) if lines else {"stage": "start"}
    if "kind" in answer:
        return answer
    if "refused" in answer:
        kinds: dict[str, type[SoftmendError]] = {"LimitError": LimitError}
        raise kinds.get(answer["refused"], InputError)(**answer["parts"]) from cause
    if child.returncode == _CPU_SIGNAL:
        raise _took_too_long() from cause
    raise InputError("the scan made its reader give up", value=path.name, remedy=EXPORT) from cause


def _took_too_long() -> LimitError:
    return LimitError("the scan took too long to read and was stopped", remedy=EXPORT)
