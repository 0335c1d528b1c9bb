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
    exchange_per_s: ArrayLike,
    capacity_kg_kg: ArrayLike,
    period_s: float = 365 * 86400.0,
    temperature_degc: float = 20.0,
) -> tuple[float, Array]:
    """Return the lag and the buffer that bring a regular swing of the room down to a smaller one.

    Parameters
    ----------
    room_swing : float, half the swing of the room, from its mean [%RH], above 0
    wanted_swing : float, half the swing allowed in the case [%RH], above 0
    exchange_per_s : float or array, air changes [1/s], above 0
    capacity_kg_kg : float or array, water that the buffer takes up for each %RH [kg/kg], above 0
    period_s : float, of a full swing [s], above 0
    temperature_degc : float, of the case [degC], -40 to 100

    Returns
    -------
    tuple of float and array, lag [s] and buffer [kg/m3]; 0 kg/m3 when the leak alone is slow enough

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-climate, section 1.5, C4.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> lag, buffer = buffer_for_season(15, 5, 1 / 86400, 2e-3)
    >>> round(lag / 86400), round(float(buffer), 1)
    (164, 14.1)
    """
    exchange, capacity = (np.asarray(v, dtype=np.float64) for v in (exchange_per_s, capacity_kg_kg))
    for part in (np.array([room_swing, wanted_swing, period_s]), exchange, capacity):
        _positive("A swing, exchange, capacity or period", part)
    if wanted_swing >= room_swing:
        return 0.0, 0.0 * exchange * capacity
    lag = math.sqrt((room_swing / wanted_swing) ** 2 - 1) * period_s / (2 * math.pi)
    full = saturation_density(temperature_degc)
    return lag, np.maximum(0.0, (lag * exchange - 1) * full / capacity)


def gel_by_formula(
    difference_percent: float,
    volume_m3: ArrayLike,
    exchange_per_s: ArrayLike,
    time_s: float,
    capacity_kg_kg: ArrayLike,
    drift_percent: float,
    full_kg_m3: float = 0.0173,
) -> Array:
    """Return the gel for a held set point by the straight-line formula.

    Parameters
    ----------
    difference_percent : float, room minus set point, without sign [%RH], above 0 to 100
    volume_m3 : float or array, air of the case [m3], above 0
    exchange_per_s : float or array, air changes [1/s], above 0
    time_s : float, until the gel is conditioned again [s], above 0
    capacity_kg_kg : float or array, water that the gel takes up for each %RH [kg/kg], above 0
    drift_percent : float, how far the case may drift from the set point [%RH], above 0
    full_kg_m3 : float, vapour in saturated air [kg/m3]; the printed value is that of 20 degC

    Returns
    -------
    numpy array, gel; 0 when the drift allowed is the whole difference [kg]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: weintraub2002 (the formula is recalled).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(float(gel_by_formula(15, 1, 1 / 86400, 90 * 86400, 2e-3, 5)), 1)
    23.4
    """
    volume, exchange, capacity = _gel_values(
        (difference_percent, time_s, drift_percent), volume_m3, exchange_per_s, capacity_kg_kg
    )
    if drift_percent >= difference_percent:
        return 0.0 * volume * exchange * capacity
    carried = full_kg_m3 * difference_percent / 100 * volume * exchange * time_s
    return np.asarray(carried / (capacity * drift_percent))


def gel_exactly(
    difference_percent: float,
    volume_m3: ArrayLike,
    exchange_per_s: ArrayLike,
    time_s: float,
    capacity_kg_kg: ArrayLike,
    drift_percent: float,
    full_kg_m3: float = 0.0173,
) -> Array:
    """Return the gel that lets a case drift just so far in a time: the leak slows as it drifts.

    Parameters
    ----------
    difference_percent : float, room minus set point, without sign [%RH], above 0 to 100
    volume_m3 : float or array, air of the case [m3], above 0
    exchange_per_s : float or array, air changes [1/s], above 0
    time_s : float, until the gel is conditioned again [s], above 0
    capacity_kg_kg : float or array, water that the gel takes up for each %RH [kg/kg], above 0
    drift_percent : float, how far the case may drift from the set point [%RH], above 0
    full_kg_m3 : float, vapour in saturated air [kg/m3]

    Returns
    -------
    numpy array, gel; 0 when none is needed [kg]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived (the exponential of which weintraub2002 is the start).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(float(gel_exactly(15, 1, 1 / 86400, 90 * 86400, 2e-3, 5)), 1)
    19.1
    """
    volume, exchange, capacity = _gel_values(
        (difference_percent, time_s, drift_percent), volume_m3, exchange_per_s, capacity_kg_kg
    )
    if drift_percent >= difference_percent:
        return 0.0 * volume * exchange * capacity
    lag = -time_s / math.log1p(-drift_percent / difference_percent)
    return np.maximum(0.0, (lag * exchange - 1) * full_kg_m3 * volume / (100 * capacity))


def drift_with(
    gel_kg: ArrayLike,
    difference_percent: float,
    volume_m3: ArrayLike,
    exchange_per_s: ArrayLike,
    time_s: float,
    capacity_kg_kg: ArrayLike,
    full_kg_m3: float = 0.0173,
) -> Array:
    """Return how far a case drifts from its set point with a given mass of gel.

    Parameters
    ----------
    gel_kg : float or array, gel in the case [kg], 0 or more
    difference_percent : float, room minus set point, without sign [%RH], above 0 to 100
    volume_m3 : float or array, air of the case [m3], above 0
    exchange_per_s : float or array, air changes [1/s], above 0
    time_s : float, until the gel is conditioned again [s], above 0
    capacity_kg_kg : float or array, water that the gel takes up for each %RH [kg/kg], above 0
    full_kg_m3 : float, vapour in saturated air [kg/m3]

    Returns
    -------
    numpy array, drift [%RH]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived (softmend-climate, section 1.5, C1).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(float(drift_with(23.36, 15, 1, 1 / 86400, 90 * 86400, 2e-3)), 2)
    4.24
    """
    volume, exchange, capacity = _gel_values(
        (difference_percent, time_s, 1.0), volume_m3, exchange_per_s, capacity_kg_kg
    )
    gel = np.asarray(gel_kg, dtype=np.float64)
    if not np.all(gel >= 0):
        raise InputError("A mass of gel is negative", value=gel.min(), allowed="0 or more")
    lag = (1 + 100 * gel / volume * capacity / full_kg_m3) / exchange
    return np.asarray(-difference_percent * np.expm1(-time_s / lag))


def _gel_values(
    single: tuple[float, float, float], *draws: ArrayLike
) -> tuple[Array, Array, Array]:
    for values in (np.array(single), *draws):
        _positive(
            "A difference, volume, exchange, time, capacity or drift",
            np.asarray(values, dtype=np.float64),
        )
    if single[0] > 100:
        raise InputError(
            "A difference of humidity is out of range", value=single[0], allowed="up to 100"
        )
    volume, exchange, capacity = (np.asarray(v, dtype=np.float64) for v in draws)
    return volume, exchange, capacity


def _positive(what: str, values: Array) -> None:
    wrong = ~((values > 0) & np.isfinite(values))
    if np.any(wrong):
        raise InputError(
            f"{what} is not above zero", value=float(values[wrong].flat[0]), allowed="above 0"
        )
