"""The child process of a scan: reads one foreign scan within limits, writes two arrays.

It is started by `softmend.intake.scan`, gets its order as one line of JSON on standard input and
answers in lines of JSON on standard output.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import math
import os
import re
import sys
import traceback
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from softmend.errors import LimitError, SoftmendError
from softmend.intake.child_said import refusal_said, say
from softmend.intake.scan_header import ScanHeader, ScanKind, damaged, scan_header
from softmend.intake.scan_limits import EXPORT, ScanLimits

Points = NDArray[np.float64]
Faces = NDArray[np.int64]

_TOO_MUCH = LimitError("the scan needs more memory than reading may use", remedy=EXPORT)
_UNREADABLE = "the scan cannot be read: the file is damaged or of a rare kind"
_SEPARATE = re.compile(rb"/[^\s]*")


def main() -> None:
    """Carry out the order on standard input and answer with counts or a refusal."""
    order = json.loads(sys.stdin.readline())
    limits = ScanLimits(**order["limits"])
    _bound(limits.memory_bytes, limits.cpu_seconds(0), limits.cpu_seconds(limits.faces))
    say(outcome(Path(order["source"]), Path(order["folder"]), limits))


def outcome(source: Path, folder: Path, limits: ScanLimits) -> dict[str, Any]:
    """Return the last word on a scan: what was read, or a refusal in one sentence."""
    try:
        return _read(source, folder, limits)
    except SoftmendError as refused:
        return refusal_said(refused)
    except MemoryError:
        traceback.print_exc()
        return refusal_said(_TOO_MUCH)
    # This is the wall between foreign bytes and the house: whatever a loader stumbles over ends
    # as one sentence, and the whole story goes to standard error.
    except Exception:
        traceback.print_exc()
        return refusal_said(damaged(_UNREADABLE))


def _read(source: Path, folder: Path, limits: ScanLimits) -> dict[str, Any]:
    header = scan_header(source, limits)
    faces = header.faces if header.faces is not None else source.stat().st_size // 100
    _bound(limits.memory(faces), limits.cpu_seconds(faces), limits.cpu_seconds(limits.faces))
    say({"stage": "reading", "faces": faces})
    points, corners, notes = _loaded(source, header, limits)
    _check_read(points, corners, limits)
    np.save(folder / "points.npy", points)
    np.save(folder / "faces.npy", corners)
    if len(corners) > limits.many_faces:
        notes.append(f"{len(corners)} faces: most computations take a while")
    return {"kind": str(header.kind), "notes": notes}


def _loaded(
    source: Path, header: ScanHeader, limits: ScanLimits
) -> tuple[Points, Faces, list[str]]:
    if header.kind is ScanKind.OBJ:
        return _obj(source.read_bytes(), limits)
    if header.kind is ScanKind.STL:
        return _stl_text(source) if header.is_text else _stl(source)
    if header.kind is ScanKind.PLY:
        from softmend.intake.scan_ply import read_ply

        return *read_ply(source), []
    from softmend.intake.scan_glb_read import read_glb

    return *read_glb(source, limits), []


def _stl(source: Path) -> tuple[Points, Faces, list[str]]:
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    facets = np.fromfile(source, dtype=record, offset=84)
    points = facets["corners"].reshape(-1, 3).astype(np.float64)
    return points, np.arange(len(points)).reshape(-1, 3), []


def _stl_text(source: Path) -> tuple[Points, Faces, list[str]]:
    found = re.findall(rb"vertex\s+(\S+)\s+(\S+)\s+(\S+)", source.read_bytes())
    if not found or len(found) % 3:
        raise damaged("the STL file is no whole list of triangles", value=f"{len(found)} corners")
    points = np.array(found).astype(np.float64)
    return points, np.arange(len(points)).reshape(-1, 3), []


def _obj(text: bytes, limits: ScanLimits) -> tuple[Points, Faces, list[str]]:
    """Return points and triangles; materials, textures and anything outside the file are left."""
    text = text.replace(b"\\\n", b" ").replace(b"\\\r\n", b" ")
    lines = re.findall(rb"^[ \t]*v[ \t]+([^\r\n]+)", text, re.MULTILINE)
    points = np.array([line.split()[:3] for line in lines]).astype(np.float64)
    named = [
        _SEPARATE.sub(b"", line).split()
        for line in re.findall(rb"^[ \t]*f[ \t]+([^\r\n]+)", text, re.MULTILINE)
    ]
    most = max(map(len, named))
    if most > limits.corners_a_face:
        raise damaged(
            "a face of the OBJ file has too many corners", value=most,
            allowed=f"up to {limits.corners_a_face}",
        )  # fmt: skip
    parts = []
    for count in sorted({len(face) for face in named if len(face) >= 3}):
        corners = np.array([face for face in named if len(face) == count]).astype(np.int64)
        parts += [corners[:, [0, k, k + 1]] for k in range(1, count - 1)]
    if not parts:
        raise damaged("the OBJ file has no face of three corners", value=f"{len(named)} faces")
    faces = np.concatenate(parts)
    if (faces == 0).any():
        raise damaged("a face of the OBJ file names corner 0", value=0, allowed="1 and up")
    return points, np.where(faces > 0, faces - 1, len(points) + faces), []


def _check_read(points: Points, faces: Faces, limits: ScanLimits) -> None:
    if points.ndim != 2 or points.shape[1:] != (3,) or len(faces) == 0:
        raise damaged(
            "the scan holds no surface", value=f"{len(points)} points, {len(faces)} faces"
        )
    limits.check_counts(len(points), len(faces))
    wrong = int((~np.isfinite(points)).any(axis=1).sum())
    if wrong:
        raise damaged(
            "points of the scan are not finite numbers", value=f"{wrong} of {len(points)}"
        )
    if float(np.abs(points).max()) > 1e12 or float(np.ptp(points, axis=0).max()) <= 0:
        raise damaged(
            "the scan has no sensible size", value=f"{float(np.ptp(points, axis=0).max()):g}"
        )
    if faces.min() < 0 or faces.max() >= len(points):
        raise damaged(
            "a face names a corner that is not there",
            value=int(faces.max() if faces.max() >= len(points) else faces.min()),
            allowed=f"0 to {len(points) - 1}",
        )


def _bound(memory: int, soft_s: float, hard_s: float) -> None:
    """Take away from this process what a scan never needs; Windows has no such limits."""
    if sys.platform == "win32":
        return
    import resource

    _, most = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (memory, most))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    ceiling = math.ceil(hard_s) + 1 if hard == resource.RLIM_INFINITY else hard
    resource.setrlimit(resource.RLIMIT_CPU, (min(math.ceil(soft_s), ceiling), ceiling))


if __name__ == "__main__":
    main()
    # Tearing down an interpreter that holds a gigabyte takes longer than leaving it to the system.
    os._exit(0)
