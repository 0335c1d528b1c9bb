"""Water that wood holds, as an object or as a buffer, by temperature and humidity."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array


def wood_moisture(temperature_degc: ArrayLike, rh_percent: ArrayLike) -> Array:
    """Return the water that wood holds in equilibrium with the air.

    Parameters
    ----------
    temperature_degc : float or array, of air and wood [degC], 0 to 70
    rh_percent : float or array, relative humidity [%], 0 to 98

    Returns
    -------
    numpy array, water [% of dry mass]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: wood-handbook2010, chapter 4 (Hailwood and Horrobin); recalled.
    Checked against: tests/checks/wood-handbook2010.csv.

    Example
    -------
    >>> round(float(wood_moisture(21.1, 50)), 2)
    9.24
    """
    t, rh = (np.asarray(v, dtype=np.float64) for v in (temperature_degc, rh_percent))
    if not (np.all((t >= 0) & (t <= 70)) and np.all((rh >= 0) & (rh <= 98))):
        raise InputError(
            "The water that wood holds is not known there", allowed="0 to 70 °C and 0 to 98 %RH"
        )
    weight = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * rh / 100
    bound = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return np.asarray(1800 / weight * (kh / (1 - kh) + bound))


def wood_drift(temperature_degc: ArrayLike, rh_percent: ArrayLike) -> Array:
    """Return how much the humidity over wood rises with temperature when its water stays.

    Parameters
    ----------
    temperature_degc : float or array, of the wood [degC], 1 to 69
    rh_percent : float or array, relative humidity over it [%], 1 to 97

    Returns
    -------
    numpy array, rise [%RH/K]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: wood-handbook2010, chapter 4, differentiated.
    Checked against: tests/checks/wood-handbook2010.csv.

    Example
    -------
    >>> round(float(wood_drift(20, 50)), 2)
    0.16
    """
    t, rh = (np.asarray(v, dtype=np.float64) for v in (temperature_degc, rh_percent))
    by_heat = (wood_moisture(t + 0.5, rh) - wood_moisture(t - 0.5, rh)) / 1.0
    by_air = (wood_moisture(t, rh + 0.5) - wood_moisture(t, rh - 0.5)) / 1.0
    return np.asarray(-by_heat / by_air)
