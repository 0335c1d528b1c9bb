"""What is gone from a chosen patch and what has come: distances summed, or the space counted."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from softmend.errors import InputError
from softmend.science.solid.compare import Difference
from softmend.science.solid.mesh import Flags, Mesh
from softmend.science.uncertain import Array

COUNTED = 500_000
CLEAR_INSIDE, CLEAR_OUTSIDE = 0.8, 0.2
"""Winding numbers beyond which a place is clearly on one side of a scan."""


@dataclass(frozen=True)
class Patch:
    """A chosen patch: what is gone and what has come [m3], its area [m2], its depth [m].

    `error` [m3] is what the level leaves open over the patch.
    """

    lost: float
    gained: float
    area: float
    deepest: float
    error: float


def patch_loss(found: Difference, chosen: Flags, level: float) -> Patch:
    """Return what is gone and what has come within a chosen patch.

    Parameters
    ----------
    found : Difference, of two scans
    chosen : flags (n,), the places of the patch
    level : float, distance below which nothing is claimed [m], 0 or more

    Returns
    -------
    Patch [m3, m2, m]

    Raises
    ------
    InputError
        When the patch holds nothing.

    Source: softmend-solids, section 5d (integrate only inside a chosen patch).
    Checked against: tests/science/solid/test_compare.py.

    Example
    -------
    >>> found = Difference(np.zeros((2, 3)), np.array([-1e-3, 0.0]), np.array([1e-4, 1e-4]))
    >>> round(1e9 * patch_loss(found, np.array([True, True]), 0.0).lost)
    100
    """
    if not chosen.any():
        raise InputError(
            "The patch holds nothing of the scan",
            value="0 places",
            allowed="a patch on the scan",
            remedy="pick its middle on the scan, and a larger radius",
        )
    distances, areas = found.distances[chosen], found.areas[chosen]
    lost = float(-(areas * np.minimum(distances, 0)).sum())
    gained = float((areas * np.maximum(distances, 0)).sum())
    area = float(areas.sum())
    return Patch(lost, gained, area, float(-distances.min()), level * area)


def counted_loss(patch: Patch, earlier: Mesh, later: Mesh, middle: Array, radius: float) -> Patch:
    """Return a patch with its volumes counted in the space between two scans, where they close.

    Distances to the nearest surface read a steep-sided loss small; counting does not. Where the
    scans do not tell inside from outside round the patch, the patch stays as it is.

    Parameters
    ----------
    patch : Patch, by distances
    earlier : Mesh, the first scan
    later : Mesh, the second scan, moved onto it
    middle : array (3,), of the patch [m]
    radius : float, of the patch [m], above 0

    Returns
    -------
    Patch [m3, m2, m]

    Source: barill2018 (winding number); the count is our own.
    Checked against: tests/science/solid/test_compare.py.

    Example
    -------
    >>> from softmend.science.solid.mesh import tidied
    >>> corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)
    >>> sides = [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
    ...          [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3]]
    >>> lower = corners * [1, 1, 0.9]
    >>> found = counted_loss(Patch(0.0, 0.0, 1.0, 0.1, 0.0), tidied(corners, sides).mesh,
    ...                      tidied(lower, sides).mesh, np.array([0.5, 0.5, 1.0]), 0.4)
    >>> round(found.lost, 3)
    0.049
    """
    near = [_near(mesh, middle, radius) for mesh in (earlier, later)]
    if not all(one.any() for one in near) or not _tells_sides(earlier, later, near, radius):
        return patch
    places = np.concatenate([mesh.centres[one] for mesh, one in zip((earlier, later), near,
                                                                    strict=True)])  # fmt: skip
    grid, cell = _grid(places - middle, earlier.normals[near[0]], radius)
    grid = grid + middle
    was, stays = earlier.winding(grid) > 0.5, later.winding(grid) > 0.5
    return replace(
        patch, lost=cell * int((was & ~stays).sum()), gained=cell * int((stays & ~was).sum())
    )


def _near(mesh: Mesh, middle: Array, radius: float) -> Flags:
    return np.asarray(np.linalg.norm(mesh.centres - middle, axis=1) < radius)


def _tells_sides(earlier: Mesh, later: Mesh, near: list[Flags], radius: float) -> bool:
    for mesh, one in zip((earlier, later), near, strict=True):
        step = max(int(one.sum()) // 200, 1)
        at, way = mesh.centres[one][::step], mesh.normals[one][::step]
        inside, outside = (mesh.winding(at + s * 0.1 * radius * way) for s in (-1.0, 1.0))
        if (inside > CLEAR_INSIDE).mean() < 0.8 or (outside < CLEAR_OUTSIDE).mean() < 0.8:
            return False
    return True


def _grid(away: Array, normals: Array, radius: float) -> tuple[Array, float]:
    """Return places in the ball of the patch between the scans' heights, one in each cell."""
    up = normals.mean(axis=0)
    up = up / max(float(np.linalg.norm(up)), 1e-12)
    side = np.cross(up, np.eye(3)[np.abs(up).argmin()])
    side /= np.linalg.norm(side)
    frame = np.stack([side, np.cross(up, side), up])
    heights = away @ up
    margin = 0.02 * radius + 0.02 * float(np.ptp(heights))
    low = np.array([-radius, -radius, heights.min() - margin])
    high = np.array([radius, radius, heights.max() + margin])
    step = float(np.prod(high - low) / COUNTED) ** (1 / 3)
    counts = np.ceil((high - low) / step).astype(int)
    lines = [low[k] + (high[k] - low[k]) / counts[k] * (np.arange(counts[k]) + 0.5)
             for k in range(3)]  # fmt: skip
    cells = (high - low) / counts
    grid = np.stack(np.meshgrid(*lines, indexing="ij"), axis=-1).reshape(-1, 3)
    grid = grid + cells * (np.random.default_rng(0).random(grid.shape) - 0.5)
    inside = np.linalg.norm(grid, axis=1) < radius
    return np.asarray(grid[inside] @ frame), float(np.prod(cells))
