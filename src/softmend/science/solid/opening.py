"""Every open rim of a scan by name: a hole, a side that was not scanned, or an end."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from softmend.science.solid.check import Rim, State, greatest_distance
from softmend.science.solid.closing import fans_over
from softmend.science.solid.mesh import Mesh
from softmend.science.uncertain import Array

END_SHARE = 0.003
"""Share of the surface below which an open end counts as a hole."""
SIDE_SHARE, SIDE_RUN = 0.05, 0.35
"""A rim whose cap is this share of the surface, or that runs this far along it, is a side."""
OPEN_END = 0.3
"""Share of the object's own section that a rim at its end must span to be that end."""
PLANE = 0.1
"""A rim that strays from its plane by less than this share of its breadth spans what is flat."""


@dataclass(frozen=True, eq=False)
class _Body:
    """A scan laid along its own directions, the longest first."""

    mesh: Mesh
    axes: Array

    @cached_property
    def own(self) -> Array:
        """The corners along its own directions [m]."""
        return np.asarray(self.mesh.points[np.unique(self.mesh.faces)] @ self.axes.T)

    @cached_property
    def area(self) -> float:
        """The area of its surface [m2]."""
        return max(self.mesh.area, 1e-300)

    @cached_property
    def widths(self) -> Array:
        """The box along its own directions [m]."""
        return np.asarray(np.ptp(self.own, axis=0))

    def section(self, at: float) -> float:
        """Return about how large the object's section is at a place along it [m2]."""
        near = self.own[np.abs(self.own[:, 0] - at) < 0.05 * self.widths[0]]
        if not len(near):
            return 0.0
        return float(np.pi / 4 * np.ptp(near[:, 1]) * np.ptp(near[:, 2]))


def named_rims(mesh: Mesh, axes: Array) -> tuple[Rim, ...]:
    """Return the open rims of a scan, the longest first, each by what it bounds.

    Parameters
    ----------
    mesh : Mesh, faces running outward [any length]
    axes : array (3, 3), the object's own directions as rows, the longest first [1]

    Returns
    -------
    tuple of Rim [same length]

    Source: softmend-solids, section 4 (states of a scan); own naming by place, run and area.
    Checked against: tests/science/solid/test_check.py.

    Example
    -------
    >>> [rim.edges for rim in named_rims(Mesh(np.eye(3), np.array([[0, 1, 2]])), np.eye(3))]
    [3]
    """
    fans = fans_over(mesh)
    if not len(fans.groups):
        return ()
    edges = mesh.points[fans.sides]
    lengths = np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1)
    spokes = edges - fans.centres[fans.groups][:, None]
    caps = np.cross(spokes[:, 1], spokes[:, 0]) / 2
    starts = np.searchsorted(fans.groups, np.arange(len(fans.centres) + 1))
    body = _Body(mesh, axes)
    found = []
    for group in np.argsort(-np.bincount(fans.groups, lengths)):
        own = slice(starts[group], starts[group + 1])
        points, centre = edges[own].reshape(-1, 3), fans.centres[group]
        vector = caps[own].sum(axis=0)
        flat = float(np.linalg.norm(vector))
        normal = vector / max(flat, 1e-300)
        across = greatest_distance(points)
        strays = float(np.sqrt((((points - centre) @ normal) ** 2).mean()))
        # A fan overlaps itself where a rim turns in; within a plane its true area is known.
        area = float(np.linalg.norm(caps[own], axis=1).sum())
        area = flat if strays < PLANE * across else area
        edge_count = int(starts[group + 1] - starts[group])
        rim = Rim(
            State.HOLES, edge_count, float(lengths[own].sum()), across, centre, area, normal
        )  # fmt: skip
        found.append(_named(rim, body, points))
    return tuple(found)


def _named(rim: Rim, body: _Body, points: Array) -> Rim:
    mesh, way = body.mesh, body.axes[0]
    share = rim.cap_area / body.area
    run = max(float(body.widths[0]), 1e-300)
    if share < END_SHARE and rim.across < SIDE_RUN * run:
        return rim
    along = float(rim.centre @ way)
    at = (along - float(body.own[:, 0].min())) / run
    is_long = body.widths[0] > 1.5 * body.widths[1]
    facing = abs(float(rim.normal @ way))
    across_the_run = is_long and facing > 0.7 and share > END_SHARE
    if across_the_run and rim.cap_area * facing > OPEN_END * body.section(along):
        heights = (mesh.points - rim.centre) @ rim.normal
        one_sided = float((heights > 0.02 * mesh.size).mean()) < 0.005
        if one_sided or at < 0.15 or at > 0.85:
            return replace(rim, kind=State.END_MISSING)
    stretch = float(np.ptp(points @ way)) / run
    if stretch > SIDE_RUN or share > SIDE_SHARE:
        return replace(rim, kind=State.SIDE_MISSING)
    return rim
