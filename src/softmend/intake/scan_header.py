"""The head of a scan, read by ourselves: which kind it is, and whether its counts fit its size."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import struct
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from softmend.errors import InputError
from softmend.intake.scan_limits import EXPORT, ScanLimits

_HEAD_BYTES = 65_536
_SIZES = {
    "char": 1, "int8": 1, "uchar": 1, "uint8": 1, "short": 2, "int16": 2, "ushort": 2, "uint16": 2,
    "int": 4, "int32": 4, "uint": 4, "uint32": 4, "float": 4, "float32": 4, "double": 8,
    "float64": 8,
}  # fmt: skip
_ARCHIVES = {b"PK\x03\x04": "a ZIP archive", b"\x1f\x8b": "a gzip archive", b"7z\xbc\xaf": "a 7z",
             b"Rar!": "a RAR archive", b"%PDF": "a PDF"}  # fmt: skip


class ScanKind(StrEnum):
    """The kinds of scan that are read."""

    PLY = "PLY"
    STL = "STL"
    OBJ = "OBJ"
    GLB = "GLB"


@dataclass(frozen=True)
class ScanHeader:
    """Kind of a scan, the points and faces it says it has (None: not said), text or not."""

    kind: ScanKind
    points: int | None
    faces: int | None
    is_text: bool


def damaged(problem: str, value: object = None, allowed: str = "") -> InputError:
    """Return the refusal of a damaged scan, with what to do."""
    return InputError(
        problem, value=value, allowed=allowed, remedy="copy it again, or export it anew"
    )


def scan_kind(path: Path) -> ScanKind:
    """Return the kind of a scan from its first bytes, with its name only to tell text apart."""
    with path.open("rb") as file:
        head = file.read(4096)
    for magic, name in _ARCHIVES.items():
        if head.startswith(magic):
            raise InputError(
                f"this is {name}, not a scan",
                value=path.name,
                allowed="PLY, STL, OBJ or GLB",
                remedy="unpack it and bring in the scan itself",
            )
    if head.startswith((b"ply\n", b"ply\r")):
        return ScanKind.PLY
    if head.startswith(b"glTF"):
        return ScanKind.GLB
    named = path.suffix.lower()
    if named == ".stl" or (named not in {".obj", ".ply", ".glb"} and _looks_like_stl(path, head)):
        return ScanKind.STL
    if named == ".obj" and b"\x00" not in head:
        return ScanKind.OBJ
    raise InputError(
        "this is not a scan that Softmend reads",
        value=path.name,
        allowed="PLY, STL, OBJ or GLB, binary or text",
        remedy=EXPORT,
    )


def _looks_like_stl(path: Path, head: bytes) -> bool:
    """Say whether a file without a known name is a binary or text STL (kept files have none)."""
    if len(head) >= 84:
        (count,) = struct.unpack_from("<I", head, 80)
        if path.stat().st_size == 84 + 50 * count:
            return True
    return head.lstrip().startswith(b"solid") and b"facet" in head


def scan_header(path: Path, limits: ScanLimits) -> ScanHeader:
    """Return the head of a scan once its counts were held against its size.

    Raises InputError or LimitError with one sentence for what cannot be a whole scan.
    """
    size = path.stat().st_size
    if size == 0:
        raise damaged("the file is empty", value=path.name)
    limits.check_file_bytes(size)
    kind = scan_kind(path)
    if kind is ScanKind.PLY:
        return _ply(path, size, limits)
    if kind is ScanKind.STL:
        return _stl(path, size, limits)
    if kind is ScanKind.GLB:
        from softmend.intake.scan_glb import glb_header

        return glb_header(path, size, limits)
    return _obj(path, size, limits)


def _stl(path: Path, size: int, limits: ScanLimits) -> ScanHeader:
    with path.open("rb") as file:
        head = file.read(1024)
    if len(head) >= 84:
        (count,) = struct.unpack_from("<I", head, 80)
        if size == 84 + 50 * count:
            limits.check_counts(3 * count, count)
            return ScanHeader(ScanKind.STL, 3 * count, count, is_text=False)
    if head.lstrip()[:5].lower() == b"solid" and b"\x00" not in head:
        # A facet of a text file is at least about 80 characters long.
        most = size // 60
        limits.check_counts(3 * min(most, limits.faces), min(most, limits.faces))
        return ScanHeader(ScanKind.STL, None, None, is_text=True)
    if len(head) < 84:
        raise damaged("the STL file is too short", value=f"{size} bytes", allowed="84 or more")
    raise damaged(
        "the STL file does not hold as many faces as its head says",
        value=f"{count} faces in {size} bytes",
        allowed=f"{84 + 50 * count} bytes",
    )


@dataclass(frozen=True)
class Property:
    """The type of one property of a PLY element; `count` is the type of a list's length."""

    value: str
    count: str = ""

    @property
    def is_list(self) -> bool:
        """Say whether it is a list."""
        return bool(self.count)

    @property
    def least_bytes(self) -> int:
        """The fewest bytes that it takes; a list may be empty."""
        return _SIZES[self.count] if self.is_list else _SIZES[self.value]


@dataclass
class Element:
    """One kind of element of a PLY file: its name, how many, and the properties in order."""

    name: str
    count: int
    properties: tuple[str, ...] = ()
    kinds: tuple[Property, ...] = ()


def ply_layout(path: Path) -> tuple[str, tuple[Element, ...], int]:
    """Return format, elements and the place where the body of a PLY file starts."""
    with path.open("rb") as file:
        head = file.read(_HEAD_BYTES)
    end = head.find(b"end_header")
    if end < 0:
        raise damaged("the head of the PLY file has no end", value=path.name)
    body_start = head.find(b"\n", end) + 1 or len(head)
    lines = head[:end].decode("latin-1").splitlines()
    form = next((line.split()[1] for line in lines if line.startswith("format ")), "")
    if form not in {"ascii", "binary_little_endian", "binary_big_endian"}:
        raise damaged("the PLY file has no known format", value=form or "none")
    return form, _ply_elements(lines), body_start


def _ply(path: Path, size: int, limits: ScanLimits) -> ScanHeader:
    form, elements, body_start = ply_layout(path)
    vertex = next((one for one in elements if one.name == "vertex"), None)
    face = next((one for one in elements if one.name == "face"), None)
    if vertex is None or not {"x", "y", "z"} <= set(vertex.properties):
        raise damaged("the PLY file has no points with x, y and z", value=path.name)
    if face is None or face.count == 0:
        raise InputError(
            "the scan is a cloud of points without a surface",
            value=f"{vertex.count} points, no faces",
            allowed="a surface of triangles",
            remedy="make a mesh of it in the scanner's program and export that",
        )
    if any(kind.is_list for kind in vertex.kinds) or not any(k.is_list for k in face.kinds):
        raise damaged("the points or faces of the PLY file are stored in a rare way")
    least = sum(one.count * _least_bytes(one, form) for one in elements)
    if least > size - body_start:
        raise damaged(
            "the PLY file does not hold as much as its head says",
            value=f"{vertex.count} points and {face.count} faces in {size} bytes",
            allowed=f"at least {least + body_start} bytes",
        )
    limits.check_counts(vertex.count, face.count)
    return ScanHeader(ScanKind.PLY, vertex.count, face.count, is_text=form == "ascii")


def _least_bytes(one: Element, form: str) -> int:
    if form == "ascii":
        return max(2 * len(one.properties) + (6 if one.name == "face" else 0), 1)
    return sum(kind.least_bytes for kind in one.kinds) + (3 if one.name == "face" else 0)


def _ply_elements(lines: list[str]) -> tuple[Element, ...]:
    found: list[Element] = []
    for line in lines:
        words = line.split()
        if len(words) == 3 and words[0] == "element":
            if not words[2].isdigit():
                raise damaged("a count in the PLY file is no number", value=words[2][:40])
            found.append(Element(words[1], int(words[2])))
        elif len(words) >= 3 and words[0] == "property" and found:
            kinds = words[2:4] if words[1] == "list" else words[1:2]
            unknown = [kind for kind in kinds if kind not in _SIZES]
            if unknown or len(words) != (5 if words[1] == "list" else 3):
                raise damaged("a property of the PLY file has no known type", value=line[:60])
            one = found[-1]
            one.properties = (*one.properties, words[-1])
            one.kinds = (*one.kinds, Property(kinds[-1], kinds[0] if len(kinds) == 2 else ""))
    if len(found) > 32:
        raise damaged("the PLY file has too many kinds of element", value=len(found))
    return tuple(found)


def _obj(path: Path, size: int, limits: ScanLimits) -> ScanHeader:
    points = faces = 0
    with path.open("rb") as file:
        while block := file.read(8_000_000):
            block += file.readline(1_000_000)
            if b"\x00" in block:
                raise damaged("the OBJ file holds bytes that are no text", value=path.name)
            text = b"\n" + block
            points += text.count(b"\nv ") + text.count(b"\nv\t")
            faces += text.count(b"\nf ") + text.count(b"\nf\t")
    if points == 0 or faces == 0:
        raise damaged(
            "the OBJ file has no points or no faces", value=f"{points} points, {faces} faces"
        )
    limits.check_counts(points, faces)
    return ScanHeader(ScanKind.OBJ, points, faces, is_text=True)
