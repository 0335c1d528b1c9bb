"""A straight crack that springs hold together: how far it opens, and what is left at its tip.

The opening is a sum of Chebyshev terms with the tip's square root built in. Everything here has no
unit: depths along the crack over its depth, openings over the crack's depth, stresses over the
plane-strain modulus, intensities over that modulus times the root of the depth.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.joint.body import Body, Shape
from softmend.science.uncertain import Array

TERMS = 64


@dataclass(frozen=True, slots=True)
class Slit:
    """The equations of a crack in a body at one depth, at places from the tip to the mouth.

    `places` are depths below the surface; the unknowns are the terms of the opening, and each row
    or vector turns them into a stress, an opening, a mean, or the intensity at the tip.
    """

    places: Array
    weights: Array
    stress: Array
    openings: Array
    own: Array

    def solve(self, stiffness: ArrayLike, pull: Array, push: Array) -> Array:
        """Return the terms of the opening for each spring stiffness, shape (k, terms).

        `pull` is the stress that the crack has freed, `push` the opening at which the springs are
        at rest; each has one value a place.
        """
        springs = np.atleast_1d(np.asarray(stiffness, dtype=np.float64))
        rows = np.broadcast_to(self.stress, (springs.size, TERMS, TERMS)).copy()
        rows[:, :-1] += springs[:, None, None] * self.openings
        sides = np.zeros((springs.size, TERMS))
        sides[:, :-1] = pull + springs[:, None] * push
        return np.asarray(np.linalg.solve(rows, sides[..., None])[..., 0])

    def mean(self, terms: Array) -> Array:
        """Return the mean opening."""
        return np.asarray(terms[..., 0] * math.pi / 2 + terms[..., 1] * math.pi / 4)

    def mouth(self, terms: Array) -> Array:
        """Return the opening at the surface."""
        return np.asarray(terms[..., 0] * math.pi)

    def tip(self, terms: Array) -> Array:
        """Return the stress intensity at the tip."""
        return np.asarray(terms.sum(axis=-1) * math.sqrt(2 * math.pi) / 4)

    def profile(self, terms: Array) -> Array:
        """Return the opening at the places."""
        return np.asarray(terms @ self.openings.T)


@lru_cache(maxsize=256)
def slit(body: Body, depth_ratio: float) -> Slit:
    """Return the equations of a crack.

    Parameters
    ----------
    body : Body, what the crack runs into
    depth_ratio : float, depth of the crack over the outer radius [1], above 0; a plane takes any

    Returns
    -------
    Slit, without units

    Raises
    ------
    InputError
        When the crack is deeper than can be computed.

    Source: gupta1974 (edge crack by a singular integral equation); erdogan1973.
    Checked against: tests/checks/softmend-mechanics-joint.csv;
    tests/checks/softmend-joint-oracle.csv.

    Example
    -------
    >>> one = slit(Body(Shape.PLANE), 1.0)
    >>> free = one.solve(0.0, one.own, 0 * one.own)
    >>> round(float(one.tip(free)[0]) / 3.14159265**0.5, 3), round(float(one.mean(free)[0]), 2)
    (1.121, 3.95)
    """
    if not 0 < depth_ratio <= body.deepest and body.shape is not Shape.PLANE:
        raise InputError(
            "The crack is too deep for this body",
            value=f"{depth_ratio:.3g} of the outer radius",
            allowed=f"above 0 to {body.deepest:.3g}",
            remedy="A crack to the middle or through the wall opens freely: see the slit cylinder",
        )
    scale = 1.0 if body.shape is Shape.PLANE else depth_ratio
    order = np.arange(TERMS)
    sources = (2 * order + 1) * math.pi / (2 * TERMS)
    angles = (order[1:]) * math.pi / TERMS
    places = (1 + np.cos(angles)) / 2
    at = (1 + np.cos(sources)) / 2
    # A step of opening at a source moves the faces from there to the mouth.
    reach = body.stress(scale * places[:, None], scale * at[None, :]) * scale
    stress = -reach @ np.cos(np.outer(sources, order)) * math.pi / TERMS
    closed = (-1.0) ** order  # no square root at the mouth
    sines = np.sin(np.outer(angles, order[1:])) / order[1:]
    return Slit(
        places=places,
        weights=math.pi / TERMS * np.sin(angles) / 2,
        stress=np.vstack([stress, closed]),
        openings=np.column_stack([angles, sines]),
        own=body.own_stress(scale * places),
    )
