"""Free strains with humidity by direction, and what they do to a slit cylinder or a held slab."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array


@dataclass(frozen=True, slots=True)
class Slopes:
    """Strain for each percent of relative humidity [% per %RH], straight between humidities [%].

    One humidity means that one coefficient is all that is known; it then holds everywhere.
    """

    at_percent: tuple[float, ...]
    per_percent: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse slopes that are not in order."""
        rising = all(a < b for a, b in zip(self.at_percent, self.at_percent[1:], strict=False))
        if not self.at_percent or len(self.at_percent) != len(self.per_percent) or not rising:
            raise InputError(
                "The coefficients of movement do not fit their humidities",
                value=self.at_percent,
                allowed="one coefficient a humidity, humidities rising",
            )


def free_strain(before_percent: float, after_percent: float, slopes: Slopes) -> float:
    """Return the strain of an unheld piece when it comes to rest at another humidity.

    Parameters
    ----------
    before_percent : float, relative humidity in the piece before [%], 0 to 100
    after_percent : float, relative humidity in the piece after [%], 0 to 100
    slopes : Slopes, coefficients of the direction [% per %RH]

    Returns
    -------
    float, strain, negative for drying [1]

    Raises
    ------
    InputError
        When a humidity lies outside the range for which coefficients are known.

    Source: derived (integral of the coefficient over humidity).
    Checked against: tests/science/moisture/test_strain.py.

    Example
    -------
    >>> round(free_strain(50, 40, Slopes((50.0,), (0.015,))), 6)
    -0.0015
    """
    ends = (before_percent, after_percent)
    least, most = (slopes.at_percent[0], slopes.at_percent[-1])
    if len(slopes.at_percent) == 1:
        least, most = 0.0, 100.0
    if not all(least <= rh <= most for rh in ends):
        raise InputError(
            "A humidity lies outside the range for which the movement is known",
            value=f"{before_percent:g} to {after_percent:g} %",
            allowed=f"{least:g} to {most:g} %",
            remedy="Give coefficients for that range, or a measured opening",
        )
    low, high = sorted(ends)
    inside = [rh for rh in slopes.at_percent if low < rh < high]
    cuts = np.array([low, *inside, high])
    per_percent = np.interp(cuts, slopes.at_percent, slopes.per_percent)
    grown = float(np.trapezoid(per_percent, cuts)) / 100
    return grown if after_percent >= before_percent else -grown


def slit_gap(mismatch: ArrayLike, radius_m: ArrayLike) -> Array:
    """Return how wide a slit from rim to centre of a cylinder opens at a radius.

    Parameters
    ----------
    mismatch : float or array, radial minus tangential free strain [1]; positive opens
    radius_m : float or array, where the width is read [m], 0 or more

    Returns
    -------
    numpy array, gap, negative where the faces press on each other [m]

    Raises
    ------
    InputError
        When a radius is negative.

    Source: derived (uniform free strains in a slit disc are compatible, so a full turn lacks
    2 pi times the mismatch).
    Checked against: tests/checks/softmend-mechanics-moisture.csv.

    Example
    -------
    >>> round(float(slit_gap(0.01, 0.05)) * 1e3, 4)
    3.1416
    """
    radius = np.asarray(radius_m, dtype=np.float64)
    if not np.all(radius >= 0):
        raise InputError("A radius is negative", value=float(radius.min()), allowed="0 m or more")
    return np.asarray(2 * math.pi * radius * np.asarray(mismatch, dtype=np.float64))


def slab_gap(strain: ArrayLike, spacing_m: ArrayLike) -> Array:
    """Return how wide the cracks of a slab that is held at its ends open, all taken alike.

    Parameters
    ----------
    strain : float or array, free strain along the slab [1]; drying is negative and opens
    spacing_m : float or array, held length for each crack [m], above 0

    Returns
    -------
    numpy array, gap of each crack, an upper bound: the slab between keeps no stress [m]

    Raises
    ------
    InputError
        When a spacing is not above zero.

    Source: derived (the held length does not change).
    Checked against: tests/science/moisture/test_strain.py.

    Example
    -------
    >>> round(float(slab_gap(-0.002, 0.1)) * 1e3, 3)
    0.2
    """
    spacing = np.asarray(spacing_m, dtype=np.float64)
    if not np.all(spacing > 0):
        raise InputError("A spacing of cracks is not above zero", value=float(spacing.min()))
    return np.asarray(-np.asarray(strain, dtype=np.float64) * spacing)


def ring_stresses(
    mismatch: float, modulus_pa: float, radius_ratio: ArrayLike
) -> tuple[Array, Array]:
    """Return the hoop and radial stress of an uncracked solid disc whose directions move apart.

    Parameters
    ----------
    mismatch : float, radial minus tangential free strain [1]
    modulus_pa : float, E of a thin disc, E / (1 - nu^2) of a long cylinder [Pa], above 0
    radius_ratio : float or array, radius over the outer radius [1], above 0 to 1

    Returns
    -------
    tuple of numpy arrays, hoop and radial stress, tension positive [Pa]

    Raises
    ------
    InputError
        When a radius ratio is outside the disc.

    Source: derived (equilibrium and compatibility; softmend-mechanics-moisture, section 4b).
    Checked against: tests/checks/softmend-mechanics-moisture.csv.

    Example
    -------
    >>> hoop, radial = ring_stresses(0.002, 8e9, 1.0)
    >>> float(hoop) / 1e6, float(radial)
    (8.0, 0.0)
    """
    at = np.asarray(radius_ratio, dtype=np.float64)
    if not np.all((at > 0) & (at <= 1)):
        raise InputError("A place lies outside the disc", allowed="above 0 to the outer radius")
    half = modulus_pa * mismatch / 2
    return np.asarray(half * (1 + np.log(at))), np.asarray(half * np.log(at))
