"""A width in pixels carried to metres on the surface that it was measured on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.surface import Surface
from softmend.science.propagation import Spread, spread
from softmend.science.uncertain import Array, Uncertain

DRAWS = 2000
HALF_PX = 5.0


def metres_across(surface: Surface, at_px: ArrayLike, way: ArrayLike) -> float:
    """Return the metres to the pixel at a place of the picture, in one direction.

    Parameters
    ----------
    surface : Surface, how pixels become metres
    at_px : array-like, the place, shape (2,) [px]
    way : array-like, unit vector of the direction, shape (2,) [1]

    Returns
    -------
    float [m/px]

    Source: own work (difference quotient over 10 px).
    Checked against: tests/science/photo/test_width.py.

    Example
    -------
    >>> from softmend.science.photo.scale import PlaneScale
    >>> round(metres_across(PlaneScale(10000.0, {}), [5, 5], [0, 1]) * 1e6, 6)
    100.0
    """
    ends = surface.positions(_ends(at_px, way))
    return float(np.hypot(*(ends[1] - ends[0]))) / (2 * HALF_PX)


def measured_across(
    surface: Surface,
    at_px: ArrayLike,
    way: ArrayLike,
    value_px: float,
    parts_px: Mapping[str, float],
    seed: int = 0,
) -> Spread:
    """Return a length of the picture, such as a width or an opening, in metres on the surface.

    Parameters
    ----------
    surface : Surface, how pixels become metres, with its own uncertainty
    at_px : array-like, the place, shape (2,) [px]
    way : array-like, unit vector along the length, shape (2,) [1]
    value_px : float, the length [px]
    parts_px : mapping, standard deviation by its source, each 0 or more [px]
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Spread [m]

    Raises
    ------
    InputError
        When a standard deviation is negative.

    Source: jcgm101, section 7.
    Checked against: tests/science/photo/test_width.py.

    Example
    -------
    >>> from softmend.science.photo.scale import PlaneScale
    >>> from softmend.science.photo.surface import Standoff
    >>> sure = Standoff(Uncertain.exact(0.0), Uncertain.exact(1.0))
    >>> found = measured_across(PlaneScale(10000.0, {}, sure), [5, 5], [0, 1], 20, {"noise": 1})
    >>> round(found.mean * 1e3, 3), round(found.sd * 1e3, 2)
    (2.0, 0.1)
    """
    if any(sd < 0 for sd in parts_px.values()):
        raise InputError("A standard deviation is negative", value=dict(parts_px), allowed="0 up")
    rng = np.random.default_rng(seed)
    drawn = surface.draws(DRAWS, rng)
    placed = surface.positions(_ends(at_px, way), drawn)
    scale = np.hypot(*(placed[:, 1] - placed[:, 0]).T) / (2 * HALF_PX)
    noise = {name: Uncertain.normal(0.0, sd).draw(DRAWS, rng) for name, sd in parts_px.items()}
    length = value_px + np.sum(list(noise.values()), axis=0)
    return spread(scale * length, {**drawn, **noise})


def _ends(at_px: ArrayLike, way: ArrayLike) -> Array:
    at, step = np.asarray(at_px, dtype=np.float64), np.asarray(way, dtype=np.float64)
    return np.stack([at - HALF_PX * step, at + HALF_PX * step])
