"""The display copy of a scan as a plain quantised GLB, in the file's own unit and axes."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import struct

import numpy as np
from numpy.typing import NDArray

MOST_STEP = 32_767
_SHORT, _UNSIGNED = 5122, 5125
_NOTICE = "a copy for the eye; nothing is measured on it, and its unit is that of the scan's file"


def display_glb(points: NDArray[np.float64], faces: NDArray[np.int64]) -> bytes:
    """Return a mesh as GLB: corners as 16-bit steps about its middle, triangles as they come."""
    low, high = points.min(axis=0), points.max(axis=0)
    middle = (low + high) / 2
    step = max(float((high - low).max()) / 2 / MOST_STEP, 1e-300)
    steps = np.zeros((len(points), 4), dtype="<i2")  # a corner takes a multiple of 4 bytes
    steps[:, :3] = np.rint((points - middle) / step)
    indices = np.ascontiguousarray(faces, dtype="<u4")
    corners, sides = steps.tobytes(), indices.tobytes()
    told = {
        "asset": {"version": "2.0", "generator": "Softmend", "extras": {"notice": _NOTICE}},
        "extensionsUsed": ["KHR_mesh_quantization"],
        "extensionsRequired": ["KHR_mesh_quantization"],
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0, "translation": middle.tolist(), "scale": [step] * 3}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "buffers": [{"byteLength": len(corners) + len(sides)}],
        "bufferViews": [
            {"buffer": 0, "byteLength": len(corners), "byteStride": 8, "target": 34962},
            {"buffer": 0, "byteOffset": len(corners), "byteLength": len(sides), "target": 34963},
        ],
        "accessors": [
            {
                "bufferView": 0,
                "componentType": _SHORT,
                "count": len(points),
                "type": "VEC3",
                "min": steps[:, :3].min(axis=0).tolist(),
                "max": steps[:, :3].max(axis=0).tolist(),
            },
            {
                "bufferView": 1,
                "componentType": _UNSIGNED,
                "count": int(indices.size),
                "type": "SCALAR",
            },
        ],
    }
    text = json.dumps(told, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    body = corners + sides
    whole = 12 + 8 + len(text) + 8 + len(body)
    return b"".join(
        (
            struct.pack("<4sII", b"glTF", 2, whole),
            struct.pack("<I4s", len(text), b"JSON"),
            text,
            struct.pack("<I4s", len(body), b"BIN\0"),
            body,
        )
    )
