"""Points and triangles of a GLB whose every part was checked, its nodes' movements applied."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from softmend.intake.scan_glb import glb_chunks
from softmend.intake.scan_header import damaged
from softmend.intake.scan_limits import ScanLimits

Points = NDArray[np.float64]
Faces = NDArray[np.int64]

_TYPES = {5120: "<i1", 5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
_WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4}
_DRACO = "KHR_draco_mesh_compression"
_TRIANGLES = 4


def read_glb(path: Path, limits: ScanLimits) -> tuple[Points, Faces]:
    """Return the triangles of every mesh of the scene where its node puts it, Draco unpacked."""
    tree, length, start = glb_chunks(path, path.stat().st_size)
    with path.open("rb") as file:
        file.seek(start)
        body = file.read(length)
    points: list[Points] = []
    faces: list[Faces] = []
    count = 0
    for number, movement in _placed(tree):
        for primitive in tree["meshes"][number]["primitives"]:
            if primitive.get("mode", _TRIANGLES) != _TRIANGLES:
                continue
            own, corners = _primitive(tree, body, primitive)
            limits.check_counts(count + len(own), sum(len(one) for one in faces) + len(corners))
            if len(corners) and (corners.min() < 0 or corners.max() >= len(own)):
                raise damaged(
                    "a face names a corner that is not there",
                    value=int(corners.max()),
                    allowed=f"0 to {len(own) - 1}",
                )
            points.append(own @ movement[:3, :3].T + movement[:3, 3])
            faces.append(corners + count)
            count += len(own)
    if not faces:
        raise damaged("the GLB file holds no triangles", value="0 faces")
    return np.concatenate(points), np.concatenate(faces)


def _placed(tree: Mapping[str, Any]) -> Iterator[tuple[int, Points]]:
    """Yield every use of a mesh with its movement, from the roots down."""
    nodes = tree.get("nodes", [])
    below = {int(child) for node in nodes for child in node.get("children", [])}
    waiting = [(number, np.eye(4)) for number in range(len(nodes)) if number not in below]
    while waiting:
        number, above = waiting.pop()
        movement = above @ _movement(nodes[number])
        if "mesh" in nodes[number]:
            yield int(nodes[number]["mesh"]), movement
        waiting += [(int(child), movement) for child in nodes[number].get("children", [])]


def _movement(node: Mapping[str, Any]) -> Points:
    if "matrix" in node:
        return np.array(node["matrix"], dtype=np.float64).reshape(4, 4).T
    x, y, z, w = np.array(node.get("rotation", [0, 0, 0, 1]), dtype=np.float64)
    turn = np.array([
        [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
        [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
        [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
    ])  # fmt: skip
    found = np.eye(4)
    found[:3, :3] = turn * np.array(node.get("scale", [1, 1, 1]), dtype=np.float64)
    found[:3, 3] = np.array(node.get("translation", [0, 0, 0]), dtype=np.float64)
    return found


def _primitive(
    tree: Mapping[str, Any], body: bytes, one: Mapping[str, Any]
) -> tuple[Points, Faces]:
    packed = one.get("extensions", {}).get(_DRACO)
    if packed is not None:
        view = tree["bufferViews"][int(packed["bufferView"])]
        start = int(view.get("byteOffset", 0))
        mesh: Any = import_module("DracoPy").decode(body[start : start + int(view["byteLength"])])
        faces = np.asarray(mesh.faces, dtype=np.int64).reshape(-1, 3)
        return np.asarray(mesh.points, dtype=np.float64).reshape(-1, 3), faces
    points = _accessor(tree, body, int(one["attributes"]["POSITION"])).reshape(-1, 3)
    if "indices" not in one:
        return points, np.arange(len(points) // 3 * 3).reshape(-1, 3)
    listed = _accessor(tree, body, int(one["indices"])).astype(np.int64).reshape(-1)
    return points, listed[: len(listed) // 3 * 3].reshape(-1, 3)


def _accessor(tree: Mapping[str, Any], body: bytes, number: int) -> Points:
    one = tree["accessors"][number]
    view = tree["bufferViews"][int(one["bufferView"])]
    kind = np.dtype(_TYPES[one["componentType"]])
    width = _WIDTHS[one["type"]]
    start = int(view.get("byteOffset", 0)) + int(one.get("byteOffset", 0))
    stride = int(view.get("byteStride", 0)) or kind.itemsize * width
    table = np.ndarray(
        (int(one["count"]), width), kind, body, start, strides=(stride, kind.itemsize)
    ).astype(np.float64)
    if one.get("normalized"):
        table = np.maximum(table / np.iinfo(kind).max, -1.0)
    return table
