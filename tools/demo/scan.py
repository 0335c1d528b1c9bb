"""Write the demo's two scans of the antler, and what is true of them.

    python -m tools.demo.scan --out src/softmend/demo

makes antler-scan.glb (before the winter), antler-scan-after.glb (after it: cracks opened, a chip
gone, the scan lies elsewhere) and scan-truth.json again, in about a minute of one processor. Needs
nothing beside the house's own packages. The truth is summed over the description from which the
meshes are cut, not measured on them.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import argparse
import json
import re
import struct
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from tools.demo.antler import CARRIER, GROOVES
from tools.demo.body import EDGE_MM, WAVE_SD_MM, Body, scanned_body
from tools.demo.body_truth import (
    area_mm2_at,
    body_bulk,
    chip_truth,
    crack_truths,
    diameters,
    void_truth,
)
from tools.demo.camera import Array
from tools.demo.features import Groove

BITS = 16
TURN_DEG, AXIS, SHIFT_MM = 23.0, (0.36, 0.48, 0.8), (140.0, -65.0, 310.0)
"""How the scan after the winter lies to the one before."""
SEEDS = {"before": 31, "after": 32}


def glb(body: Body) -> bytes:
    """Return a mesh as a GLB in metres, packed by Draco."""
    points = (body.points_mm * 1e-3).astype(np.float32)
    packed: bytes = import_module("DracoPy").encode(
        points, body.faces.astype(np.uint32), quantization_bits=BITS, compression_level=7
    )
    low, high = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    draco = {"bufferView": 0, "attributes": {"POSITION": 0}}
    name = "KHR_draco_mesh_compression"
    tree = {
        "asset": {"version": "2.0", "generator": "tools/demo/scan.py; invented"},
        "extensionsUsed": [name],
        "extensionsRequired": [name],
        "buffers": [{"byteLength": len(packed)}],
        "bufferViews": [{"buffer": 0, "byteOffset": 0, "byteLength": len(packed)}],
        "accessors": [
            {"componentType": 5126, "count": len(points), "type": "VEC3", "min": low, "max": high},
            {"componentType": 5125, "count": body.faces.size, "type": "SCALAR"},
        ],
        "meshes": [{"primitives": [
            {"attributes": {"POSITION": 0}, "indices": 1, "extensions": {name: draco}}]}],
        "nodes": [{"mesh": 0, "name": "antler"}],
        "scenes": [{"nodes": [0]}],
        "scene": 0,
    }  # fmt: skip
    text = json.dumps(tree, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    packed += b"\0" * (-len(packed) % 4)
    return (
        struct.pack("<4sIIII", b"glTF", 2, 28 + len(text) + len(packed), len(text), 0x4E4F534A)
        + text + struct.pack("<II", len(packed), 0x004E4942) + packed
    )  # fmt: skip


def movement() -> tuple[Array, Array]:
    """Return the turn and the shift [mm] that the later scan lies by."""
    x, y, z = AXIS
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    angle = np.radians(TURN_DEG)
    turn = np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross
    return turn, np.array(SHIFT_MM)


def measured() -> dict[str, Any]:
    """Return a length that a person could measure: between the tips of crack 1."""
    crack: Groove = next(groove for groove in GROOVES if groove.name == "crack 1")
    rows = np.array([crack.start, crack.end])
    tips = CARRIER.points(rows, crack.centre(rows), np.zeros(2))
    return {
        "what": "straight from tip to tip of crack 1",
        "between_mm": np.round(tips, 2).tolist(),
        "length_mm": round(float(np.linalg.norm(tips[1] - tips[0])), 2),
    }


def truth() -> dict[str, Any]:
    """Return what is true of both scans."""
    turn, shift = movement()
    before = body_bulk("before")
    return {
        "invented": "Nothing here exists: the antler and its scans are made by a script.",
        "unit": "the files are in metres; all places here are in mm, in the earlier scan's axes",
        "mesh_edge_mm": EDGE_MM,
        "waviness_sd_mm": WAVE_SD_MM,
        "cracks_seen": "no deeper than they are wide",
        "measured": measured(),
        "volume_mm3": round(before.volume, -1),
        "centre_mm": np.round(before.centre, 3).tolist(),
        "area_mm2_by_edge_mm": {str(edge): round(area_mm2_at(edge), -1) for edge in (0.3, 1.7)},
        "void": void_truth(),
        "cracks": crack_truths(),
        "diameters_of_the_smooth_body": diameters(),
        "after": {
            "turn": np.round(turn, 9).tolist(),
            "shift_mm": shift.tolist(),
            "chip": chip_truth(),
        },
    }


def written(told: dict[str, Any]) -> str:
    """Return JSON with one line for each list of numbers."""
    text = json.dumps(told, indent=1, ensure_ascii=False)
    numbers = re.compile(r"\[[\s\d.,\-\[\]e]*\]")
    return numbers.sub(lambda found: re.sub(r"\s+", " ", found[0]), text) + "\n"


def scan(state: str) -> bytes:
    """Return the file of one scan."""
    body = scanned_body(SEEDS[state], state)
    if state == "after":
        turn, shift = movement()
        body = Body(body.points_mm @ turn.T + shift, body.faces)
    return glb(body)


def main() -> None:
    """Read the command line and write the three files."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--out", type=Path, required=True)
    out: Path = parser.parse_args().out
    for name, state in (("antler-scan.glb", "before"), ("antler-scan-after.glb", "after")):
        (out / name).write_bytes(scan(state))
    (out / "scan-truth.json").write_text(written(truth()), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
