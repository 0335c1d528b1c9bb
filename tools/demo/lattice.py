"""A net over a surface whose columns follow the lips of every crack, so that widths are exact."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tools.demo.camera import Array
from tools.demo.features import Carrier, Groove

SECTION = np.array([-1.0, -0.9, -0.55, 0.0, 0.55, 0.9, 1.0])
SECTION_DEPTH = np.array([0.0, 0.55, 0.92, 1.0, 0.92, 0.55, 0.0])
"""A crack's section: share of the half mouth, and share of the depth there."""


@dataclass(frozen=True)
class Lattice:
    """Rows by columns: where each corner lies, where it lay at rest, and how deep in a crack."""

    row: Array
    cross: Array
    rest: Array
    depth_mm: Array
    depth_share: Array


@dataclass(frozen=True)
class Edges:
    """The two sides of the net for each row, in cross coordinates."""

    low: Array
    high: Array


def lattice(
    carrier: Carrier,
    grooves: tuple[Groove, ...],
    rows: Array,
    edges: Edges,
    columns_per_gap: tuple[int, ...],
    state: str,
) -> Lattice:
    """Return the net; `columns_per_gap` has one count more than there are grooves."""
    now = _anchors(carrier, grooves, rows, edges, state)
    rest = _anchors(carrier, grooves, rows, edges, "before")
    cross: list[Array] = []
    at_rest: list[Array] = []
    depth: list[Array] = []
    share: list[Array] = []
    for gap, count in enumerate(columns_per_gap):
        part = np.linspace(0, 1, count)
        for anchors, into in ((now, cross), (rest, at_rest)):
            low, high = anchors[2 * gap][:, None], anchors[2 * gap + 1][:, None]
            into.append(low + (high - low) * part)
        depth.append(np.zeros((len(rows), count)))
        share.append(np.zeros((len(rows), count)))
        if gap < len(grooves):
            groove = grooves[gap]
            for anchors, into in ((now, cross), (rest, at_rest)):
                low, high = anchors[2 * gap + 1][:, None], anchors[2 * gap + 2][:, None]
                into.append((low + high) / 2 + (high - low) / 2 * SECTION)
            depth.append(groove.depth_at(rows, state)[:, None] * SECTION_DEPTH)
            share.append(np.broadcast_to(SECTION_DEPTH, depth[-1].shape) * (depth[-1] > 0))
    joined = [np.concatenate(parts, axis=1) for parts in (cross, at_rest, depth, share)]
    net = np.broadcast_to(rows[:, None], joined[0].shape)
    return Lattice(net, *joined)


def _anchors(
    carrier: Carrier, grooves: tuple[Groove, ...], rows: Array, edges: Edges, state: str
) -> list[Array]:
    found = [edges.low]
    for groove in grooves:
        centre, half = groove.centre(rows), groove.half_cross(carrier, rows, state)
        found += [centre - half, centre + half]
    found.append(edges.high)
    for before, after in pairwise(found):
        if np.any(after < before):
            raise ValueError("two cracks cross, or one leaves the surface")
    return found


def triangles(points_mm: Array) -> NDArray[np.uint32]:
    """Return the faces of a net of points (rows, columns, 3), outward where rows x columns is."""
    rows, columns = points_mm.shape[:2]
    corner = np.arange(rows * columns, dtype=np.uint32).reshape(rows, columns)
    a, b = corner[:-1, :-1].ravel(), corner[1:, :-1].ravel()
    c, d = corner[:-1, 1:].ravel(), corner[1:, 1:].ravel()
    return np.concatenate([np.stack([a, b, c], axis=-1), np.stack([c, b, d], axis=-1)])


def normals(points_mm: Array) -> Array:
    """Return a normal at each corner; doubled columns at a lip keep its edge sharp."""
    ab = points_mm[1:, :-1] - points_mm[:-1, :-1]
    ac = points_mm[:-1, 1:] - points_mm[:-1, :-1]
    dc = points_mm[:-1, 1:] - points_mm[1:, 1:]
    db = points_mm[1:, :-1] - points_mm[1:, 1:]
    face = np.cross(ab, ac) + np.cross(dc, db)
    total = np.zeros_like(points_mm)
    total[:-1, :-1] += face
    total[1:, :-1] += face
    total[:-1, 1:] += face
    total[1:, 1:] += face
    return np.asarray(total / np.maximum(np.linalg.norm(total, axis=-1, keepdims=True), 1e-12))
