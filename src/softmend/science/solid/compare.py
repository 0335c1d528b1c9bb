"""What changed between two scans: a rigid fit where nothing changed, then signed distances."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solid.mesh import Faces, Flags, Mesh
from softmend.science.uncertain import Array

COARSE, FINE, ROUGH = 4000, 20_000, 10_000
KEPT = 0.9
FAILED_NOISES = 6.0
"""A fit whose median distance is more than this many times the expected noise has failed."""
HOPELESS_NOISES = 60.0
"""A rough fit that is this far off is not refined: it has failed."""
STEADY = 12
"""Nearest faces over which a distance is averaged before it is held against a level."""


@dataclass(frozen=True, eq=False)
class Pose:
    """How the later scan is moved onto the earlier one, and how well it fits.

    `median` is the median distance of the areas fitted on [m]; `fitted_scale` the scale that a
    free fit would take: possible shrinkage, or an error of scale.
    """

    rotation: Array
    shift: Array
    median: float
    fitted_scale: float
    has_failed: bool
    expected: float

    def moved(self, mesh: Mesh) -> Mesh:
        """Return the later scan where it lies on the earlier one."""
        return mesh.moved(self.rotation, self.shift)


@dataclass(frozen=True, eq=False)
class Difference:
    """Signed distances of the earlier scan's faces to the later: below 0 where material went.

    `places` [m] and `distances` [m] of some faces; the 5, 50 and 95 % points of their size.
    """

    places: Array
    distances: Array
    areas: Array

    def percentile(self, share: float) -> float:
        """Return the size of the distance that a share of the surface stays below [m]."""
        order = np.argsort(np.abs(self.distances))
        total = np.cumsum(self.areas[order])
        k = min(int(np.searchsorted(total, share * total[-1])), len(order) - 1)
        return float(np.abs(self.distances[order][k]))


def registration(
    earlier: Mesh, later: Mesh, noise: float, *, unchanged: Flags | None = None,
    picks: tuple[ArrayLike, ArrayLike] | None = None,
) -> Pose:  # fmt: skip
    """Return how the later scan lies on the earlier one: rigid, the scale only shown.

    Parameters
    ----------
    earlier : Mesh, the first scan
    later : Mesh, the second scan, in any pose
    noise : float, what one point of such a scan scatters by [m], above 0
    unchanged : flags or None, the faces of the earlier scan believed unchanged
    picks : two array-likes (k, 3) or None, like points on the earlier and the later scan [m]

    Returns
    -------
    Pose [m]

    Raises
    ------
    InputError
        When the noise is not above 0, nothing is left to fit on, or the picks do not pair.

    Source: umeyama1991; chen1992 (point to plane); chetverikov2002 (trimmed).
    Checked against: tests/science/solid/test_compare.py.

    Example
    -------
    >>> Pose(np.eye(3), np.zeros(3), 1e-5, 1.0, False, 1e-5).has_failed
    False
    """
    if not 0 < noise < 0.1:
        raise InputError(
            "The noise of the scans is out of range", value=f"{1e3 * noise:g} mm",
            allowed="above 0 to 100 mm",
        )  # fmt: skip
    kept = np.ones(len(earlier.faces), dtype=bool) if unchanged is None else unchanged
    if kept.sum() < 100:
        raise InputError(
            "Too little of the earlier scan is left to fit on",
            value=f"{int(kept.sum())} faces",
            allowed="100 or more",
            remedy="paint out less",
        )
    target = _Target(earlier.part(kept))
    rng = np.random.default_rng(0)
    moving = _samples(later, FINE, rng)
    few = moving[:: FINE // COARSE]
    start = _from_picks(picks) if picks is not None else _coarse(target.thinned(), few[::2])
    rotation, shift = _fine(target, few, start, 20)
    expected = noise * 0.6745 * np.sqrt(2) + 0.25 * target.sag
    if _median(target, few, rotation, shift) < HOPELESS_NOISES * expected:
        rotation, shift = _fine(target, moving, (rotation, shift), 40)
    else:
        moving = few
    median = _median(target, moving, rotation, shift)
    scale = _scale(target, moving, rotation, shift)
    failed = median > FAILED_NOISES * expected
    return Pose(rotation, shift, median, scale, failed, expected)


def _median(target: _Target, moving: Array, rotation: Array, shift: Array) -> float:
    """Return the middle distance of the nearest nine in ten points from the scan fitted on [m]."""
    distance = np.abs(target.off(moving @ rotation.T + shift)[0])
    return float(np.median(np.sort(distance)[: int(KEPT * len(distance))]))


class _Target:
    """The scan that is fitted on: its corners, their normals, and a quick search."""

    def __init__(self, mesh: Mesh) -> None:
        from scipy.spatial import cKDTree

        rng = np.random.default_rng(1)
        wanted = 100_000
        if len(mesh.faces) < wanted:
            self.points, chosen = _on_surface(mesh, wanted, rng)
        else:
            chosen = np.asarray(rng.choice(len(mesh.faces), wanted, replace=False))
            self.points = mesh.centres[chosen]
        self.normals = mesh.normals[chosen]
        self.tree = cKDTree(self.points)
        self.middle = mesh.middle
        self.sag = mesh.mean_edge**2 / max(mesh.size, 1e-12)
        self.size = mesh.size
        weight = mesh.areas[:, None]
        away = mesh.centres - mesh.middle
        self.axes = np.linalg.eigh((away * weight).T @ away)[1].T

    def thinned(self) -> _Target:
        """Return the same with fewer points, for the first rough fits."""
        from copy import copy

        from scipy.spatial import cKDTree

        found = copy(self)
        step = max(len(self.points) // ROUGH, 1)
        found.points, found.normals = self.points[::step], self.normals[::step]
        found.tree = cKDTree(found.points)
        return found

    def off(self, places: Array) -> tuple[Array, Faces, Array]:
        """Return signed plane distances, numbers of the nearest points, and gaps to them [m]."""
        gap, nearest = self.tree.query(places)
        plane = ((places - self.points[nearest]) * self.normals[nearest]).sum(axis=1)
        return np.asarray(plane), np.asarray(nearest), np.asarray(gap)


def _on_surface(mesh: Mesh, count: int, rng: np.random.Generator) -> tuple[Array, Faces]:
    faces = np.asarray(rng.choice(len(mesh.faces), count, p=mesh.areas / mesh.area))
    u, v = np.sqrt(rng.random(count)), rng.random(count)
    a, b, c = np.moveaxis(mesh.corners[faces], 1, 0)
    points = (1 - u)[:, None] * a + (u * (1 - v))[:, None] * b + (u * v)[:, None] * c
    return points, faces


def _samples(mesh: Mesh, count: int, rng: np.random.Generator) -> Array:
    return _on_surface(mesh, count, rng)[0]


def _from_picks(picks: tuple[ArrayLike, ArrayLike]) -> tuple[Array, Array]:
    """Return the rigid movement that brings the second set of points onto the first."""
    to, come = (np.asarray(part, dtype=np.float64).reshape(-1, 3) for part in picks)
    if len(to) != len(come) or len(to) < 3:
        raise InputError(
            "The picks on the two scans do not pair",
            value=f"{len(to)} and {len(come)}",
            allowed="3 or more like points on each, in the same order",
        )
    return _rigid(come, to)


def _rigid(come: Array, to: Array) -> tuple[Array, Array]:
    here, there = come.mean(axis=0), to.mean(axis=0)
    u, _, vt = np.linalg.svd((to - there).T @ (come - here))
    flip = np.diag([1.0, 1.0, np.sign(np.linalg.det(u @ vt))])
    rotation = u @ flip @ vt
    return rotation, there - rotation @ here


def _coarse(target: _Target, few: Array) -> tuple[Array, Array]:
    """Return the best of several starts: own axes matched every way round, a short fit each."""
    middle = few.mean(axis=0)
    own = np.linalg.eigh((few - middle).T @ (few - middle))[1].T
    best: tuple[float, tuple[Array, Array]] | None = None
    for start in _orientations(target.axes, own):
        shift = target.middle - start @ middle
        fitted = _fine(target, few, (start, shift), 12)
        distance = np.sort(target.off(few @ fitted[0].T + fitted[1])[2])
        score = float(np.mean(distance[: int(0.8 * len(distance))]))
        if best is None or score < best[0]:
            best = (score, fitted)
    if best is None:
        raise InputError("No start of the fit could be tried", value=len(few))
    return best[1]


def _orientations(to: Array, come: Array) -> list[Array]:
    """Return the turns that match axes to axes, and four more about the longest of each."""
    found = []
    longest = to[2]
    for signs in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
        rows = np.stack([signs[0] * come[2], signs[1] * come[1]])
        third = np.cross(rows[0], rows[1])
        theirs = np.stack([to[2], to[1], np.cross(to[2], to[1])])
        base = theirs.T @ np.concatenate([rows, third[None]])
        for quarter in (0.0, 0.25, 0.5, 0.75):
            if signs[1] > 0 or quarter:
                found.append(_about(longest, 2 * np.pi * quarter) @ base)
            else:
                found.append(base)
    return found


def _about(axis: Array, angle: float) -> Array:
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross)


def _fine(
    target: _Target, moving: Array, start: tuple[Array, Array], rounds: int
) -> tuple[Array, Array]:
    """Return the movement after point-to-plane steps, strays weighed down."""
    rotation, shift = start
    for _ in range(rounds):
        places = moving @ rotation.T + shift
        plane, nearest, gap = target.off(places)
        kept = gap <= np.quantile(gap, KEPT)
        scale = 1.4826 * float(np.median(np.abs(plane[kept]))) + 1e-12
        weight = np.where(kept, np.clip(1 - (plane / (4.685 * scale)) ** 2, 0, 1) ** 2, 0.0)
        normals = target.normals[nearest]
        rows = np.concatenate([np.cross(places - target.middle, normals), normals], axis=1)
        matrix = (rows * weight[:, None]).T @ rows
        matrix += np.eye(6) * 1e-12 * np.trace(matrix)
        step = -np.linalg.solve(matrix, (rows * weight[:, None]).T @ plane)
        angle = float(np.linalg.norm(step[:3]))
        turn = _about(step[:3] / max(angle, 1e-300), min(angle, 0.5))
        rotation = turn @ rotation
        shift = turn @ (shift - target.middle) + target.middle + step[3:]
        if angle * target.size < 1e-8 and float(np.linalg.norm(step[3:])) < 1e-8:
            break
    return rotation, shift


def _scale(target: _Target, moving: Array, rotation: Array, shift: Array) -> float:
    """Return the factor by which the later scan would have to grow to fit best."""
    places = moving @ rotation.T + shift
    factor = 1.0
    for _ in range(6):
        grown = target.middle + factor * (places - target.middle)
        plane, nearest, gap = target.off(grown)
        kept = gap <= np.quantile(gap, KEPT)
        normals = target.normals[nearest]
        rows = np.concatenate(
            [np.cross(grown - target.middle, normals), normals,
             ((grown - target.middle) * normals).sum(axis=1)[:, None]], axis=1
        )[kept]  # fmt: skip
        matrix = rows.T @ rows
        matrix += np.eye(7) * 1e-12 * np.trace(matrix)
        step = -np.linalg.solve(matrix, rows.T @ plane[kept])
        factor *= 1 + float(step[6])
        places = places + step[3:6] + np.cross(step[:3], places - target.middle)
    return factor


def difference(earlier: Mesh, later: Mesh, most: int = 200_000) -> Difference:
    """Return the signed distance from the earlier surface to the later, which lies on it.

    Parameters
    ----------
    earlier : Mesh, the first scan
    later : Mesh, the second scan, already moved onto it
    most : int, how many faces are looked at [1], 100 to 2 000 000

    Returns
    -------
    Difference, below 0 where material went [m]

    Raises
    ------
    InputError
        When the number of faces is out of range.

    Source: lague2013 (signed distances along normals); softmend-solids, section 5d.
    Checked against: tests/science/solid/test_compare.py.

    Example
    -------
    >>> square = Mesh(np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0.0]]),
    ...               np.array([[0, 1, 2], [1, 3, 2]]))
    >>> lower = Mesh(square.points - [0, 0, 0.01], square.faces)
    >>> difference(square, lower).distances.round(4).tolist()
    [-0.01, -0.01]
    """
    if not 100 <= most <= 2_000_000:
        raise InputError(
            "The number of faces is out of range", value=most, allowed="100 to 2 000 000"
        )
    step = max(len(earlier.faces) // most, 1)
    places = earlier.centres[::step]
    distance, _, on = later.nearest_points(places)
    side = ((on - places) * earlier.normals[::step]).sum(axis=1)
    # Where the nearest point lies sideways the sign is that of the side all the same.
    return Difference(places, distance * np.sign(side), earlier.areas[::step] * step)


def steady_extremes(
    found: Difference, chosen: Flags, neighbours: int = STEADY
) -> tuple[float, float]:
    """Return how deep and how high a patch reads where it is deepest and highest, steadied.

    One face alone is as noisy as the scan, and the worst of a thousand lies beyond any level:
    whether a patch changed is judged on means over neighbouring faces.

    Parameters
    ----------
    found : Difference, of two scans
    chosen : flags (n,), the places of the patch
    neighbours : int, how many nearest faces make one mean [1], 1 to 1000

    Returns
    -------
    (float, float), the lowest and the highest mean distance, below 0 where material went [m]

    Raises
    ------
    InputError
        When the patch holds nothing or the number of faces is out of range.

    Source: lague2013 (distances averaged at a chosen scale); softmend-solids, section 5d.
    Checked against: tests/science/solid/test_compare.py.

    Example
    -------
    >>> row = np.stack([np.arange(4.0), np.zeros(4), np.zeros(4)], axis=1)
    >>> spike = Difference(row, np.array([0.0, -1e-3, 0.0, 0.0]), np.ones(4))
    >>> [round(1e3 * x, 3) for x in steady_extremes(spike, np.ones(4, dtype=bool), 4)]
    [-0.25, -0.25]
    """
    from scipy.spatial import cKDTree

    if not 1 <= neighbours <= 1000:
        raise InputError(
            "The number of faces of a mean is out of range", value=neighbours, allowed="1 to 1000"
        )
    if not np.any(chosen):
        raise InputError(
            "The patch holds nothing of the scan", value="0 places", allowed="a patch on the scan",
            remedy="pick its middle on the scan, and a larger radius",
        )  # fmt: skip
    places, distances = found.places[chosen], found.distances[chosen]
    count = min(neighbours, len(places))
    _, near = cKDTree(places).query(places, k=np.arange(1, count + 1))
    means = distances[near].mean(axis=1)
    return float(means.min()), float(means.max())
