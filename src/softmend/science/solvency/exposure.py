"""Vapour in the air of a room and near the head of whoever works, from what evaporates.

An estimate of inhaled vapour only, to a factor of three; it knows nothing of skin. Everything is
in SI: kilograms, cubic metres, seconds.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array


@dataclass(frozen=True, slots=True)
class Zones:
    """Two zones of air: the near one about the work, the far one that is the rest of the room.

    `near` and `far` are volumes [m3], `between` the air that the zones exchange and `out` the air
    that leaves the room [m3/s]; arrays of draws, or numbers.
    """

    near: Array
    far: Array
    between: Array
    out: Array

    def __post_init__(self) -> None:
        """Refuse a zone without air, or air that does not move."""
        for name in ("near", "far", "between", "out"):
            values = np.asarray(getattr(self, name), dtype=np.float64)
            _refuse(f"The zones have no {name}", values, values > 0, "above 0")


def near_zone(reach: ArrayLike, air_speed: ArrayLike) -> tuple[Array, Array]:
    """Return volume and air exchange of a half-sphere of air over the work.

    Parameters
    ----------
    reach : array, from the work to the head [m], above 0
    air_speed : array, speed of the air that drifts through [m/s], above 0

    Returns
    -------
    tuple of arrays, volume [m3] and exchanged air [m3/s], half the free surface times the speed

    Raises
    ------
    InputError
        When a distance or a speed is not above zero.

    Source: nicas1996 (recalled).
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> volume, exchange = near_zone(0.3, 3.6 / 60)
    >>> round(float(volume), 4), round(float(exchange) * 60, 4)
    (0.0565, 1.0179)
    """
    radius, speed = np.asarray(reach, dtype=np.float64), np.asarray(air_speed, dtype=np.float64)
    _refuse("The distance of the head is not above zero", radius, radius > 0, "above 0 m")
    _refuse("The speed of the air is not above zero", speed, speed > 0, "above 0 m/s")
    return np.asarray(2 / 3 * math.pi * radius**3), np.asarray(math.pi * radius**2 * speed)


def well_mixed(time: ArrayLike, source: ArrayLike, out: ArrayLike, volume: ArrayLike) -> Array:
    """Return the concentration of a room whose air is mixed through, from a steady source.

    Parameters
    ----------
    time : array, since the source began [s], 0 or more
    source : array, mass that evaporates in a second [kg/s], 0 or more
    out : array, air that leaves the room [m3/s], above 0
    volume : array, of the room [m3], above 0

    Returns
    -------
    numpy array, concentration [kg/m3]

    Raises
    ------
    InputError
        When time or source is negative, or the room has no air or none leaves.

    Source: nicas1996 (recalled); derived, mass balance of one room.
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> round(float(well_mixed(1e9, 1e-3 / 60, 10 / 60, 108)) * 1e6)
    100
    """
    t, g, q, v = (np.asarray(one, dtype=np.float64) for one in (time, source, out, volume))
    _refuse("A time or a source is negative", np.minimum(t, g), (t >= 0) & (g >= 0), "0 or more")
    _refuse("The room has no air, or none leaves", np.minimum(q, v), (q > 0) & (v > 0), "above 0")
    return np.asarray(-g / q * np.expm1(-q * t / v))


def single_swab(
    time: ArrayLike, mass: ArrayLike, rate: ArrayLike, out: ArrayLike, volume: ArrayLike
) -> Array:
    """Return the concentration of a mixed room after one swab that dries by and by.

    Parameters
    ----------
    time : array, since the swab was wetted [s], 0 or more
    mass : array, of solvent on the swab [kg], 0 or more
    rate : array, share that evaporates in a second [1/s], above 0
    out : array, air that leaves the room [m3/s], above 0
    volume : array, of the room [m3], above 0

    Returns
    -------
    numpy array, concentration [kg/m3]

    Raises
    ------
    InputError
        When a number is out of range.

    Source: derived, mass balance of one room with a source that decays.
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> round(float(single_swab(5.9 * 60, 0.785e-3, 0.4 / 60, 2.5 / 60, 50)) * 1e6, 1)
    11.7
    """
    t, m, k, q, v = (np.asarray(o, dtype=np.float64) for o in (time, mass, rate, out, volume))
    _refuse("A time or a mass is negative", np.minimum(t, m), (t >= 0) & (m >= 0), "0 or more")
    lives = (k > 0) & (q > 0) & (v > 0)
    _refuse("A rate, a flow or a room is not above zero", np.minimum(k, q), lives, "above 0")
    leaving = q / v
    # One form for all rates: (exp(-at) - exp(-kt)) / (k - a) = t exp(-at) (1 - exp(-x)) / x.
    x = (k - leaving) * t
    with np.errstate(invalid="ignore", divide="ignore"):
        part = np.where(np.abs(x) < 1e-9, 1 - x / 2, -np.expm1(-x) / np.where(x == 0, 1, x))
    return np.asarray(m * k / v * t * np.exp(-leaving * t) * part)


def single_swab_peak(
    mass: ArrayLike, rate: ArrayLike, out: ArrayLike, volume: ArrayLike
) -> tuple[Array, Array]:
    """Return when one drying swab gives its highest concentration, and how high.

    Parameters
    ----------
    mass : array, of solvent on the swab [kg], 0 or more
    rate : array, share that evaporates in a second [1/s], above 0
    out : array, air that leaves the room [m3/s], above 0
    volume : array, of the room [m3], above 0

    Returns
    -------
    tuple of arrays, time [s] and concentration [kg/m3]

    Raises
    ------
    InputError
        When a number is out of range.

    Source: derived, where the slope of the concentration is zero.
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> when, high = single_swab_peak(0.785e-3, 0.4 / 60, 2.5 / 60, 50)
    >>> round(float(when) / 60, 1), round(float(high) * 1e6, 1)
    (5.9, 11.7)
    """
    k = np.asarray(rate, dtype=np.float64)
    leaving = np.asarray(out, dtype=np.float64) / np.asarray(volume, dtype=np.float64)
    _refuse("A rate is not above zero", k, (k > 0) & (leaving > 0), "above 0")
    apart = k - leaving
    same = np.abs(apart) < 1e-9 * k
    when = np.where(same, 1 / k, np.log(k / leaving) / np.where(same, 1, apart))
    return np.asarray(when), single_swab(when, mass, k, out, volume)


def two_zone(time: ArrayLike, source: ArrayLike, zones: Zones) -> tuple[Array, Array]:
    """Return near and far concentration from a steady source in the near zone.

    Parameters
    ----------
    time : array, since the source began [s], 0 or more
    source : array, mass that evaporates in a second [kg/s], 0 or more
    zones : Zones [m3 and m3/s]

    Returns
    -------
    tuple of arrays, near and far concentration [kg/m3]

    Raises
    ------
    InputError
        When time or source is negative.

    Source: nicas1996 (recalled; closed form).
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> zones = Zones(0.00314159, 3.8, 5.0, 13.8)
    >>> near, far = two_zone(1.0, 351.54, zones)
    >>> round(float(near), 3), round(float(far), 3)
    (95.102, 24.796)
    """
    t, g = np.asarray(time, dtype=np.float64), np.asarray(source, dtype=np.float64)
    _refuse("A time or a source is negative", np.minimum(t, g), (t >= 0) & (g >= 0), "0 or more")
    slow, fast, near, far = _modes(g, zones)
    decayed = np.exp(slow * t), np.exp(fast * t)
    return (
        np.asarray(g / zones.out + g / zones.between + near[0] * decayed[0] + near[1] * decayed[1]),
        np.asarray(g / zones.out + far[0] * decayed[0] + far[1] * decayed[1]),
    )


def two_zone_mean(
    begin: ArrayLike, end: ArrayLike, work: ArrayLike, source: ArrayLike, zones: Zones
) -> tuple[Array, Array]:
    """Return near and far concentration averaged over a time; work begins at 0 and then stops.

    Parameters
    ----------
    begin, end : array, of the averaging [s], 0 or more, end after begin
    work : array, how long the source lasts [s], above 0
    source : array, mass that evaporates in a second [kg/s], 0 or more
    zones : Zones [m3 and m3/s]

    Returns
    -------
    tuple of arrays, mean near and mean far concentration [kg/m3]

    Raises
    ------
    InputError
        When the times are out of order.

    Source: derived, integral of the closed form of nicas1996.
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> zones = Zones(0.0565, 49.9435, 1.0179 / 60, 2.5 / 60)
    >>> near, _ = two_zone_mean(0, 3600, 3600, 65.42e-6 / 60, zones)
    >>> round(float(near) * 1e6, 1)
    82.0
    """
    first, last = np.asarray(begin, dtype=np.float64), np.asarray(end, dtype=np.float64)
    in_order = (first >= 0) & (last > first)
    _refuse("A time ends before it begins", last, in_order, "0 or more, end after begin")
    lasts = np.asarray(work, dtype=np.float64)
    _refuse("The work lasts no time", lasts, lasts > 0, "above 0 s")
    # A source that stops is a source that goes on, less the same one begun later.
    whole = [_stepped(one, source, zones) for one in (first, last)]
    later = [_stepped(np.maximum(one - lasts, 0), source, zones) for one in (first, last)]
    return (
        np.asarray((whole[1][0] - whole[0][0] - later[1][0] + later[0][0]) / (last - first)),
        np.asarray((whole[1][1] - whole[0][1] - later[1][1] + later[0][1]) / (last - first)),
    )


def time_weighted(concentrations: ArrayLike, times: ArrayLike, shift: float) -> float:
    """Return the time-weighted mean of a shift; what is not named counts as clean air.

    Parameters
    ----------
    concentrations : array, of each stretch, shape (n,) [any unit], 0 or more
    times : array, how long each lasts, shape (n,) [s], 0 or more
    shift : float, of reference [s], above 0; 8 hours or 15 minutes

    Returns
    -------
    float, mean [unit of the concentrations]

    Raises
    ------
    InputError
        When the two do not pair, or a number is out of range.

    Source: osha-1910-1000, paragraph d.
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> time_weighted([150, 75, 50], [2, 2, 4], 8)
    81.25
    """
    values, lasted = (np.atleast_1d(np.asarray(o, dtype=float)) for o in (concentrations, times))
    if values.shape != lasted.shape or np.any(values < 0) or np.any(lasted < 0) or shift <= 0:
        raise InputError(
            "Concentrations and times do not pair",
            value=f"{values.size} and {lasted.size}",
            allowed="one time for each, 0 or more",
        )
    return float(values @ lasted / shift)


def _modes(
    source: Array, zones: Zones
) -> tuple[Array, Array, tuple[Array, Array], tuple[Array, Array]]:
    """Return the two rates of decay (negative) and their parts in the near and the far zone."""
    near, far = np.asarray(zones.near), np.asarray(zones.far)
    between, out = np.asarray(zones.between), np.asarray(zones.out)
    trace = between / near + (between + out) / far
    product = between * out / (near * far)
    root = np.sqrt(trace**2 - 4 * product)
    fast = -(trace + root) / 2
    slow = product / fast
    # Both zones start clean: near parts sum to -steady, and the slope of the near zone is G / V.
    steady = source / out + source / between
    first = (source / near + fast * steady) / (slow - fast)
    second = -steady - first
    parts = tuple(
        one * (1 + rate * near / between) for one, rate in ((first, slow), (second, fast))
    )
    return slow, fast, (first, second), (parts[0], parts[1])


def _stepped(time: ArrayLike, source: ArrayLike, zones: Zones) -> tuple[Array, Array]:
    """Return the integrals of near and far concentration from 0 to a time."""
    t, g = np.asarray(time, dtype=np.float64), np.asarray(source, dtype=np.float64)
    slow, fast, near, far = _modes(g, zones)
    grown = np.expm1(slow * t) / slow, np.expm1(fast * t) / fast
    steady = g / zones.out
    return (
        np.asarray((steady + g / zones.between) * t + near[0] * grown[0] + near[1] * grown[1]),
        np.asarray(steady * t + far[0] * grown[0] + far[1] * grown[1]),
    )


def _refuse(problem: str, values: Array, fine: ArrayLike, allowed: str) -> None:
    wrong = np.atleast_1d(values)[~np.atleast_1d(np.asarray(fine))]
    if wrong.size:
        raise InputError(problem, value=f"{wrong.flat[0]:g}", allowed=allowed)
