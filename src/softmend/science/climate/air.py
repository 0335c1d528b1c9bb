"""Moist air: how much vapour it holds, and what becomes of its humidity when it warms or cools.

Relative humidity is over liquid water everywhere, below 0 degC too, as loggers give it.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.climate.saturation import (
    KELVIN,
    inside,
    log_saturation,
    saturation_pressure,
    saturation_slope,
    temperature_in_range,
)
from softmend.science.uncertain import Array

VAPOUR_GAS_CONSTANT = 461.5
"""Of water vapour [J/(kg K)]."""
AIR_GAS_CONSTANT = 287.042
"""Of dry air [J/(kg K)]."""
MASS_RATIO = 0.621945
"""Of the molecules of water and of dry air [1]."""
STANDARD_PRESSURE = 101_325.0


def vapour_pressure(temperature_degc: ArrayLike, rh_percent: ArrayLike) -> Array:
    """Return the pressure of the vapour in air of a temperature and a relative humidity.

    Parameters
    ----------
    temperature_degc : float or array, of the air [degC], -40 to 100
    rh_percent : float or array, relative humidity over liquid water [%], 0 to 100

    Returns
    -------
    numpy array, pressure [Pa]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: ashrae-fundamentals, chapter 1 (definition of relative humidity).
    Checked against: tests/science/climate/test_air.py.

    Example
    -------
    >>> round(float(vapour_pressure(20, 50)), 1)
    1169.4
    """
    return np.asarray(humidity(rh_percent) / 100 * saturation_pressure(temperature_degc))


def dew_point(temperature_degc: ArrayLike, rh_percent: ArrayLike) -> Array:
    """Return the temperature to which air must cool for dew to form.

    Parameters
    ----------
    temperature_degc : float or array, of the air [degC], -40 to 100
    rh_percent : float or array, relative humidity over liquid water [%], above 0 to 100

    Returns
    -------
    numpy array, dew point over liquid water [degC]

    Raises
    ------
    InputError
        When a value is out of range; perfectly dry air has no dew point.

    Source: ashrae-fundamentals, chapter 1, equation 6, solved by Newton's steps from wmo-no8.
    Checked against: tests/checks/softmend-climate-oracle.csv.

    Example
    -------
    >>> round(float(dew_point(20, 50)), 2)
    9.27
    """
    share = humidity(rh_percent) / 100
    if not np.all(share > 0):
        raise InputError("Perfectly dry air has no dew point", value=0, allowed="above 0 %RH")
    wanted = np.log(share) + log_saturation(temperature_in_range(temperature_degc))
    start = np.minimum(wanted - np.log(611.2), 17.0)
    found = 243.12 * start / (17.62 - start)
    for _ in range(4):
        found = found - (log_saturation(found) - wanted) / saturation_slope(found)
    return np.asarray(found)


def humidity_ratio(
    temperature_degc: ArrayLike, rh_percent: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE
) -> Array:
    """Return the mass of vapour beside each mass of dry air, as an ideal gas.

    Parameters
    ----------
    temperature_degc : float or array, of the air [degC], -40 to 100
    rh_percent : float or array, relative humidity over liquid water [%], 0 to 100
    pressure_pa : float or array, of the whole air [Pa], 50 000 to 120 000

    Returns
    -------
    numpy array, ratio [kg/kg]; a table of real air is 0.4 to 0.5 % higher

    Raises
    ------
    InputError
        When a value is out of range, or the vapour would be all of the air.

    Source: ashrae-fundamentals, chapter 1; recalled.
    Checked against: tests/checks/ashrae-fundamentals.csv.

    Example
    -------
    >>> round(float(humidity_ratio(20, 50)), 6)
    0.007262
    """
    vapour = vapour_pressure(temperature_degc, rh_percent)
    return np.asarray(MASS_RATIO * vapour / (_pressure(pressure_pa, vapour) - vapour))


def wet_bulb_humidity(
    temperature_degc: ArrayLike,
    wet_bulb_degc: ArrayLike,
    pressure_pa: ArrayLike = STANDARD_PRESSURE,
) -> Array:
    """Return the relative humidity that a whirled pair of thermometers shows.

    Parameters
    ----------
    temperature_degc : float or array, of the dry bulb [degC], 0 to 100
    wet_bulb_degc : float or array, of the wet bulb [degC], 0 to the dry bulb
    pressure_pa : float or array, of the whole air [Pa], 50 000 to 120 000

    Returns
    -------
    numpy array, relative humidity over liquid water [%]

    Raises
    ------
    InputError
        When the wet bulb is warmer than the dry one, or drier than dry air can make it.

    Source: ashrae-fundamentals, chapter 1, equation 35; recalled.
    Checked against: tests/checks/ashrae-fundamentals.csv.

    Example
    -------
    >>> round(float(wet_bulb_humidity(40, 20)), 1)
    14.0
    """
    dry, wet = temperature_in_range(temperature_degc), temperature_in_range(wet_bulb_degc)
    if not np.all((wet <= dry) & (wet >= 0)):
        raise InputError("A wet bulb is warmer than the dry one, or frozen", allowed="0 to the dry")
    full = humidity_ratio(wet, 100, pressure_pa)
    ratio = ((2501 - 2.326 * wet) * full - 1.006 * (dry - wet)) / (2501 + 1.86 * dry - 4.186 * wet)
    if not np.all(ratio >= 0):
        raise InputError("The two bulbs differ more than in perfectly dry air")
    vapour = ratio * _pressure(pressure_pa, 0.0) / (MASS_RATIO + ratio)
    return np.asarray(100 * vapour / saturation_pressure(dry))


def specific_volume(
    temperature_degc: ArrayLike, rh_percent: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE
) -> Array:
    """Return the volume of moist air for each mass of dry air in it.

    Parameters
    ----------
    temperature_degc : float or array, of the air [degC], -40 to 100
    rh_percent : float or array, relative humidity over liquid water [%], 0 to 100
    pressure_pa : float or array, of the whole air [Pa], 50 000 to 120 000

    Returns
    -------
    numpy array, volume [m3/kg]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: ashrae-fundamentals, chapter 1; recalled.
    Checked against: tests/checks/ashrae-fundamentals.csv.

    Example
    -------
    >>> round(float(specific_volume(20, 50)), 4)
    0.8402
    """
    ratio = humidity_ratio(temperature_degc, rh_percent, pressure_pa)
    kelvin = temperature_in_range(temperature_degc) + KELVIN
    return np.asarray(
        AIR_GAS_CONSTANT * kelvin * (1 + ratio / MASS_RATIO) / np.asarray(pressure_pa)
    )


def enthalpy(
    temperature_degc: ArrayLike, rh_percent: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE
) -> Array:
    """Return the heat in moist air, from dry air and liquid water at 0 degC.

    Parameters
    ----------
    temperature_degc : float or array, of the air [degC], -40 to 100
    rh_percent : float or array, relative humidity over liquid water [%], 0 to 100
    pressure_pa : float or array, of the whole air [Pa], 50 000 to 120 000

    Returns
    -------
    numpy array, heat for each mass of dry air [J/kg]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: ashrae-fundamentals, chapter 1, equation 32; recalled.
    Checked against: tests/checks/ashrae-fundamentals.csv.

    Example
    -------
    >>> round(float(enthalpy(20, 50)))
    38552
    """
    t = temperature_in_range(temperature_degc)
    return np.asarray(
        1006 * t + humidity_ratio(t, rh_percent, pressure_pa) * (2_501_000 + 1860 * t)
    )


def vapour_density(temperature_degc: ArrayLike, rh_percent: ArrayLike) -> Array:
    """Return the mass of vapour in each volume of air.

    Parameters
    ----------
    temperature_degc : float or array, of the air [degC], -40 to 100
    rh_percent : float or array, relative humidity over liquid water [%], 0 to 100

    Returns
    -------
    numpy array, density [kg/m3]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived from the ideal gas.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(1000 * float(vapour_density(20, 100)), 2)
    17.29
    """
    kelvin = temperature_in_range(temperature_degc) + KELVIN
    vapour = vapour_pressure(temperature_degc, rh_percent)
    return np.asarray(vapour / (VAPOUR_GAS_CONSTANT * kelvin))


def same_vapour(rh_percent: ArrayLike, from_degc: ArrayLike, to_degc: ArrayLike) -> Array:
    """Return the humidity of the same air, open to its room, at another temperature.

    A lamp-warmed case and the air at a cold wall are this.

    Parameters
    ----------
    rh_percent : float or array, relative humidity before [%], 0 to 100
    from_degc : float or array, temperature before [degC], -40 to 100
    to_degc : float or array, temperature after [degC], -40 to 100

    Returns
    -------
    numpy array, relative humidity after, at most 100 (the rest is dew) [%]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived from the definition of relative humidity.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(float(same_vapour(50, 20, 23)), 1)
    41.6
    """
    ratio = saturation_pressure(from_degc) / saturation_pressure(to_degc)
    return np.minimum(humidity(rh_percent) * ratio, 100.0)


def sealed_box(rh_percent: ArrayLike, from_degc: ArrayLike, to_degc: ArrayLike) -> Array:
    """Return the humidity in an empty, tight box at another temperature.

    Parameters
    ----------
    rh_percent : float or array, relative humidity before [%], 0 to 100
    from_degc : float or array, temperature before [degC], -40 to 100
    to_degc : float or array, temperature after [degC], -40 to 100

    Returns
    -------
    numpy array, relative humidity after, at most 100 (the rest is dew) [%]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived (the mass of vapour in the box stays).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(float(sealed_box(50, 20, 21)), 1)
    47.2
    """
    ratio = vapour_density(from_degc, 100) / vapour_density(to_degc, 100)
    return np.minimum(humidity(rh_percent) * ratio, 100.0)


def humidity(rh_percent: ArrayLike) -> Array:
    """Return relative humidities as an array; refuse what is none.

    Parameters
    ----------
    rh_percent : float or array, relative humidity [%], 0 to 100

    Returns
    -------
    numpy array, the same [%]

    Raises
    ------
    InputError
        When a humidity is outside 0 to 100 %.

    Source: own.
    Checked against: tests/science/climate/test_air.py.

    Example
    -------
    >>> float(humidity(50))
    50.0
    """
    rh = np.asarray(rh_percent, dtype=np.float64)
    return inside("A relative humidity is out of range", rh, 0.0, 100.0, "%")


def _pressure(pressure_pa: ArrayLike, vapour: ArrayLike) -> Array:
    p = np.asarray(pressure_pa, dtype=np.float64)
    p = inside("An air pressure is out of range", p, 50_000.0, 120_000.0, "Pa")
    if not np.all(p > 1.05 * np.asarray(vapour)):
        raise InputError("The vapour would be all of the air", remedy="Look at the temperature")
    return p
