"""How a body may lie on a level table by itself: the faces of its hull that hold it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

SAME_FACE_DEG = 3.0


@dataclass(frozen=True, eq=False)
class Pose:
    """One way to lie: which direction of the object points down, its share, height and margin.

    `share` is that of the directions in which it would be dropped; `tilt_deg` the slope that tips
    it, `height` of the centre of gravity [m].
    """

    down: Array
    share: float
    height: float
    tilt_deg: float


def resting_poses(points: ArrayLike, centre: ArrayLike, most: int = 6) -> tuple[Pose, ...]:
    """Return the ways in which a body rests by itself, the likeliest first.

    Parameters
    ----------
    points : array-like (n, 3), corners of the body [m]
    centre : array-like (3,), its centre of gravity [m]
    most : int, how many are told [1], 1 to 50

    Returns
    -------
    tuple of Pose [m, degrees]

    Raises
    ------
    InputError
        When the body is flat, or too few poses are asked for.

    Source: goldberg1999 (pose statistics; rolling on from faces that do not hold is left out).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> cube = [[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]
    >>> [round(pose.share, 4) for pose in resting_poses(cube, [0, 0, 0])]
    [0.1667, 0.1667, 0.1667, 0.1667, 0.1667, 0.1667]
    """
    from scipy.spatial import ConvexHull, QhullError

    if not 1 <= most <= 50:
        raise InputError("The number of poses is out of range", value=most, allowed="1 to 50")
    heavy = np.asarray(centre, dtype=np.float64)
    away = np.asarray(points, dtype=np.float64) - heavy
    try:
        hull = ConvexHull(away)
    except QhullError as error:
        raise InputError(
            "The body is flat", value=f"{len(away)} corners", allowed="a solid"
        ) from error
    normals = hull.equations[:, :3]
    angles = _solid_angles(away[hull.simplices])
    free = np.ones(len(normals), dtype=bool)
    found = []
    for face in np.argsort(-angles):
        if not free[face]:
            continue
        like = free & (normals @ normals[face] > np.cos(np.radians(SAME_FACE_DEG)))
        free &= ~like
        pose = _pose(away, hull.simplices[like], normals[face], float(angles[like].sum()))
        if pose is not None:
            found.append(pose)
    total = sum(pose.share for pose in found) or 1.0
    shared = [Pose(one.down, one.share / total, one.height, one.tilt_deg) for one in found]
    return tuple(sorted(shared, key=lambda one: -one.share)[:most])


def _solid_angles(corners: Array) -> Array:
    a, b, c = np.moveaxis(corners, 1, 0)
    la, lb, lc = (np.linalg.norm(one, axis=1) for one in (a, b, c))
    top = np.abs(np.einsum("ij,ij->i", a, np.cross(b, c)))
    ab, bc, ca = ((x * y).sum(axis=1) for x, y in ((a, b), (b, c), (c, a)))
    return np.asarray(2 * np.arctan2(top, la * lb * lc + ab * lc + bc * la + ca * lb))


def _pose(away: Array, faces: Array, down: Array, share: float) -> Pose | None:
    from softmend.science.solid.support import tipping

    x = np.cross(down, np.eye(3)[np.abs(down).argmin()])
    x /= np.linalg.norm(x)
    corners = away[np.unique(faces)]
    height = float((corners @ down).max())
    plan = corners @ np.stack([x, np.cross(down, x)]).T
    if height <= 0:
        return None
    margin = tipping(plan, np.zeros(2), height, height)
    return Pose(down, share, height, margin.tilt_deg) if margin.edge_distance > 0 else None
