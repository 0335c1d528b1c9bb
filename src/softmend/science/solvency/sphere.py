"""A solubility sphere fitted to what dissolved and what did not."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solvency.hansen import distance
from softmend.science.uncertain import Array

STARTS, STEPS = 12, 400
LEAST_TESTS = 4


@dataclass(frozen=True, slots=True)
class Sphere:
    """Centre and radius of a sphere, and how many liquids lie on its wrong side."""

    centre: tuple[float, float, float]
    radius: float
    misfits: int


def fitted_sphere(positions: ArrayLike, dissolves: ArrayLike) -> Sphere:
    """Return the smallest sphere found that has what dissolved inside and the rest outside.

    Many spheres fit the same tests: trust what it calls inside, not its centre.

    Parameters
    ----------
    positions : array, of the liquids, shape (n, 3) [MPa^0.5], n at least 4
    dissolves : array, whether each dissolved, shape (n,) [1], true or false, both present

    Returns
    -------
    Sphere [MPa^0.5]

    Raises
    ------
    InputError
        When there are fewer than 4 liquids, or all did the same.

    Source: hansen2007, chapter 1 (recalled; the desirability function).
    Checked against: tests/checks/softmend-solvents.csv.

    Example
    -------
    >>> places = [[17, 9, 5], [16, 8, 6], [18, 7, 4], [15.5, 16, 42], [15, 0, 0]]
    >>> fitted_sphere(places, [True, True, True, False, False]).misfits
    0
    """
    places, inside = np.asarray(positions, dtype=np.float64), np.asarray(dissolves, dtype=bool)
    if len(places) < LEAST_TESTS or places.shape[:1] != inside.shape or len(set(inside)) != 2:
        raise InputError(
            "A sphere cannot be fitted to these tests",
            value=f"{inside.sum()} of {inside.size} dissolved",
            allowed=f"{LEAST_TESTS} or more, some that dissolved and some that did not",
        )
    rng = np.random.default_rng(0)
    middle, spread = places[inside].mean(axis=0), np.array([1.5, 3.0, 3.0])
    starts = [middle, *(middle + spread * rng.normal(size=(STARTS - 1, 3)))]
    found = [_walked(np.clip(one, 0, 60), places, inside, rng) for one in starts]
    centre, radius, _ = max(found, key=lambda one: one[2])
    wrong = int(np.sum((distance(places, centre) <= radius) != inside))
    return Sphere((float(centre[0]), float(centre[1]), float(centre[2])), radius, wrong)


def _walked(
    start: Array, places: Array, inside: Array, rng: np.random.Generator
) -> tuple[Array, float, float]:
    """Climb the desirability by random steps that shrink; the radius follows from the centre."""
    centre, (radius, best) = start, _best_radius(start, places, inside)
    for step in np.geomspace(2.0, 0.01, STEPS):
        tried = np.clip(centre + step * rng.normal(size=3) * (0.5, 1.0, 1.0), 0, 60)
        size, worth = _best_radius(tried, places, inside)
        if worth >= best:
            centre, radius, best = tried, size, worth
    return centre, radius, best


def _best_radius(centre: Array, places: Array, inside: Array) -> tuple[float, float]:
    """Return the radius of the fewest misfits at a centre, and a worth: misfits, then size."""
    apart = distance(places, centre)
    edges = np.sort(apart)
    radii = (edges[:-1] + edges[1:]) / 2
    wrong = ((apart[None, :] <= radii[:, None]) != inside).sum(axis=1)
    least = int(np.argmin(wrong))
    # Among spheres of equal misfit the smaller is the more careful claim.
    return float(radii[least]), -float(wrong[least]) - 1e-3 * float(radii[least])
