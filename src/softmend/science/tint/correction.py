"""What a first, measured drawdown teaches: the same paints again, with the model put right."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from softmend.errors import InputError
from softmend.science.tint.film import film_unchecked, under_the_surface
from softmend.science.tint.palette import Palette, Skin, mixed
from softmend.science.tint.recipe import Solved, Target, solve_near
from softmend.science.uncertain import Array

WITHIN = 0.3
HALVINGS = 60


@dataclass(frozen=True, slots=True)
class Corrected:
    """The second mixture, and what the model had missed: K, in shares of what it predicted.

    `missed` is the mean over the wavelengths; `limited` says that an amount met its bound.
    """

    solved: Solved
    skin: Skin
    missed: float
    limited: bool


def corrected(
    measured: Array, target: Target, palette: Palette, skin: Skin, amounts: Array
) -> Corrected:
    """Return the same paints in new amounts, after one drawdown has been measured.

    Parameters
    ----------
    measured : array, external reflectance of the dry drawdown [1], 0 to 1
    target : Target, the colour wanted and the lamps
    palette : Palette, K and S of paints and binder [1 over the unit of the thickness]
    skin : Skin, as the first mixture was computed
    amounts : array, share of each paint in the first mixture [1]

    Returns
    -------
    Corrected, each amount within 30 % of what it was

    Raises
    ------
    InputError
        When the first mixture holds no paint, or the reading cannot be that of a film.

    Source: softmend-colour, section 1.7 (an offset of K at fixed S).
    Checked against: tests/science/tint/test_correction.py.

    Example
    -------
    >>> from softmend.science.tint.colorimetry import Weights
    >>> from softmend.science.tint.film import Surface
    >>> from softmend.science.tint.palette import skin_reflectance
    >>> one = Palette(np.full((1, 3), 10.0), np.full((1, 3), 5.0), np.zeros(3), np.zeros(3))
    >>> day = Weights("d", np.eye(3) * 100, np.full(3, 100.0))
    >>> skin, first = Skin(np.full(3, 0.8), 0.06, Surface()), np.array([0.1])
    >>> aim = Target(day.lab(skin_reflectance(one, first, skin))[None], (day,))
    >>> too_dark = skin_reflectance(one, first * 1.1, skin)
    >>> corrected(too_dark, aim, one, skin, first).solved.amounts.round(3).tolist()
    [[0.09]]
    """
    if not np.any(amounts > 0):
        raise InputError(
            "The first mixture holds no paint", remedy="Give the amounts that were mixed"
        )
    inside = under_the_surface(measured, skin.surface)
    k, s = mixed(palette, amounts, skin)
    found = absorption_that_gives(inside, s * skin.thickness, skin.ground) / skin.thickness
    offset = found - k
    again = replace(skin, offset=skin.offset + offset)
    solved = solve_near(target, palette, again, amounts, WITHIN)
    used = amounts > 0
    change = np.abs(solved.amounts[0][used] / amounts[used] - 1)
    return Corrected(
        solved, again, float(offset.mean() / k.mean()), bool(np.any(change > WITHIN - 1e-6))
    )


def absorption_that_gives(reading: Array, scattered: Array, ground: Array) -> Array:
    """Return the K X of a film from its reflectance, S X being known.

    Parameters
    ----------
    reading : array, internal reflectance [1]
    scattered : array, S X [1], 0 or more
    ground : array, internal reflectance below [1], 0 to 1

    Returns
    -------
    array, K X [1]; 0 where the film reads lighter than one that absorbs nothing, at most 1000

    Source: kubelka1948, by halving.
    Checked against: tests/science/tint/test_correction.py.

    Example
    -------
    >>> r = film_unchecked(np.array([0.36]), np.array([0.96]), np.array([0.85]))
    >>> absorption_that_gives(r, np.array([0.96]), np.array([0.85])).round(9).tolist()
    [0.36]
    """
    low, high = np.zeros(np.shape(reading)), np.full(np.shape(reading), 1000.0)
    for _ in range(HALVINGS):
        # The middle of the logarithms, shifted so that 0 can be reached.
        middle = np.sqrt((low + 1e-9) * (high + 1e-9)) - 1e-9
        lighter = film_unchecked(middle, scattered, ground) > reading
        low, high = np.where(lighter, middle, low), np.where(lighter, high, middle)
    return np.where(low <= 0, 0.0, (low + high) / 2)
