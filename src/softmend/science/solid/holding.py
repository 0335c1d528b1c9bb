"""An object over its supports, seen from above: plan, radii, where it is touched, what is free."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solid.beam import Beam
from softmend.science.solid.bending import Supports
from softmend.science.solid.mesh import Flags
from softmend.science.solid.support import Reactions, Tipping, reactions, tipping
from softmend.science.uncertain import Array


@dataclass(frozen=True, eq=False)
class Holding:
    """A beam, the direction down [1], its centre of gravity [m], how far that may lie off [m]."""

    beam: Beam
    down: Array
    centre: Array
    spread: float

    @cached_property
    def level(self) -> Array:
        """Two level directions, square to each other and to down, as rows [1]."""
        x = np.cross(self.down, np.eye(3)[np.abs(self.down).argmin()])
        x /= np.linalg.norm(x)
        return np.stack([x, np.cross(self.down, x)])

    def nearest(self, point: Array) -> float:
        """Return the distance along the beam of the slice nearest to a point [m]."""
        return float(self.beam.at[np.linalg.norm(self.beam.points - point, axis=1).argmin()])

    def radii(self, at: Array) -> Array:
        """Return the radius of the object at distances along it [m]."""
        return np.interp(at, self.beam.at, self.beam.radii)

    def plan(self, at: Array) -> Array:
        """Return the middle line at distances along it from above, from the plumb line [m]."""
        return np.asarray((self.beam.place(at) - self.centre) @ self.level.T)

    def carried(self, at: Array, weight: float) -> Reactions:
        """Return what pads at distances along the object carry of a weight [N]."""
        return reactions(self.plan(at), np.zeros(2), weight)

    def supports(self, at: Array, forces: Array, length: float) -> Supports:
        """Return pads of one length [m] with their forces [N]."""
        return Supports(at, forces, np.full(len(at), length))

    def tipping(
        self, at: Array, half_length: float, width_share: float, push: float | None
    ) -> Tipping:
        """Return how far it is from tipping; pushed at the centre of gravity, or higher [m]."""
        foot = float(((self.beam.place(at) - self.centre) @ self.down + self.radii(at)).max())
        height = max(foot, 1e-6)
        corners = self._corners(at, half_length, width_share)
        return tipping(corners, np.zeros(2), height, push or height, self.spread)

    def _corners(self, at: Array, half_length: float, width_share: float) -> Array:
        ways = [np.interp(at, self.beam.at, self.beam.along @ axis) for axis in self.level]
        way = np.stack(ways, axis=1)
        way /= np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)
        side = np.stack([-way[:, 1], way[:, 0]], axis=1) * (self.radii(at) * width_share)[:, None]
        middle = self.plan(at)
        return np.concatenate(
            [middle + x * half_length * way + y * side for x in (-1, 1) for y in (-1, 1)]
        )


def vectors(points: ArrayLike, factor: float = 1.0) -> Array:
    """Return points as numbers, every length multiplied.

    Parameters
    ----------
    points : array-like, one point or several, the last axis x, y, z [any length]
    factor : float, metres to that length [1]

    Returns
    -------
    array of the same shape [m]

    Source: own.
    Checked against: tests/science/solid/test_support.py.

    Example
    -------
    >>> vectors([1000, 0, 0], 0.001).tolist()
    [1.0, 0.0, 0.0]
    """
    return np.asarray(points, dtype=np.float64) * factor


def direction(given: ArrayLike) -> Array:
    """Return a direction of length one.

    Parameters
    ----------
    given : array-like (3,), a direction [1], not zero

    Returns
    -------
    array (3,) [1]

    Raises
    ------
    InputError
        When it is zero.

    Source: own.
    Checked against: tests/science/solid/test_support.py.

    Example
    -------
    >>> direction([0, 0, -2]).tolist()
    [0.0, 0.0, -1.0]
    """
    way = vectors(given)
    size = float(np.linalg.norm(way))
    if not size > 0:
        raise InputError("A direction has no length", value=0, allowed="such as [0, 0, -1]")
    return np.asarray(way / size)


def free_places(
    length: float, count: int, half: float, forbidden: Sequence[tuple[float, float]]
) -> Array:
    """Return evenly spaced places along an object that are clear of forbidden stretches.

    Parameters
    ----------
    length : float, of the object [m], above 0
    count : int, places in all [1], 1 or more
    half : float, half the length of a pad [m], 0 or more
    forbidden : sequence of pairs, start and end of each stretch as shares of the length [1]

    Returns
    -------
    array, distances [m]

    Source: own.
    Checked against: tests/science/solid/test_support.py.

    Example
    -------
    >>> free_places(1.0, 5, 0.05, [(0.4, 0.6)]).round(1).tolist()
    [0.1, 0.3, 0.7, 0.9]
    """
    at = (np.arange(count) + 0.5) / count * length
    good = (at >= half) & (at <= length - half)
    for low, high in forbidden:
        good &= (at < low * length - half) | (at > high * length + half)
    return np.asarray(at[good])


def outside(places: Array, middles: Array, radii: ArrayLike) -> Flags:
    """Return which places lie outside every one of some balls.

    Parameters
    ----------
    places : array (n, 3) [m]
    middles : array (k, 3), middles of the balls [m]
    radii : array-like (k,) [m]

    Returns
    -------
    flags (n,)

    Source: own.
    Checked against: tests/science/solid/test_support.py.

    Example
    -------
    >>> outside(np.array([[0, 0, 0], [1, 0, 0.0]]), np.zeros((1, 3)), [0.5]).tolist()
    [False, True]
    """
    clear = np.ones(len(places), dtype=bool)
    for middle, radius in zip(middles.reshape(-1, 3), np.atleast_1d(radii), strict=True):
        clear &= np.linalg.norm(places - middle, axis=1) >= radius
    return clear


def mouth_plane(mouth: Array, toward: Array) -> tuple[float, Array, Array]:
    """Return area, middle and inward direction of the mouth of a hollow.

    Parameters
    ----------
    mouth : array (n, 3), points round it, in order [m], 3 or more
    toward : array (3,), a place in the object [m]

    Returns
    -------
    float, area [m2], array (3,), middle [m], array (3,), direction towards the place [1]

    Source: own.
    Checked against: tests/science/solid/test_support.py.

    Example
    -------
    >>> square = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0.0]])
    >>> mouth_plane(square, np.array([0, 0, -5.0]))[0]
    1.0
    """
    middle = mouth.mean(axis=0)
    spokes = mouth - middle
    vector = np.cross(spokes, np.roll(spokes, -1, axis=0)).sum(axis=0) / 2
    inward = vector if vector @ (toward - middle) > 0 else -vector
    return float(np.linalg.norm(vector)), middle, np.asarray(inward)
