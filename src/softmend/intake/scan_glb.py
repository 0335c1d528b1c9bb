"""The head of a GLB: chunks, views, accessors and nodes, checked before any loader sees them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from softmend.errors import InputError
from softmend.intake.scan_header import ScanHeader, ScanKind, damaged
from softmend.intake.scan_limits import EXPORT, ScanLimits

_JSON, _BINARY = 0x4E4F534A, 0x004E4942
_MOST_JSON = 20_000_000
_COMPONENT = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
_WIDTH = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}
_TRIANGLES, _RIBBONS = 4, (5, 6)
_DRACO = "KHR_draco_mesh_compression"
_READ = {_DRACO, "KHR_mesh_quantization", "KHR_texture_transform"}


def glb_header(path: Path, size: int, limits: ScanLimits) -> ScanHeader:
    """Return the head of a GLB whose every part fits; refuse the rest in one sentence."""
    tree, binary, _ = glb_chunks(path, size)
    try:
        return _checked(tree, binary, limits)
    # A field of a foreign file may be of any type; what stumbles over it is the file's fault.
    except (KeyError, TypeError, ValueError, IndexError, AttributeError, RecursionError) as error:
        raise damaged("the description in the GLB file is broken", value=path.name) from error


def glb_chunks(path: Path, size: int) -> tuple[Mapping[str, Any], int, int]:
    """Return the description, the length of the binary part, and where it starts."""
    with path.open("rb") as file:
        head = file.read(20)
        if len(head) < 20:
            raise damaged("the GLB file is too short", value=f"{size} bytes")
        _, version, length, json_length, kind = struct.unpack("<4sIIII", head)
        if version != 2:
            raise damaged("the GLB file is of another version", value=version, allowed="version 2")
        if length > size or json_length > length - 20 or kind != _JSON:
            raise damaged(
                "the GLB file does not hold as much as its head says",
                value=f"{length} bytes said, {size} there",
            )
        if json_length > _MOST_JSON:
            raise damaged("the description in the GLB file is too long", value=json_length)
        text = file.read(json_length)
        tail = file.read(8)
    binary = 0
    if len(tail) == 8:
        binary, kind = struct.unpack("<II", tail)
        if kind != _BINARY or binary > size - 28 - json_length:
            raise damaged("the binary part of the GLB file is cut short", value=f"{binary} bytes")
    try:
        tree = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise damaged("the description in the GLB file is not JSON", value=path.name) from error
    if not isinstance(tree, dict):
        raise damaged("the description in the GLB file is broken", value=path.name)
    return tree, binary, 28 + json_length


def _checked(tree: Mapping[str, Any], binary: int, limits: ScanLimits) -> ScanHeader:
    _check_extensions(tree)
    _check_buffers(tree, binary)
    compressed = _compressed(tree)
    for number, one in enumerate(tree.get("accessors", [])):
        _check_accessor(one, number, tree, limits, is_compressed=number in compressed)
    points, faces = _counts(tree, limits)
    limits.check_counts(points, faces)
    if faces == 0:
        raise damaged("the GLB file holds no triangles", value="0 faces")
    return ScanHeader(ScanKind.GLB, points, faces, is_text=False)


def _check_extensions(tree: Mapping[str, Any]) -> None:
    needed = [name for name in tree.get("extensionsRequired", []) if name not in _READ]
    needed = [name for name in needed if not str(name).startswith("KHR_materials")]
    if needed:
        raise InputError(
            "the GLB file is packed in a way that Softmend does not read",
            value=", ".join(map(str, needed[:3])),
            allowed="plain, or Draco",
            remedy=EXPORT,
        )


def _check_buffers(tree: Mapping[str, Any], binary: int) -> None:
    buffers = tree.get("buffers", [])
    if any("uri" in one for one in (*buffers, *tree.get("images", []))):
        raise InputError(
            "the GLB file points to other files, which are never opened",
            value=str(next((one["uri"] for one in buffers if "uri" in one), "an image"))[:60],
            allowed="one file that holds everything",
            remedy="export it as one GLB file, without outside parts",
        )
    if len(buffers) > 1 or (buffers and int(buffers[0]["byteLength"]) > binary + 3):
        raise damaged(
            "the binary part of the GLB file is shorter than said", value=f"{binary} bytes"
        )
    for one in tree.get("bufferViews", []):
        start, length = int(one.get("byteOffset", 0)), int(one["byteLength"])
        if start < 0 or length < 0 or start + length > binary or int(one["buffer"]) != 0:
            raise damaged(
                "a part of the GLB file lies outside it", value=f"{start} + {length} of {binary}"
            )


def _compressed(tree: Mapping[str, Any]) -> set[int]:
    """Return the accessors that a Draco part fills."""
    found: set[int] = set()
    for mesh in tree.get("meshes", []):
        for primitive in mesh["primitives"]:
            packed = primitive.get("extensions", {}).get(_DRACO)
            if packed is not None:
                tree["bufferViews"][int(packed["bufferView"])]
                found |= set(primitive["attributes"].values())
                found |= {primitive["indices"]} if "indices" in primitive else set()
    return found


def _check_accessor(
    one: Mapping[str, Any], number: int, tree: Mapping[str, Any], limits: ScanLimits, *,
    is_compressed: bool,
) -> None:  # fmt: skip
    count = int(one["count"])
    each = _COMPONENT[one["componentType"]] * _WIDTH[one["type"]]
    if count < 0 or count > 3 * limits.points:
        limits.check_counts(max(count, 0), 0)
        raise damaged("a count in the GLB file is out of range", value=count)
    if is_compressed:
        return
    if "sparse" in one:
        _check_sparse(one, number, tree, count, each)
        if "bufferView" not in one:
            return
    if "bufferView" not in one:
        raise damaged(
            "a list in the GLB file has no bytes behind it",
            value=f"{count} entries in accessor {number}",
        )
    view = tree["bufferViews"][int(one["bufferView"])]
    stride = int(view.get("byteStride", each)) or each
    start = int(one.get("byteOffset", 0))
    needed = start + (max(count - 1, 0) * max(stride, 1) + each if count else 0)
    if start < 0 or stride < each or needed > int(view["byteLength"]):
        raise damaged(
            "a list in the GLB file is longer than its bytes", value=f"{count} in accessor {number}"
        )


def _check_sparse(
    one: Mapping[str, Any], number: int, tree: Mapping[str, Any], count: int, each: int
) -> None:
    """Refuse changes to a list that are more than the list, or that lie outside their bytes."""
    sparse = one["sparse"]
    changed = int(sparse["count"])
    sizes = (_COMPONENT[sparse["indices"]["componentType"]], each)
    for part, size in zip((sparse["indices"], sparse["values"]), sizes, strict=True):
        start = int(part.get("byteOffset", 0))
        room = int(tree["bufferViews"][int(part["bufferView"])]["byteLength"])
        if not 0 <= changed <= count or start < 0 or start + size * changed > room:
            raise damaged(
                "changes to a list in the GLB file are longer than their bytes",
                value=f"{changed} in accessor {number}",
            )


def scene_nodes(tree: Mapping[str, Any]) -> list[int]:
    """Return the nodes at the top of the scene that is shown; without one, all that are free."""
    nodes = tree.get("nodes", [])
    scenes = tree.get("scenes", [])
    if scenes:
        return [int(node) for node in scenes[int(tree.get("scene", 0))].get("nodes", [])]
    below = {int(child) for node in nodes for child in node.get("children", [])}
    return [number for number in range(len(nodes)) if number not in below]


def _counts(tree: Mapping[str, Any], limits: ScanLimits) -> tuple[int, int]:
    """Return points and faces of the scene, every use of a mesh counted; the nodes are a tree."""
    nodes = tree.get("nodes", [])
    if len(nodes) > limits.nodes:
        raise damaged(
            "the GLB file has too many nodes", value=len(nodes), allowed=f"up to {limits.nodes}"
        )
    parents = [0] * len(nodes)
    for node in nodes:
        for child in node.get("children", []):
            parents[int(child)] += 1
    free = [number for number, count in enumerate(parents) if count == 0]
    if any(count > 1 for count in parents) or len(_reached(nodes, free)) < len(nodes):
        raise damaged("the nodes of the GLB file run in a circle", value=f"{len(nodes)} nodes")
    shown = _reached(nodes, scene_nodes(tree))
    uses = [int(nodes[number]["mesh"]) for number in shown if "mesh" in nodes[number]]
    points = faces = 0
    for mesh in uses:
        for primitive in tree["meshes"][mesh]["primitives"]:
            position = tree["accessors"][int(primitive["attributes"]["POSITION"])]
            points += int(position["count"])
            listed = primitive.get("indices")
            corners = position if listed is None else tree["accessors"][int(listed)]
            mode, listed_count = primitive.get("mode", 4), int(corners["count"])
            faces += listed_count // 3 if mode == _TRIANGLES else 0
            faces += max(listed_count - 2, 0) if mode in _RIBBONS else 0
    return points, faces


def _reached(nodes: list[Any], start: list[int]) -> list[int]:
    """Return the nodes that hang below some nodes, these among them."""
    waiting = list(start)
    found: list[int] = []
    while waiting and len(found) <= len(nodes):
        found.append(waiting.pop())
        waiting += [int(child) for child in nodes[found[-1]].get("children", [])]
    return found
