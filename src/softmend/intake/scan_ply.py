"""Points and triangles of a PLY file whose head was checked: binary either way round, or text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from softmend.intake.scan_header import Element, damaged, ply_layout

Points = NDArray[np.float64]
Faces = NDArray[np.int64]

_CODES = {
    "char": "i1", "int8": "i1", "uchar": "u1", "uint8": "u1", "short": "i2", "int16": "i2",
    "ushort": "u2", "uint16": "u2", "int": "i4", "int32": "i4", "uint": "u4", "uint32": "u4",
    "float": "f4", "float32": "f4", "double": "f8", "float64": "f8",
}  # fmt: skip
_MOST_CORNERS = 64


def read_ply(path: Path) -> tuple[Points, Faces]:
    """Return points and triangles; faces of more corners become fans."""
    form, elements, start = ply_layout(path)
    with path.open("rb") as file:
        file.seek(start)
        body = file.read()
    if form == "ascii":
        return _from_text(body, elements)
    order = "<" if form == "binary_little_endian" else ">"
    at, points, faces = 0, np.empty((0, 3)), np.empty((0, 3), dtype=np.int64)
    for one in elements:
        if any(kind.is_list for kind in one.kinds):
            rows, at = _lists(body, at, one, order, wanted=one.name == "face")
            faces = _fans(rows) if one.name == "face" else faces
            continue
        record = np.dtype(
            [(f"p{k}", order + _CODES[kind.value]) for k, kind in enumerate(one.kinds)]
        )
        _check_room(body, at + record.itemsize * one.count)
        table = np.frombuffer(body, record, one.count, at)
        at += record.itemsize * one.count
        if one.name == "vertex":
            points = np.stack(
                [table[f"p{one.properties.index(axis)}"].astype(np.float64) for axis in "xyz"], 1
            )
    return points, faces


def _check_room(body: bytes, needed: int) -> None:
    if needed > len(body):
        raise damaged(
            "the PLY file ends before its lists do", value=f"{len(body)} bytes",
            allowed=f"{needed} or more",
        )  # fmt: skip


def _lists(
    body: bytes, at: int, one: Element, order: str, *, wanted: bool
) -> tuple[list[NDArray[Any]], int]:
    """Return the corner lists of an element, grouped by length where all are alike."""
    which = next((k for k, name in enumerate(one.properties) if name.startswith("vert")), 0)
    first = np.frombuffer(body, order + _CODES[one.kinds[0].count], 1, at) if one.count and (
        one.kinds[0].is_list) else [3]  # fmt: skip
    length = int(first[0]) if len(first) else 0
    fields, record = [], 0
    for k, kind in enumerate(one.kinds):
        if kind.is_list:
            fields += [(f"n{k}", order + _CODES[kind.count]),
                       (f"p{k}", order + _CODES[kind.value], (length,))]  # fmt: skip
        else:
            fields.append((f"p{k}", order + _CODES[kind.value]))
    record_type = np.dtype(fields)
    record = record_type.itemsize
    if 0 < length <= _MOST_CORNERS and at + record * one.count <= len(body):
        table = np.frombuffer(body, record_type, one.count, at)
        counts = [table[f"n{k}"] for k, kind in enumerate(one.kinds) if kind.is_list]
        if all((count == length).all() for count in counts):
            rows = [table[f"p{which}"].astype(np.int64)] if wanted else []
            return rows, at + record * one.count
    return _one_by_one(body, at, one, order, which)


def _one_by_one(
    body: bytes, at: int, one: Element, order: str, which: int
) -> tuple[list[NDArray[Any]], int]:
    rows = []
    for _ in range(one.count):
        for k, kind in enumerate(one.kinds):
            count = 1
            if kind.is_list:
                head = np.dtype(order + _CODES[kind.count])
                _check_room(body, at + head.itemsize)
                count = int(np.frombuffer(body, head, 1, at)[0])
                at += head.itemsize
                _check_corners(count)
            values = np.dtype(order + _CODES[kind.value])
            _check_room(body, at + values.itemsize * count)
            if k == which:
                rows.append(np.frombuffer(body, values, count, at).astype(np.int64))
            at += values.itemsize * count
    return rows, at


def _check_corners(count: int) -> None:
    if not 0 <= count <= _MOST_CORNERS:
        raise damaged(
            "a face of the PLY file has too many corners", value=count,
            allowed=f"up to {_MOST_CORNERS}",
        )  # fmt: skip


def _fans(rows: list[NDArray[Any]]) -> Faces:
    """Return triangles from lists of corners; a table of like faces counts as many lists."""
    tables: dict[int, list[NDArray[Any]]] = {}
    for row in rows:
        tables.setdefault(row.shape[-1], []).append(row.reshape(-1, row.shape[-1]))
    parts = []
    for length, same in tables.items():
        table = np.concatenate(same)
        parts += [table[:, [0, k, k + 1]] for k in range(1, length - 1)]
    return np.concatenate(parts) if parts else np.empty((0, 3), dtype=np.int64)


def _from_text(body: bytes, elements: tuple[Element, ...]) -> tuple[Points, Faces]:
    lines = [line for line in body.split(b"\n") if line.strip()]
    at, points, faces = 0, np.empty((0, 3)), np.empty((0, 3), dtype=np.int64)
    for one in elements:
        own = lines[at : at + one.count]
        at += one.count
        if len(own) < one.count:
            raise damaged(
                "the PLY file does not hold as many lines as its head says",
                value=f"{len(own)} of {one.count} for {one.name}",
            )
        if one.name == "vertex":
            places = [one.properties.index(axis) for axis in "xyz"]
            words = [line.split() for line in own]
            points = np.array([[row[k] for k in places] for row in words]).astype(np.float64)
        elif one.name == "face":
            faces = _fans(_rows_of_text(own, one))
    return points, faces


def _rows_of_text(lines: list[bytes], one: Element) -> list[NDArray[Any]]:
    """Return the corner lists of faces in text, grouped by length."""
    lists = [k for k, kind in enumerate(one.kinds) if kind.is_list]
    which = next((k for k in lists if one.properties[k].startswith("vert")), lists[0])
    grouped: dict[int, list[list[bytes]]] = {}
    for line in lines:
        words, at = line.split(), 0
        for kind in one.kinds[:which]:
            at += 1 + int(words[at]) if kind.is_list else 1
        count = int(words[at]) if at < len(words) else -1
        _check_corners(count)
        corners = words[at + 1 : at + 1 + count]
        if len(corners) != count:
            raise damaged("a face of the PLY file is cut short", value=line[:40].decode("latin-1"))
        grouped.setdefault(count, []).append(corners)
    return [np.array(same).astype(np.int64) for count, same in grouped.items() if count]
