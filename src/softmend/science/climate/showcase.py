"""A case in closed form: how long it lags behind the room, and how much buffer it needs.

A case changes the swing, never the mean: unconditioned buffer holds an object at the room's mean.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.climate.case_run import saturation_density
from softmend.science.uncertain import Array

NEAR_LIMIT = 0.6
"""Above this share of the whole difference, the straight-line formula asks for far too much gel."""


def time_constant(
    exchange_per_s: ArrayLike,
    buffer_kg_m3: ArrayLike,
    capacity_kg_kg: ArrayLike,
    temperature_degc: ArrayLike = 20.0,
) -> Array:
    """Return how long a case lags behind its room: after it, 63 % of a step have arrived.

    Parameters
    ----------
    exchange_per_s : float or array, air changes [1/s], above 0
    buffer_kg_m3 : float or array, buffer in each volume of the case [kg/m3], 0 or more
    capacity_kg_kg : float or array, water that the buffer takes up for each %RH [kg/kg], 0 or more
    temperature_degc : float or array, of the case [degC], -40 to 100

    Returns
    -------
    numpy array, time constant [s]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-climate, section 1.5, C1; thomson1977.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(0.6931472 * float(time_constant(1 / 86400, 20, 2e-3)) / 86400, 1)
    161.1
    """
    exchange, buffer, capacity = (
        np.asarray(v, dtype=np.float64) for v in (exchange_per_s, buffer_kg_m3, capacity_kg_kg)
    )
    _positive("An air exchange", exchange)
    if not (np.all(buffer >= 0) and np.all(capacity >= 0)):
        raise InputError("Buffer and capacity cannot be negative", allowed="0 or more")
    return np.asarray((1 + buffer * capacity / saturation_density(temperature_degc)) / exchange)


def half_time(
    exchange_per_s: ArrayLike,
    buffer_kg_m3: ArrayLike,
    capacity_kg_kg: ArrayLike,
    temperature_degc: ArrayLike = 20.0,
) -> Array:
    """Return the time after which half of a lasting step of the room has reached the case.

    Parameters
    ----------
    exchange_per_s : float or array, air changes [1/s], above 0
    buffer_kg_m3 : float or array, buffer in each volume of the case [kg/m3], 0 or more
    capacity_kg_kg : float or array, water that the buffer takes up for each %RH [kg/kg], 0 or more
    temperature_degc : float or array, of the case [degC], -40 to 100

    Returns
    -------
    numpy array, half-time [s]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: thomson1977; softmend-climate, section 1.5, C2.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(float(half_time(1 / 86400, 0, 0)) / 86400, 2)
    0.69
    """
    lag = time_constant(exchange_per_s, buffer_kg_m3, capacity_kg_kg, temperature_degc)
    return np.asarray(math.log(2) * lag)


def half_time_by_rule(
    exchange_per_s: ArrayLike, buffer_kg_m3: ArrayLike, capacity_kg_kg: ArrayLike
) -> Array:
    """Return the half-time by the rule 4 M B / N days, for much buffer near 20 degC.

    Parameters
    ----------
    exchange_per_s : float or array, air changes [1/s], above 0
    buffer_kg_m3 : float or array, buffer in each volume of the case [kg/m3], 0 or more
    capacity_kg_kg : float or array, water that the buffer takes up for each %RH [kg/kg], 0 or more

    Returns
    -------
    numpy array, half-time [s]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: thomson1977 (the rule is recalled).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(float(half_time_by_rule(1 / 86400, 20, 2e-3)) / 86400, 1)
    160.0
    """
    exchange = np.asarray(exchange_per_s, dtype=np.float64)
    _positive("An air exchange", exchange)
    return np.asarray(4000 * np.asarray(buffer_kg_m3) * np.asarray(capacity_kg_kg) / exchange)


def buffer_for_season(
    room_swing: float,
    wanted_swing: float,
    exchange_per_s: float,
    capacity_kg_kg: float,
    period_s: float = 365 * 86400.0,
    temperature_degc: float = 20.0,
) -> tuple[float, float]:
    """Return the lag and the buffer that bring a regular swing of the room down to a smaller one.

    Parameters
    ----------
    room_swing : float, half the swing of the room, from its mean [%RH], above 0
    wanted_swing : float, half the swing allowed in the case [%RH], above 0
    exchange_per_s : float, air changes [1/s], above 0
    capacity_kg_kg : float, water that the buffer takes up for each %RH [kg/kg], above 0
    period_s : float, of a full swing [s], above 0
    temperature_degc : float, of the case [degC], -40 to 100

    Returns
    -------
    tuple of floats, lag [s] and buffer [kg/m3]; 0 kg/m3 when the leak alone is slow enough

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-climate, section 1.5, C4.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> lag, buffer = buffer_for_season(15, 5, 1 / 86400, 2e-3)
    >>> round(lag / 86400), round(buffer, 1)
    (164, 14.1)
    """
    values = np.array([room_swing, wanted_swing, exchange_per_s, capacity_kg_kg, period_s])
    _positive("A swing, exchange, capacity or period", values)
    if wanted_swing >= room_swing:
        return 0.0, 0.0
    lag = math.sqrt((room_swing / wanted_swing) ** 2 - 1) * period_s / (2 * math.pi)
    full = float(saturation_density(temperature_degc))
    return lag, max(0.0, (lag * exchange_per_s - 1) * full / capacity_kg_kg)


def gel_by_formula(
    difference_percent: float,
    volume_m3: float,
    exchange_per_s: float,
    time_s: float,
    capacity_kg_kg: float,
    drift_percent: float,
    full_kg_m3: float = 0.0173,
) -> float:
    """Return the gel for a held set point by the straight-line formula.

    Parameters
    ----------
    difference_percent : float, room minus set point, without sign [%RH], above 0 to 100
    volume_m3 : float, air of the case [m3], above 0
    exchange_per_s : float, air changes [1/s], above 0
    time_s : float, until the gel is conditioned again [s], above 0
    capacity_kg_kg : float, water that the gel takes up for each %RH [kg/kg], above 0
    drift_percent : float, how far the case may drift from the set point [%RH], above 0
    full_kg_m3 : float, vapour in saturated air [kg/m3]; the printed value is that of 20 degC

    Returns
    -------
    float, gel; 0 when the drift allowed is the whole difference [kg]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: weintraub2002 (the formula is recalled).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(gel_by_formula(15, 1, 1 / 86400, 90 * 86400, 2e-3, 5), 1)
    23.4
    """
    _gel_values(
        difference_percent, volume_m3, exchange_per_s, time_s, capacity_kg_kg, drift_percent
    )
    if drift_percent >= difference_percent:
        return 0.0
    carried = full_kg_m3 * difference_percent / 100 * volume_m3 * exchange_per_s * time_s
    return carried / (capacity_kg_kg * drift_percent)


def gel_exactly(
    difference_percent: float,
    volume_m3: float,
    exchange_per_s: float,
    time_s: float,
    capacity_kg_kg: float,
    drift_percent: float,
    full_kg_m3: float = 0.0173,
) -> float:
    """Return the gel that lets a case drift just so far in a time: the leak slows as it drifts.

    Parameters
    ----------
    difference_percent : float, room minus set point, without sign [%RH], above 0 to 100
    volume_m3 : float, air of the case [m3], above 0
    exchange_per_s : float, air changes [1/s], above 0
    time_s : float, until the gel is conditioned again [s], above 0
    capacity_kg_kg : float, water that the gel takes up for each %RH [kg/kg], above 0
    drift_percent : float, how far the case may drift from the set point [%RH], above 0
    full_kg_m3 : float, vapour in saturated air [kg/m3]

    Returns
    -------
    float, gel; 0 when none is needed [kg]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived (the exponential of which weintraub2002 is the start).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(gel_exactly(15, 1, 1 / 86400, 90 * 86400, 2e-3, 5), 1)
    19.1
    """
    _gel_values(
        difference_percent, volume_m3, exchange_per_s, time_s, capacity_kg_kg, drift_percent
    )
    if drift_percent >= difference_percent:
        return 0.0
    lag = -time_s / math.log1p(-drift_percent / difference_percent)
    return max(0.0, (lag * exchange_per_s - 1) * full_kg_m3 * volume_m3 / (100 * capacity_kg_kg))


def drift_with(
    gel_kg: float,
    difference_percent: float,
    volume_m3: float,
    exchange_per_s: float,
    time_s: float,
    capacity_kg_kg: float,
    full_kg_m3: float = 0.0173,
) -> float:
    """Return how far a case drifts from its set point with a given mass of gel.

    Parameters
    ----------
    gel_kg : float, gel in the case [kg], 0 or more
    difference_percent : float, room minus set point, without sign [%RH], above 0 to 100
    volume_m3 : float, air of the case [m3], above 0
    exchange_per_s : float, air changes [1/s], above 0
    time_s : float, until the gel is conditioned again [s], above 0
    capacity_kg_kg : float, water that the gel takes up for each %RH [kg/kg], above 0
    full_kg_m3 : float, vapour in saturated air [kg/m3]

    Returns
    -------
    float, drift [%RH]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived (softmend-climate, section 1.5, C1).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(drift_with(23.36, 15, 1, 1 / 86400, 90 * 86400, 2e-3), 2)
    4.24
    """
    _gel_values(difference_percent, volume_m3, exchange_per_s, time_s, capacity_kg_kg, 1.0)
    if not gel_kg >= 0:
        raise InputError("A mass of gel is negative", value=gel_kg, allowed="0 or more")
    lag = (1 + 100 * gel_kg / volume_m3 * capacity_kg_kg / full_kg_m3) / exchange_per_s
    return -difference_percent * math.expm1(-time_s / lag)


def _gel_values(
    difference: float, volume: float, exchange: float, time: float, capacity: float, drift: float
) -> None:
    _positive(
        "A difference, volume, exchange, time, capacity or drift",
        np.array([difference, volume, exchange, time, capacity, drift]),
    )
    if difference > 100:
        raise InputError(
            "A difference of humidity is out of range", value=difference, allowed="100"
        )


def _positive(what: str, values: Array) -> None:
    wrong = ~((values > 0) & np.isfinite(values))
    if np.any(wrong):
        raise InputError(
            f"{what} is not above zero", value=float(values[wrong].flat[0]), allowed="above 0"
        )
