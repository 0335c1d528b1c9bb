"""Mass and centre of gravity of an object once the fills that are planned lie in its voids."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solid.mass import Filling
from softmend.science.uncertain import Array, Band


@dataclass(frozen=True, eq=False)
class Filled:
    """Mass with the planned fills [kg], what they add [kg], and the centre of gravity (3,) [m].

    `shift` is how far the fills move it at their likeliest; `spread` how far it may lie off [m].
    """

    mass: Band
    added: Band
    centre: Array
    shift: float
    spread: float


def filled_mass(mass: Band, centre: ArrayLike, spread: float, fills: Sequence[Filling]) -> Filled:
    """Return mass and centre of gravity with fills that lie in voids of the outer skin.

    The volume of such a void is not in the object's own, so nothing is taken away for it.

    Parameters
    ----------
    mass : Band, of the object as it is [kg], above 0
    centre : array-like (3,), its centre of gravity [m]
    spread : float, how far that may lie off [m], 0 or more
    fills : sequence of Filling, volume [m3], density [kg/m3] and middle [m] of each

    Returns
    -------
    Filled [kg, m]

    Raises
    ------
    InputError
        When the object has no mass, a fill less than none, or there is no fill.

    Source: softmend-solids, section 4 (centre of a compound body, both ends of every range).
    Checked against: tests/science/solid/test_filled.py.

    Example
    -------
    >>> from softmend.science.uncertain import Band
    >>> one = Filling(Band(1e-4, 1e-4, 1e-4), Band(1e3, 1e3, 1e3), np.array([1.0, 0.0, 0.0]))
    >>> told = filled_mass(Band(0.9, 0.9, 0.9), [0.0, 0.0, 0.0], 0.0, [one])
    >>> round(told.mass.typical, 6), round(told.shift, 6)
    (1.0, 0.1)
    """
    if not (mass.low > 0 and spread >= 0 and fills):
        raise InputError(
            "A planned fill needs an object with a mass, and a fill",
            value=f"{mass.low:g} kg and {len(fills)} fills",
            allowed="a mass above 0, a spread of 0 or more, one fill or more",
        )
    if any(one.volume.low < 0 or not one.density.low > 0 for one in fills):
        raise InputError(
            "A planned fill has a volume of 0 or more and a density above 0",
            value=", ".join(f"{one.volume.low:g} m3, {one.density.low:g} kg/m3" for one in fills),
        )
    own = np.asarray(centre, dtype=np.float64)
    places = np.stack([one.centre for one in fills])
    ends = [
        np.array([one.volume.low * one.density.low for one in fills]),
        np.array([one.volume.typical * one.density.typical for one in fills]),
        np.array([one.volume.high * one.density.high for one in fills]),
    ]
    typical = _centre(mass.typical, own, ends[1], places)
    # A light object with heavy fills, and the other way round, move it furthest.
    off = max(
        float(np.linalg.norm(_centre(m, own, e, places) - typical))
        for m, e in product((mass.low, mass.high), ends)
    )
    added = Band(*(float(one.sum()) for one in ends))
    total = Band(mass.low + added.low, mass.typical + added.typical, mass.high + added.high)
    return Filled(
        total,
        added,
        typical,
        float(np.linalg.norm(typical - own)),
        spread * mass.typical / total.typical + off,
    )


def _centre(mass: float, own: Array, fills: Array, places: Array) -> Array:
    return np.asarray((mass * own + fills @ places) / (mass + fills.sum()))
