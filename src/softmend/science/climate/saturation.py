"""Water vapour over liquid water at rest: its pressure, how it grows with warmth, by two formulas.

Relative humidity is over liquid water everywhere, below 0 degC too, as loggers give it.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

KELVIN = 273.15
COLDEST, WARMEST = -40.0, 100.0
HYLAND_WEXLER = (
    -5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 6.5459673,
)  # fmt: skip


def saturation_pressure(temperature_degc: ArrayLike) -> Array:
    """Return the pressure of vapour over liquid water at rest with it.

    Parameters
    ----------
    temperature_degc : float or array, of air and water [degC], -40 to 100

    Returns
    -------
    numpy array, pressure [Pa]

    Raises
    ------
    InputError
        When a temperature is out of range.

    Source: ashrae-fundamentals, chapter 1, equation 6 (Hyland and Wexler); recalled.
    Checked against: tests/checks/softmend-climate-oracle.csv.

    Example
    -------
    >>> round(float(saturation_pressure(20)), 1)
    2338.8
    """
    return np.exp(log_saturation(temperature_in_range(temperature_degc)))


def log_saturation(temperature_degc: Array) -> Array:
    """Return the natural logarithm of the saturation pressure, without looking at the range.

    Parameters
    ----------
    temperature_degc : numpy array, of air and water [degC], -40 to 100

    Returns
    -------
    numpy array, logarithm of the pressure in Pa [1]

    Source: ashrae-fundamentals, chapter 1, equation 6 (Hyland and Wexler); recalled.
    Checked against: tests/checks/softmend-climate-oracle.csv.

    Example
    -------
    >>> round(float(np.exp(log_saturation(np.array(25.0)))), 1)
    3169.2
    """
    c8, c9, c10, c11, c12, c13 = HYLAND_WEXLER
    t = np.asarray(temperature_degc, dtype=np.float64) + KELVIN
    return np.asarray(c8 / t + c9 + t * (c10 + t * (c11 + t * c12)) + c13 * np.log(t))


def saturation_slope(temperature_degc: Array) -> Array:
    """Return how fast the logarithm of the saturation pressure grows with temperature.

    Parameters
    ----------
    temperature_degc : numpy array, of air and water [degC], -40 to 100

    Returns
    -------
    numpy array, slope [1/K]

    Source: ashrae-fundamentals, chapter 1, equation 6, differentiated.
    Checked against: tests/science/climate/test_air.py (finite differences).

    Example
    -------
    >>> round(float(saturation_slope(np.array(20.0))), 4)
    0.0619
    """
    c8, _, c10, c11, c12, c13 = HYLAND_WEXLER
    t = np.asarray(temperature_degc, dtype=np.float64) + KELVIN
    return np.asarray(-c8 / t**2 + c10 + t * (2 * c11 + 3 * t * c12) + c13 / t)


def saturation_pressure_magnus(temperature_degc: ArrayLike) -> Array:
    """Return the saturation pressure by the short formula of the weather services.

    Parameters
    ----------
    temperature_degc : float or array, of air and water [degC], -40 to 100

    Returns
    -------
    numpy array, pressure [Pa]; 0.1 to 0.3 % low from 5 to 40 degC

    Raises
    ------
    InputError
        When a temperature is out of range.

    Source: wmo-no8, annex 4.B; recalled.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(float(saturation_pressure_magnus(20)), 1)
    2332.6
    """
    t = temperature_in_range(temperature_degc)
    return np.asarray(611.2 * np.exp(17.62 * t / (243.12 + t)))


def temperature_in_range(temperature_degc: ArrayLike) -> Array:
    """Return temperatures as an array, each inside what the formulas of moist air cover.

    Parameters
    ----------
    temperature_degc : float or array, of the air [degC], -40 to 100

    Returns
    -------
    numpy array, the same temperatures [degC]

    Raises
    ------
    InputError
        When one is outside, or not finite.

    Source: own; the range of ashrae2021 chapter 1 that air about an object can reach.
    Checked against: tests/science/climate/test_air.py.

    Example
    -------
    >>> float(temperature_in_range(20.0))
    20.0
    """
    t = np.asarray(temperature_degc, dtype=np.float64)
    return inside("A temperature is out of range", t, COLDEST, WARMEST, "°C")


def inside(problem: str, values: Array, least: float, most: float, unit: str) -> Array:
    """Return values that all lie between two bounds; refuse the first that does not.

    Parameters
    ----------
    problem : str, what is wrong when one is outside [in words]
    values : numpy array [the unit named]
    least, most : float, the bounds, both allowed [the unit named]
    unit : str, the unit as it is printed [in words]

    Returns
    -------
    numpy array, the same values [the unit named]

    Raises
    ------
    InputError
        When a value is outside, or not finite.

    Source: own.
    Checked against: tests/science/climate/test_air.py.

    Example
    -------
    >>> float(inside("A share is out of range", np.array(0.5), 0.0, 1.0, "1"))
    0.5
    """
    wrong = ~((values >= least) & (values <= most))
    if np.any(wrong):
        raise InputError(
            problem,
            value=f"{float(values[wrong].flat[0]):g} {unit}",
            allowed=f"{least:g} to {most:g} {unit}",
        )
    return values
