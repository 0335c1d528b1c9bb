"""Points and triangles of a GLB whose every part was checked, its nodes' movements applied."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from softmend.intake.scan_glb import glb_chunks, scene_nodes
from softmend.intake.scan_header import damaged
from softmend.intake.scan_limits import ScanLimits

Points = NDArray[np.float64]
Faces = NDArray[np.int64]

_TYPES = {5120: "<i1", 5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
_WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4}
_DRACO = "KHR_draco_mesh_compression"
_TRIANGLES, _STRIP, _FAN = 4, 5, 6


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
            mode = primitive.get("mode", _TRIANGLES)
            if mode not in {_TRIANGLES, _STRIP, _FAN}:
                continue
            own, corners = _primitive(tree, body, primitive, mode)
            if np.linalg.det(movement[:3, :3]) < 0:
                # A mirrored part winds its faces the other way, which the format allows for.
                corners = corners[:, ::-1]
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
    waiting = [(number, np.eye(4)) for number in scene_nodes(tree)]
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
    tree: Mapping[str, Any], body: bytes, one: Mapping[str, Any], mode: int
) -> tuple[Points, Faces]:
    packed = one.get("extensions", {}).get(_DRACO)
    if packed is not None:
        view = tree["bufferViews"][int(packed["bufferView"])]
        start = int(view.get("byteOffset", 0))
        mesh: Any = import_module("DracoPy").decode(body[start : start + int(view["byteLength"])])
        faces = np.asarray(mesh.faces, dtype=np.int64).reshape(-1, 3)
        return np.asarray(mesh.points, dtype=np.float64).reshape(-1, 3), faces
    points = _accessor(tree, body, int(one["attributes"]["POSITION"])).reshape(-1, 3)
    listed = np.arange(len(points))
    if "indices" in one:
        listed = _accessor(tree, body, int(one["indices"])).astype(np.int64).reshape(-1)
    return points, _triangles(listed, mode)


def _triangles(listed: Faces, mode: int) -> Faces:
    """Return the triangles of a list, a strip or a fan of corners."""
    if mode == _TRIANGLES:
        return listed[: len(listed) // 3 * 3].reshape(-1, 3)
    if mode == _FAN:
        first = np.broadcast_to(listed[:1], max(len(listed) - 2, 0))
        return np.stack([first, listed[1:-1], listed[2:]], axis=1)
    strip = np.stack([listed[:-2], listed[1:-1], listed[2:]], axis=1)
    strip[1::2] = strip[1::2, ::-1]
    return strip


def _accessor(tree: Mapping[str, Any], body: bytes, number: int) -> Points:
    one = tree["accessors"][number]
    kind, width = np.dtype(_TYPES[one["componentType"]]), _WIDTHS[one["type"]]
    count = int(one["count"])
    table = np.zeros((count, width))
    if "bufferView" in one:
        table = _table(tree, body, one, kind, (count, width)).astype(np.float64)
    if "sparse" in one:
        sparse = one["sparse"]
        changed = int(sparse["count"])
        places = np.dtype(_TYPES[sparse["indices"]["componentType"]])
        where = _table(tree, body, sparse["indices"], places, (changed, 1))[:, 0].astype(np.int64)
        if changed and (where.min() < 0 or where.max() >= count):
            raise damaged(
                "a change to a list in the GLB file lies outside it", value=int(where.max()),
                allowed=f"0 to {count - 1}",
            )  # fmt: skip
        table[where] = _table(tree, body, sparse["values"], kind, (changed, width))
    if one.get("normalized"):
        table = np.maximum(table / np.iinfo(kind).max, -1.0)
    return table


def _table(
    tree: Mapping[str, Any], body: bytes, one: Mapping[str, Any], kind: np.dtype[Any],
    shape: tuple[int, int],
) -> NDArray[Any]:  # fmt: skip
    view = tree["bufferViews"][int(one["bufferView"])]
    start = int(view.get("byteOffset", 0)) + int(one.get("byteOffset", 0))
    stride = int(view.get("byteStride", 0)) or kind.itemsize * shape[1]
    return np.ndarray(shape, kind, body, start, strides=(stride, kind.itemsize))
