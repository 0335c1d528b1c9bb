"""Sections of a scan square to its run: area, second moments, outline, holes."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from softmend.science.solid.mesh import Faces, Flags, Mesh, joined
from softmend.science.uncertain import Array

OPEN_SHARE = 0.02
"""How far a loop may miss its own start, as a share of its length, to count as closed."""


@dataclass(frozen=True, eq=False)
class Moments:
    """Area, centre and second moments about the centre of a plane figure [m2, m, m4]."""

    area: float
    centre: Array
    xx: float
    yy: float
    xy: float

    @property
    def polar(self) -> float:
        """The polar second moment about the centre [m4]."""
        return self.xx + self.yy


@dataclass(frozen=True, eq=False)
class Section:
    """One section: origin [m], frame (rows x, y, along), directed segments in its plane [m].

    `outer` are the segments (k, 2, 2) of the loop that bounds the object, `holes` those of hollows
    in it. `is_closed` is false where the scan is open; `others` counts loops left out.
    """

    origin: Array
    frame: Array
    outer: Array
    holes: Array
    is_closed: bool
    others: int

    @cached_property
    def whole(self) -> Moments:
        """The moments of what lies within the outer loop."""
        return polygon_moments(self.outer)

    @cached_property
    def empty(self) -> Moments | None:
        """The moments of the hollows, or None."""
        return polygon_moments(self.holes[:, ::-1]) if len(self.holes) else None

    @cached_property
    def net(self) -> Moments:
        """The moments of the material."""
        return polygon_moments(np.concatenate([self.outer, self.holes]))

    @property
    def centre(self) -> Array:
        """The middle of the material in space [m]."""
        return np.asarray(self.origin + self.net.centre @ self.frame[:2])

    @property
    def radius(self) -> float:
        """The radius of the circle with the outer loop's area [m]."""
        return float(np.sqrt(max(self.whole.area, 0.0) / np.pi))

    @property
    def torsion(self) -> float:
        """The torsion constant: A^4 / (4 pi^2 I_p) of the whole less that of the hollow [m4]."""
        found = self.whole.area**4 / (4 * np.pi**2 * self.whole.polar)
        if self.empty is not None and self.empty.polar > 0:
            found -= self.empty.area**4 / (4 * np.pi**2 * self.empty.polar)
        return float(max(found, 1e-30))

    def holds(self, places: Array) -> Array:
        """Say of each point of the plane (n, 2) whether it lies in the material."""
        segments = np.concatenate([self.outer, self.holes])
        low, high = segments[:, 0], segments[:, 1]
        y = places[:, 1:2]
        spans = (low[:, 1] <= y) != (high[:, 1] <= y)
        rise = np.where(high[:, 1] == low[:, 1], 1.0, high[:, 1] - low[:, 1])
        x = low[:, 0] + (y - low[:, 1]) / rise * (high[:, 0] - low[:, 0])
        return np.asarray((spans & (x > places[:, :1])).sum(axis=1) % 2 == 1)


def polygon_moments(segments: Array) -> Moments:
    """Return area, centre and second moments of a figure from its directed segments.

    Parameters
    ----------
    segments : array (k, 2, 2), start and end of each side, the figure on the left [m]

    Returns
    -------
    Moments, holes that run the other way counted off [m2, m, m4]

    Source: derived (Green's theorem).
    Checked against: tests/science/solid/test_section.py.

    Example
    -------
    >>> corners = np.array([[0, 0], [2, 0], [2, 1], [0, 1.0]])
    >>> found = polygon_moments(np.stack([corners, np.roll(corners, -1, axis=0)], axis=1))
    >>> found.area, found.centre.tolist(), round(found.xx, 4), round(found.yy, 4)
    (2.0, [1.0, 0.5], 0.6667, 0.1667)
    """
    origin = segments.reshape(-1, 2).mean(axis=0)
    (x0, y0), (x1, y1) = (segments - origin).transpose(1, 2, 0)
    cross = x0 * y1 - x1 * y0
    area = float(cross.sum() / 2)
    if abs(area) < 1e-30:
        return Moments(0.0, origin, 0.0, 0.0, 0.0)
    cx = float(((x0 + x1) * cross).sum() / (6 * area))
    cy = float(((y0 + y1) * cross).sum() / (6 * area))
    xx = float((cross * (x0 * x0 + x0 * x1 + x1 * x1)).sum() / 12) - area * cx * cx
    yy = float((cross * (y0 * y0 + y0 * y1 + y1 * y1)).sum() / 12) - area * cy * cy
    xy = float((cross * (x0 * y1 + 2 * x0 * y0 + 2 * x1 * y1 + x1 * y0)).sum() / 24)
    return Moments(area, origin + np.array([cx, cy]), xx, yy, xy - area * cx * cy)


def plane_section(mesh: Mesh, origin: Array, frame: Array) -> Section | None:
    """Return the section of a scan by a plane: the loop round a point, and the hollows in it.

    Parameters
    ----------
    mesh : Mesh, faces running outward
    origin : array (3,), a point of the plane, near the middle of the wanted loop [m]
    frame : array (3, 3), rows x, y in the plane and the plane's normal, right-handed [1]

    Returns
    -------
    Section, or None where the plane meets nothing there [m]

    Source: softmend-solids, section 5c (keep the polygon at the axis point).
    Checked against: tests/science/solid/test_section.py.

    Example
    -------
    >>> cube = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)
    >>> sides = [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
    ...          [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3]]
    >>> found = plane_section(Mesh(cube, np.array(sides)), np.full(3, 0.5), np.eye(3))
    >>> round(found.net.area, 6), found.is_closed
    (1.0, True)
    """
    heights = (mesh.points - origin) @ frame[2]
    above = (heights >= 0)[mesh.faces]
    count = above.sum(axis=1).astype(np.int64)
    crossing = np.flatnonzero((count == 1) | (count == 2)).astype(np.int64)
    if not len(crossing):
        return None
    segments, pairs = _segments(mesh, heights, crossing, above[crossing], count[crossing])
    groups = joined(len(crossing), pairs)
    flat = (segments - origin) @ frame[:2].T
    return _chosen(origin, frame, flat, groups)


def _segments(
    mesh: Mesh, heights: Array, crossing: Faces, above: Flags, count: Faces
) -> tuple[Array, Faces]:
    """Return the directed segment in each crossing face, and pairs of faces that share an end."""
    alone = np.where(count == 1, above.argmax(axis=1), (~above).argmax(axis=1))
    turn = (alone[:, None] + np.arange(3)) % 3
    p, q, r = np.take_along_axis(mesh.faces[crossing], turn, 1).T
    hp, hq, hr = heights[p][:, None], heights[q][:, None], heights[r][:, None]
    on_pq = mesh.points[p] + (mesh.points[q] - mesh.points[p]) * hp / (hp - hq)
    on_pr = mesh.points[p] + (mesh.points[r] - mesh.points[p]) * hp / (hp - hr)
    one = (count == 1)[:, None]
    segments = np.stack([np.where(one, on_pq, on_pr), np.where(one, on_pr, on_pq)], axis=1)
    half = mesh.edges.of_half.reshape(-1, 3)[crossing]
    ends = np.stack(
        [np.take_along_axis(half, turn[:, :1], 1), np.take_along_axis(half, turn[:, 2:], 1)], 1
    ).reshape(-1)
    order = np.argsort(ends, kind="stable")
    same = ends[order][1:] == ends[order][:-1]
    return segments, np.stack([order[:-1][same] // 2, order[1:][same] // 2], axis=1)


def _chosen(origin: Array, frame: Array, flat: Array, groups: Faces) -> Section | None:
    loops = [flat[groups == group] for group in range(int(groups.max()) + 1)]
    moments = [polygon_moments(loop) for loop in loops]
    # Which way round an outer loop runs depends on the plane's normal only.
    outers = [k for k, one in enumerate(moments) if one.area > 0]
    if not outers:
        return None

    def away(k: int) -> float:
        reach = float(np.linalg.norm(loops[k].reshape(-1, 2) - moments[k].centre, axis=1).max())
        return max(float(np.linalg.norm(moments[k].centre)) - reach, 0.0) - 1e-3 * reach

    best = min(outers, key=lambda k: (round(away(k), 6) if away(k) > 0 else 0, -moments[k].area))
    outer = loops[best]
    reach = float(np.linalg.norm(outer.reshape(-1, 2) - moments[best].centre, axis=1).max())
    inner = [
        k
        for k, one in enumerate(moments)
        if one.area < 0 and float(np.linalg.norm(one.centre - moments[best].centre)) < reach
    ]
    holes = np.concatenate([loops[k] for k in inner]) if inner else np.empty((0, 2, 2))
    run = float(np.linalg.norm(outer[:, 1] - outer[:, 0], axis=1).sum())
    gap = float(np.linalg.norm((outer[:, 1] - outer[:, 0]).sum(axis=0)))
    others = len(loops) - 1 - len(inner)
    return Section(origin, frame, outer, holes, gap <= OPEN_SHARE * run, others)
