"""Still air or a film on a surface: what stands between air and material, and slows diffusion."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.climate.saturation import saturation_pressure
from softmend.science.moisture.diffusion import Form
from softmend.science.uncertain import Array

STILL_AIR = 5e7
"""Resistance of the still air at a surface [m2 s Pa/kg]; an order of magnitude, derived."""
MANY_MODES = 80
WEAKEST, STRONGEST = 1e-4, 1e6


@dataclass(frozen=True, slots=True)
class FilmModes:
    """Rates in D over size squared [1], and the weights of surface, mean and core [1]."""

    rates: Array
    surface: Array
    mean: Array
    core: Array


def vapour_conductivity(
    diffusivity_m2_s: ArrayLike, uptake_kg_m3: ArrayLike, temperature_degc: ArrayLike
) -> Array:
    """Return how well vapour passes through a material, for each difference of vapour pressure.

    Parameters
    ----------
    diffusivity_m2_s : float or array, moisture diffusivity [m2/s], above 0
    uptake_kg_m3 : float or array, water taken up for each %RH [kg/m3], above 0
    temperature_degc : float or array, of the material [degC], -40 to 100

    Returns
    -------
    numpy array, conductivity [kg/(m s Pa)]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived (one flow by two gradients); softmend-climate, section 1.4, O6.
    Checked against: tests/science/climate/test_response.py.

    Example
    -------
    >>> f"{float(vapour_conductivity(5e-11, 1.85, 20)):.3g}"
    '3.96e-12'
    """
    rate, uptake = (np.asarray(v, dtype=np.float64) for v in (diffusivity_m2_s, uptake_kg_m3))
    if not (np.all(rate > 0) and np.all(uptake > 0)):
        raise InputError("Diffusivity and uptake must be positive", value=(rate, uptake))
    return np.asarray(100 * rate * uptake / saturation_pressure(temperature_degc))


def biot(form: Form, size_m: ArrayLike, conductivity: ArrayLike, resistance: ArrayLike) -> Array:
    """Return how much better the surface lets vapour pass than the body does.

    Parameters
    ----------
    form : Form, slab or cylinder
    size_m : float or array, thickness of the slab or radius of the cylinder [m], above 0
    conductivity : float or array, of the material for vapour [kg/(m s Pa)], above 0
    resistance : float or array, of all films and still air [m2 s Pa/kg], above 0

    Returns
    -------
    numpy array, Biot number [1], kept between 0.0001 and 1 000 000

    Raises
    ------
    InputError
        When a value is not positive.

    Source: crank1975, section 5.3.3 (surface evaporation).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(float(biot(Form.CYLINDER, 0.03, 3.95e-12, 5e7)))
    152
    """
    parts = [np.asarray(v, dtype=np.float64) for v in (size_m, conductivity, resistance)]
    if not all(np.all(v > 0) for v in parts):
        raise InputError("Size, conductivity and resistance must be positive")
    reach = parts[0] if form is Form.CYLINDER else parts[0] / 2
    return np.clip(reach / (parts[1] * parts[2]), WEAKEST, STRONGEST)


@lru_cache(maxsize=256)
def film_modes(form: Form, biot_number: float, count: int = MANY_MODES) -> FilmModes:
    """Return the modes of a body behind a surface that resists.

    Parameters
    ----------
    form : Form, slab or cylinder
    biot_number : float, Biot number [1], 0.0001 to 1 000 000
    count : int, how many [1], 1 to 400

    Returns
    -------
    FilmModes, rates in D over size squared, and weights [1]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: crank1975, equations 4.50 and 5.46 (surface evaporation).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> bare = film_modes(Form.CYLINDER, 1e6)
    >>> round(float(bare.rates[0]), 3), round(float(bare.mean[0]), 3)
    (5.783, 0.692)
    """
    if not WEAKEST <= biot_number <= STRONGEST or not 1 <= count <= 400:
        raise InputError("A Biot number is out of range", value=biot_number, allowed="1e-4 to 1e6")
    from scipy.special import j0, j1, jn_zeros

    n = np.arange(count, dtype=np.float64)
    if form is Form.SLAB:
        root = _bisected(
            lambda b: b * np.sin(b) - biot_number * np.cos(b), n * np.pi, (n + 0.5) * np.pi
        )
        head = 2 * np.sin(root) / (root + np.sin(root) * np.cos(root))
        across = np.sin(root) / root
        return FilmModes(4 * root**2, head * np.cos(root), head * across, head)
    first = np.concatenate([[0.0], jn_zeros(1, count)[: count - 1]])
    root = _bisected(lambda b: b * j1(b) - biot_number * j0(b), first, jn_zeros(0, count))
    both = root**2 + biot_number**2
    return FilmModes(
        root**2,
        np.asarray(2 * biot_number / both),
        np.asarray(4 * biot_number**2 / (root**2 * both)),
        np.asarray(2 * biot_number / (both * j0(root))),
    )


def _bisected(function: Callable[[Array], Array], low: ArrayLike, high: ArrayLike) -> Array:
    """Return the one root between each pair of limits; the function rises through it or falls."""
    below = np.asarray(low, dtype=np.float64) + 1e-12
    above = np.asarray(high, dtype=np.float64) - 1e-12
    sign = np.sign(function(below))
    for _ in range(70):
        middle = (below + above) / 2
        left = np.sign(function(middle)) == sign
        below, above = np.where(left, middle, below), np.where(left, above, middle)
    return np.asarray((below + above) / 2)
