"""The outline that a plane cuts from a scan: its area, its widths, the hollows in it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from softmend.science.solid.mesh import Faces, Flags, Mesh
from softmend.science.solid.section import polygon_moments
from softmend.science.uncertain import Array


@dataclass(frozen=True, eq=False)
class Loop:
    """One closed or open row of points (k, 2) in the plane [m], and the area within it [m2].

    The area of a hollow is below 0.
    """

    points: Array
    area: float
    is_closed: bool


@dataclass(frozen=True, eq=False)
class Outline:
    """All that a plane meets of a scan: rows of points, the widths of the largest [m].

    `origin` and `frame` (rows x, y, along) place the points in space, `edge` is the mean edge of
    the faces that were cut [m], `sag` about how far a true round lies off between corners [m].
    """

    origin: Array
    frame: Array
    loops: tuple[Loop, ...]
    greatest: float
    least: float
    edge: float
    sag: float

    @property
    def is_closed(self) -> bool:
        """Say whether the scan is closed all round in this plane."""
        return all(loop.is_closed for loop in self.loops)

    @property
    def area(self) -> float:
        """The area of the material [m2]."""
        return float(sum(loop.area for loop in self.loops))

    @property
    def hollow(self) -> float:
        """The area of the hollows [m2]."""
        return float(-sum(min(loop.area, 0.0) for loop in self.loops))

    @property
    def around(self) -> float:
        """The length of all outlines together [m]."""
        return float(
            sum(
                np.linalg.norm(np.diff(loop.points, axis=0, append=loop.points[:1]), axis=1).sum()
                for loop in self.loops
            )
        )


def section_outline(mesh: Mesh, origin: Array, way: Array) -> Outline | None:
    """Return what a plane cuts from a scan, or None where it meets nothing.

    Parameters
    ----------
    mesh : Mesh, faces running outward [m]
    origin : array (3,), a point of the plane [m]
    way : array (3,), square to the plane [1], unit length

    Returns
    -------
    Outline [m, m2], or None

    Source: derived (Green's theorem; widths by the convex hull).
    Checked against: tests/science/solid/test_outline.py.

    Example
    -------
    >>> cube = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)
    >>> sides = [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
    ...          [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3]]
    >>> found = section_outline(Mesh(cube, np.array(sides)), np.full(3, 0.4), np.array([0, 0, 1.0]))
    >>> round(found.area, 9), round(found.greatest, 4), round(found.least, 9), found.is_closed
    (1.0, 1.4142, 1.0, True)
    """
    heights = (mesh.points - origin) @ way
    above = (heights >= 0)[mesh.faces]
    crossing = above.any(axis=1) & ~above.all(axis=1)
    if not crossing.any():
        return None
    cut = Mesh(mesh.points, mesh.faces[crossing])
    x = np.cross(way, np.eye(3)[np.abs(way).argmin()])
    x /= np.linalg.norm(x)
    frame = np.stack([x, np.cross(way, x), way])
    loops = [
        _loop((points - origin) @ frame[:2].T, is_closed=is_closed)
        for points, is_closed in _rows(cut, heights, above[crossing])
    ]
    loops.sort(key=lambda loop: -loop.area)
    greatest, least = _widths(loops[0].points)
    edges = np.linalg.norm(cut.corners - np.roll(cut.corners, -1, axis=1), axis=2)
    edge = float(edges.mean())
    radius = max(float(np.sqrt(max(loops[0].area, 0.0) / np.pi)), edge)
    # A chord of one edge leaves its round by e^2 / 8 r in the middle.
    return Outline(origin, frame, tuple(loops), greatest, least, edge, edge**2 / (8 * radius))


def _rows(cut: Mesh, heights: Array, above: Flags) -> list[tuple[Array, bool]]:
    """Return the points of every row of cut faces in order, and whether it closes."""
    one_up = above.sum(axis=1) == 1
    alone = np.where(one_up, above.argmax(axis=1), (~above).argmax(axis=1))
    turn = (alone[:, None] + np.arange(3)) % 3
    corners = np.take_along_axis(cut.faces, turn, 1)
    ahead, behind = corners[:, [0, 1]], corners[:, [0, 2]]
    start = np.where(one_up[:, None], ahead, behind)
    end = np.where(one_up[:, None], behind, ahead)
    count = len(heights)
    keys = [np.sort(side, axis=1) @ np.array([count, 1]) for side in (start, end)]
    nodes, numbers = np.unique(np.concatenate(keys), return_inverse=True)
    low, high = np.divmod(nodes, count)
    share = heights[low] / (heights[low] - heights[high])
    places = cut.points[low] + share[:, None] * (cut.points[high] - cut.points[low])
    first, last = np.split(numbers.reshape(-1), 2)
    return [(places[row], is_closed) for row, is_closed in _followed(first, last, len(nodes))]


def _followed(first: Faces, last: Faces, count: int) -> list[tuple[list[int], bool]]:
    """Return rows of nodes along steps from first to last, the open ones from their ends."""
    ahead: dict[int, list[int]] = {}
    entered = np.zeros(count, dtype=np.int64)
    for start, end in zip(first.tolist(), last.tolist(), strict=True):
        ahead.setdefault(start, []).append(end)
        entered[end] += 1
    rows = []
    begins = [node for node in ahead if entered[node] < len(ahead[node])]
    for node in [*begins, *ahead]:
        while ahead.get(node):
            row, at = [node], ahead[node].pop()
            while at != node and ahead.get(at):
                row.append(at)
                at = ahead[at].pop()
            if at != node:
                row.append(at)
            rows.append((row, at == node))
    return rows


def _loop(points: Array, *, is_closed: bool) -> Loop:
    if len(points) < 3:
        return Loop(points, 0.0, is_closed)
    sides = np.stack([points, np.roll(points, -1, axis=0)], axis=1)
    return Loop(points, polygon_moments(sides).area, is_closed)


def _widths(points: Array) -> tuple[float, float]:
    """Return the greatest and the least distance of two parallel lines that hold some points."""
    from scipy.spatial import ConvexHull, QhullError

    try:
        hull = points[ConvexHull(points).vertices]
    except (QhullError, ValueError):
        return float(np.linalg.norm(np.ptp(points, axis=0))), 0.0
    sides = np.roll(hull, -1, axis=0) - hull
    sides /= np.linalg.norm(sides, axis=1, keepdims=True)
    least = np.inf
    greatest = 0.0
    for corner, side in zip(hull, sides, strict=True):
        away = hull - corner
        least = min(least, float(np.abs(away @ np.array([-side[1], side[0]])).max()))
        greatest = max(greatest, float(np.hypot(*away.T).max()))
    return greatest, least
