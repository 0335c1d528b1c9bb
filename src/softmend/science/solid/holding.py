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
from softmend.science.solid.bed import Bed, Footing, Trough
from softmend.science.solid.bending import Supports
from softmend.science.solid.mesh import Faces, Flags
from softmend.science.solid.support import Reactions, Tipping, reactions, tipping
from softmend.science.uncertain import Array


@dataclass(frozen=True, eq=False)
class Plumb:
    """Down [1], the centre of gravity [m], and how far that may lie off [m]."""

    down: Array
    centre: Array
    spread: float

    @cached_property
    def level(self) -> Array:
        """Two level directions, square to each other and to down, as rows [1]."""
        x = np.cross(self.down, np.eye(3)[np.abs(self.down).argmin()])
        x /= np.linalg.norm(x)
        return np.stack([x, np.cross(self.down, x)])

    def seen_from_above(self, places: Array) -> Array:
        """Return places from above, from the plumb line of the centre of gravity (n, 2) [m]."""
        return np.asarray((places - self.centre) @ self.level.T)

    def carried(self, feet: Sequence[Footing], weight: float) -> Reactions:
        """Return what pads carry of a weight where the real surface touches them [N]."""
        share = weight / max(len(feet), 1)
        touched = [self.seen_from_above(foot.touched(share)[0]) for foot in feet]
        middles = np.array([one.mean(axis=0) for one in touched])
        return reactions(middles, np.zeros(2), weight, reach=_reach(middles, touched))

    def tipping(self, feet: Sequence[Footing], forces: Array, push: float | None) -> Tipping:
        """Return how far it is from tipping; pushed at the centre of gravity, or higher [m]."""
        foot = max(float((foot.low - self.centre) @ self.down) for foot in feet)
        height = max(foot, 1e-6)
        corners = [
            _outline(self.seen_from_above(foot.touched(float(force))[0]))
            for foot, force in zip(feet, forces, strict=True)
        ]
        return tipping(np.concatenate(corners), np.zeros(2), height, push or height, self.spread)


@dataclass(frozen=True, eq=False)
class Holding(Plumb):
    """A beam over its supports."""

    beam: Beam

    def nearest(self, point: Array) -> float:
        """Return the distance along the beam of the slice nearest to a point [m]."""
        return float(self.beam.at[np.linalg.norm(self.beam.points - point, axis=1).argmin()])

    def radii(self, at: Array) -> Array:
        """Return the radius of the object at distances along it [m]."""
        return np.interp(at, self.beam.at, self.beam.radii)

    def supports(self, at: Array, forces: Array, length: float) -> Supports:
        """Return pads of one length [m] with their forces [N]."""
        return Supports(at, forces, np.full(len(at), length))


def _reach(middles: Array, touched: Sequence[Array]) -> float:
    """Return how far every support touches to either side of the line of their middles [m]."""
    across = np.linalg.svd(middles - middles.mean(axis=0))[2][1]
    sides = [(one - middle) @ across for one, middle in zip(touched, middles, strict=True)]
    return float(min(min(one.max(), -one.min()) for one in sides))


def _outline(plan: Array) -> Array:
    """Return the outermost of some places in 24 directions."""
    angle = 2 * np.pi * np.arange(24) / 24
    return np.asarray(
        plan[np.unique((plan @ np.stack([np.cos(angle), np.sin(angle)])).argmax(axis=0))]
    )


def together(beds: Sequence[Bed | Trough]) -> tuple[Array, Array, Array, Faces]:
    """Return the gaps, places and areas of several flat beds in one, and the bed of each.

    Parameters
    ----------
    beds : sequence of Bed [m, m2], 1 or more; troughs have no gaps and are left out

    Returns
    -------
    array (n,), gaps [m], array (n, 3), places [m], array (n,), areas [m2], array (n,), numbers [1]

    Source: own; nothing is computed.
    Checked against: tests/science/solid/test_footing.py.

    Example
    -------
    >>> bed = Bed(np.array([0.0, 0.001]), np.array([1e-4, 1e-4]), np.zeros((2, 3)), 1e6)
    >>> together([bed, bed])[3].tolist()
    [0, 0, 1, 1]
    """
    flat = [(k, bed) for k, bed in enumerate(beds) if isinstance(bed, Bed)]
    return (
        np.concatenate([bed.gaps for _k, bed in flat]),
        np.concatenate([bed.places for _k, bed in flat]),
        np.concatenate([bed.areas for _k, bed in flat]),
        np.concatenate([np.full(len(bed.gaps), k, dtype=np.int64) for k, bed in flat]),
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
