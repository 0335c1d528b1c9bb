"""Generators of scans, whole and hostile; nothing of them is kept in the repository."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import json
import struct
import zipfile
from pathlib import Path

import numpy as np

CORNERS = np.array([[x, y, z] for x in (0, 10) for y in (0, 20) for z in (0, 30)], dtype=float)
FACES = np.array([[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
                  [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3]])  # fmt: skip


def stl(points: np.ndarray = CORNERS, faces: np.ndarray = FACES, count: int | None = None) -> bytes:
    """Return a binary STL, its count as said."""
    record = np.zeros(len(faces), dtype=[("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")])
    record["c"] = points[faces]
    said = len(faces) if count is None else count
    return b"\0" * 80 + struct.pack("<I", said) + record.tobytes()


def ply_of(points: np.ndarray, faces: np.ndarray) -> bytes:
    """Return a mesh as a binary PLY of single precision."""
    record = np.zeros(len(faces), dtype=[("count", "u1"), ("corners", "<i4", 3)])
    record["count"], record["corners"] = 3, faces
    head = (
        f"ply\nformat binary_little_endian 1.0\nelement vertex {len(points)}\n"
        "property float x\nproperty float y\nproperty float z\n"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    return head.encode() + points.astype("<f4").tobytes() + record.tobytes()


def stl_text() -> bytes:
    """Return a text STL."""
    lines = ["solid box"]
    for face in FACES:
        corners = "".join(f"vertex {x} {y} {z}\n" for x, y, z in CORNERS[face])
        lines.append(f"facet normal 0 0 0\nouter loop\n{corners}endloop\nendfacet")
    return "\n".join([*lines, "endsolid box\n"]).encode()


def ply(form: str = "binary_little_endian", points: int = 8, faces: int = 12,
        corners: np.ndarray = CORNERS) -> bytes:  # fmt: skip
    """Return a PLY of a form, its counts as said."""
    head = (
        f"ply\nformat {form} 1.0\nelement vertex {points}\nproperty float x\nproperty float y\n"
        f"property float z\nproperty uchar red\nelement face {faces}\n"
        "property list uchar int vertex_indices\nend_header\n"
    ).encode()
    if form == "ascii":
        body = "".join(f"{x} {y} {z} 9\n" for x, y, z in corners)
        return head + (body + "".join(f"3 {a} {b} {c}\n" for a, b, c in FACES)).encode()
    order = "<" if "little" in form else ">"
    table = np.zeros(len(corners), dtype=[("p", order + "f4", 3), ("c", "u1")])
    table["p"] = corners
    rows = np.zeros(len(FACES), dtype=[("n", "u1"), ("f", order + "i4", 3)])
    rows["n"], rows["f"] = 3, FACES
    return head + table.tobytes() + rows.tobytes()


def obj(extra: str = "") -> bytes:
    """Return an OBJ with quads, textures and a library that it asks for."""
    quads = [[1, 2, 4, 3], [5, 7, 8, 6], [1, 5, 6, 2], [3, 4, 8, 7], [1, 3, 7, 5], [2, 6, 8, 4]]
    lines = ["mtllib ../../../secret.mtl", *(f"v {x} {y} {z}" for x, y, z in CORNERS)]
    lines += ["usemtl gold", *("f " + " ".join(f"{k}//1" for k in quad) for quad in quads), extra]
    return "\n".join(lines).encode() + b"\n"


def glb(change: dict | None = None, body: bytes | None = None) -> bytes:
    """Return a GLB of the box, turned and shifted by its node, with parts of its tree replaced."""
    points, faces = CORNERS.astype("<f4").tobytes(), FACES.astype("<u4").tobytes()
    binary = points + faces if body is None else body
    tree = {
        "asset": {"version": "2.0"},
        "buffers": [{"byteLength": len(binary)}],
        "bufferViews": [{"buffer": 0, "byteOffset": 0, "byteLength": len(points)},
                        {"buffer": 0, "byteOffset": len(points), "byteLength": len(faces)}],
        "accessors": [{"bufferView": 0, "componentType": 5126, "count": 8, "type": "VEC3"},
                      {"bufferView": 1, "componentType": 5125, "count": 36, "type": "SCALAR"}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "nodes": [{"children": [1], "translation": [5, 0, 0]}, {"mesh": 0, "scale": [2, 1, 1]}],
        **(change or {}),
    }  # fmt: skip
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    binary += b"\0" * (-len(binary) % 4)
    length = 28 + len(text) + len(binary)
    return (
        struct.pack("<4sIIII", b"glTF", 2, length, len(text), 0x4E4F534A) + text
        + struct.pack("<II", len(binary), 0x004E4942) + binary
    )  # fmt: skip


def ply_mixed() -> bytes:
    """Return the box as text with a flag before the corner list, and lists and lines beside it."""
    head = ["ply", "format ascii 1.0", f"element vertex {len(CORNERS)}", "property double x",
            "property double y", "property double z", "property uchar red",
            f"element face {len(FACES)}", "property uchar flag",
            "property list uchar int vertex_indices", "property list uchar float texcoord",
            "element edge 1", "property int vertex1", "property int vertex2",
            "end_header"]  # fmt: skip
    points = [f"{x:g} {y:g} {z:g} 7" for x, y, z in CORNERS]
    faces = [f"1 3 {a} {b} {c} 2 0 1" for a, b, c in FACES]
    return "\n".join([*head, *points, *faces, "0 1"]).encode() + b"\n"


def sparse_glb() -> bytes:
    """Return the box as a GLB whose first two corners stand in a list of changes."""
    wrong = CORNERS.copy()
    wrong[:2] += 500
    where = np.arange(2, dtype="<u2").tobytes()
    parts = [wrong.astype("<f4").tobytes(), FACES.astype("<u4").tobytes(), where,
             CORNERS[:2].astype("<f4").tobytes()]  # fmt: skip
    starts = np.cumsum([0, *(len(part) for part in parts)]).tolist()
    return glb(
        {
            "bufferViews": [{"buffer": 0, "byteOffset": at, "byteLength": len(part)}
                            for at, part in zip(starts[:-1], parts, strict=True)],
            "accessors": [{"bufferView": 0, "componentType": 5126, "count": 8, "type": "VEC3",
                           "sparse": {"count": 2, "values": {"bufferView": 3},
                                      "indices": {"bufferView": 2, "componentType": 5123}}},
                          {"bufferView": 1, "componentType": 5125, "count": 36, "type": "SCALAR"}],
            "nodes": [{"mesh": 0}],
        },
        b"".join(parts),
    )  # fmt: skip


# A second use of the mesh stands outside the scene that is shown; the first is mirrored.
MIRRORED = {"nodes": [{"mesh": 0, "scale": [-1, 1, 1], "translation": [10, 0, 0]},
                      {"mesh": 0, "translation": [900, 0, 0]}],
            "scenes": [{"nodes": [0]}]}  # fmt: skip


def draco_glb() -> bytes:
    """Return the box as a Draco-packed GLB."""
    import DracoPy

    packed = DracoPy.encode(CORNERS.astype(np.float32), FACES.astype(np.uint32))
    return glb(
        {
            "extensionsRequired": ["KHR_draco_mesh_compression"],
            "bufferViews": [{"buffer": 0, "byteOffset": 0, "byteLength": len(packed)}],
            "accessors": [{"componentType": 5126, "count": 8, "type": "VEC3"},
                          {"componentType": 5125, "count": 36, "type": "SCALAR"}],
            "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1, "extensions": {
                "KHR_draco_mesh_compression": {"bufferView": 0, "attributes": {"POSITION": 0}}}}]}],
            "nodes": [{"mesh": 0}],
        },
        packed,
    )  # fmt: skip


def zipped() -> bytes:
    """Return a small ZIP that would unpack to a large STL."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("big.stl", b"\0" * 50_000_000)
    return out.getvalue()


HUGE = {"accessors": [{"componentType": 5126, "count": 800_000_000, "type": "VEC3"},
                      {"bufferView": 1, "componentType": 5125, "count": 36, "type": "SCALAR"}],
        }  # fmt: skip
OUTSIDE = {"buffers": [{"byteLength": 8, "uri": "../../../etc/passwd"}]}
REMOTE = {"buffers": [{"byteLength": 8, "uri": "http://127.0.0.1/x.bin"}]}
CIRCLE = {"nodes": [{"children": [1]}, {"children": [0], "mesh": 0}]}
WRONG_INDEX = np.where(FACES == 7, 99, FACES)
WITH_NAN = np.where(CORNERS == 30, np.nan, CORNERS)

# name -> bytes, words of the refusal
REFUSED: dict[str, tuple[bytes, str]] = {
    "zip.stl": (zipped(), "this is a ZIP archive, not a scan"),
    "empty.ply": (b"", "the file is empty"),
    "count.stl": (stl(count=400_000_000), "does not hold as many faces as its head says"),
    "cut.stl": (stl()[:-20], "does not hold as many faces as its head says"),
    "short.stl": (b"\1" * 40, "too short"),
    "huge.ply": (ply(points=4_000_000_000), "does not hold as much as its head says"),
    "huge_text.ply": (ply("ascii", points=4_000_000_000), "does not hold as much as its head"),
    "few_lines.ply": (ply("ascii", points=20), "as its head says"),
    "cloud.ply": (ply(faces=0), "a cloud of points without a surface"),
    "no_end.ply": (b"ply\nformat ascii 1.0\nelement vertex 3\n", "the head of the PLY file has no"),
    "type.ply": (ply().replace(b"float x", b"quad8 x"), "no known type"),
    "nan.ply": (ply(corners=WITH_NAN), "points of the scan are not finite numbers"),
    "accessor.glb": (glb(HUGE), "the scan is larger than Softmend opens"),
    "no_bytes.glb": (
        glb({"accessors": [{"componentType": 5126, "count": 8, "type": "VEC3"}, {
            "bufferView": 1, "componentType": 5125, "count": 36, "type": "SCALAR"}]}),
        "has no bytes behind it"),
    "outside.glb": (glb(OUTSIDE), "points to other files, which are never opened"),
    "remote.glb": (glb(REMOTE), "points to other files, which are never opened"),
    "circle.glb": (glb(CIRCLE), "run in a circle"),
    "nodes.glb": (glb({"nodes": [{"mesh": 0}] * 2000}), "too many nodes"),
    "tree.glb": (glb({"meshes": 7}), "the description in the GLB file is broken"),
    "view.glb": (glb({"bufferViews": [{"buffer": 0, "byteLength": 10**9}] * 2}), "lies outside it"),
    "cut.glb": (glb()[:-40], "does not hold as much as its head says"),
    "packed.glb": (glb({"extensionsRequired": ["EXT_meshopt_compression"]}), "packed in a way"),
    "broken_draco.glb": (
        draco_glb().replace(b"DRACO", b"DRAC0"), "the scan cannot be read"),
    "changes.glb": (
        sparse_glb().replace(b'"sparse": {"count": 2', b'"sparse": {"count": 9'),
        "changes to a list in the GLB file are longer than their bytes"),
    "index.stl.obj": (obj("f 1 2 99"), "names a corner that is not there"),
    "fan.obj": (obj("f " + " ".join(["1"] * 100)), "too many corners"),
    "zero.obj": (obj("f 0 1 2"), "names corner 0"),
    "words.obj": (b"v a b c\nf 1 1 1\n", "the scan cannot be read"),
    "binary.obj": (b"v 1 2 3\nf 1 1 1\n" + b"\0" * 9000, "not a scan that Softmend reads"),
    "picture.glb": (b"\x89PNG\r\n" + b"x" * 900, "not a scan that Softmend reads"),
}  # fmt: skip
WHOLE: dict[str, bytes] = {
    "box.stl": stl(), "text.stl": stl_text(), "box.ply": ply(), "big.ply": ply("binary_big_endian"),
    "text.ply": ply("ascii"), "box.obj": obj(), "box.glb": glb(), "draco.glb": draco_glb(),
    "mixed.ply": ply_mixed(), "sparse.glb": sparse_glb(), "mirrored.glb": glb(MIRRORED),
}  # fmt: skip


def written(folder: Path, files: dict[str, bytes]) -> list[Path]:
    """Write files into a folder and return their paths."""
    paths = []
    for name, content in files.items():
        paths.append(folder / name)
        paths[-1].write_bytes(content)
    return paths
