"""The opening of a crack for each percent of humidity, measured on the object itself.

Two photographs at two humidities, or a crack gauge beside a logger: measured beats modelled.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array, Uncertain

LEAST_SWING_PERCENT = 2.0
"""Below this swing a slope says more about the hygrometers than about the crack."""

LAGS = 81
UNLIKELY = 1e-4
"""A lag less likely than this beside the best is left out."""


@dataclass(frozen=True, slots=True)
class Measured:
    """Mouth opening for each percent that the air dries [m per %RH], and the crack's lag [s].

    Positive: the crack opens on drying. `lag_s` is 5, 50 and 95 % points; None from two readings.
    """

    per_percent: Uncertain
    lag_s: tuple[float, float, float] | None
    residual_m: float


def opening_of_two(
    widths_m: tuple[Uncertain, Uncertain],
    rh_percent: tuple[Uncertain, Uncertain],
    n: int = 10_000,
    seed: int = 0,
) -> Measured:
    """Return the opening for each percent of drying from one crack width at two humidities.

    Parameters
    ----------
    widths_m : tuple of Uncertain, widths of one station [m]
    rh_percent : tuple of Uncertain, humidities with which the object was in equilibrium [%]
    n : int, draws [1], 100 to 100 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Measured, slope as samples [m per %RH]

    Raises
    ------
    InputError
        When the two humidities are too near to each other, or n is out of range.

    Source: own rule; jcgm101, section 7.
    Checked against: tests/science/moisture/test_opening.py.

    Example
    -------
    >>> wet, dry = Uncertain.exact(0.0010), Uncertain.exact(0.0012)
    >>> found = opening_of_two((wet, dry), (Uncertain.exact(55), Uncertain.exact(45)))
    >>> round(found.per_percent.typical * 1e6, 3)
    20.0
    """
    if not 100 <= n <= 100_000:
        raise InputError("The number of draws is out of range", value=n, allowed="100 to 100 000")
    apart = abs(rh_percent[0].typical - rh_percent[1].typical)
    spread = 2 * math.hypot(rh_percent[0].sd, rh_percent[1].sd)
    if apart < max(LEAST_SWING_PERCENT, spread):
        raise InputError(
            "The two humidities are too near to each other to give an opening",
            value=f"{apart:.1f} %RH apart",
            allowed=f"at least {max(LEAST_SWING_PERCENT, spread):.1f} %RH",
            remedy="Wait for the season to change; do not condition the room for a number",
        )
    rng = np.random.default_rng(seed)
    first, second = (value.draw(n, rng) for value in widths_m)
    air_first, air_second = (value.draw(n, rng) for value in rh_percent)
    drier = air_first - air_second
    kept = np.sign(drier) == np.sign(rh_percent[0].typical - rh_percent[1].typical)
    return Measured(Uncertain.samples((second - first)[kept] / drier[kept]), None, 0.0)


def opening_of_record(
    taken_s: ArrayLike, widths_m: ArrayLike, air_s: ArrayLike, rh_percent: ArrayLike
) -> Measured:
    """Return opening and lag from a series of widths and the logger's record beside them.

    The crack is taken to follow the air with one first-order lag; opening and rest width are fitted
    by least squares for each lag, and lags that fit nearly as well stay in the band.

    Parameters
    ----------
    taken_s : array, times of the widths [s], rising, at least four
    widths_m : array, widths of one station at those times [m]
    air_s : array, times of the logger's readings [s], rising, around the widths
    rh_percent : array, the logger's readings [%], 0 to 100

    Returns
    -------
    Measured, slope [m per %RH], lag [s] and scatter of the widths about the fit [m]

    Raises
    ------
    InputError
        When there are fewer than four widths, they lie outside the record, or the air hardly moved.

    Source: own rule (least squares with the lag profiled; gelman2013 for the plain part).
    Checked against: tests/science/moisture/test_opening.py (scipy.optimize.curve_fit).

    Example
    -------
    >>> import numpy as np
    >>> days = np.arange(0.0, 200.0)
    >>> air = 50 + 10 * np.sin(days / 20)
    >>> found = opening_of_record(
    ...     days[50::10] * 86400, 0.001 - 2e-5 * (air[50::10] - 50), days * 86400, air
    ... )
    >>> round(found.per_percent.typical * 1e6, 1)
    20.0
    """
    taken, widths, at, air = series = tuple(
        np.asarray(column, dtype=np.float64) for column in (taken_s, widths_m, air_s, rh_percent)
    )
    _refuse_record(taken, widths, at, air)
    finest = max(float(np.min(np.diff(at))) / 10, 1.0)
    coarse = _fits(np.geomspace(finest, float(at[-1] - at[0]), LAGS), *series)
    likely = np.flatnonzero(coarse.weight > UNLIKELY)
    first, last = max(likely[0] - 1, 0), min(likely[-1] + 1, LAGS - 1)
    fits = _fits(np.geomspace(coarse.lags[first], coarse.lags[last], LAGS), *series)
    scores = np.linspace(-3, 3, 101)
    values = fits.slopes[:, None] + fits.errors[:, None] * scores
    draws = _thinned(values.ravel(), np.outer(fits.weight, np.exp(-0.5 * scores**2)).ravel())
    share = np.cumsum(fits.weight) / fits.weight.sum()
    low, typical, high = np.interp((0.05, 0.5, 0.95), share, fits.lags)
    return Measured(
        Uncertain.samples(draws), (float(low), float(typical), float(high)), fits.residual
    )


@dataclass(frozen=True, slots=True)
class _Fits:
    """For each lag: slope and its standard error, and how likely the lag is beside the best."""

    lags: Array
    slopes: Array
    errors: Array
    weight: Array
    residual: float


def _fits(lags: Array, taken_s: Array, widths_m: Array, air_s: Array, rh_percent: Array) -> _Fits:
    lines = [_line(-_followed(lag, taken_s, air_s, rh_percent), widths_m) for lag in lags]
    slopes, errors, squares = (np.array(column) for column in zip(*lines, strict=True))
    scatter = float(squares.min()) / (taken_s.size - 3)
    # A perfect fit still has the digits of the gauge; without a floor its band would be nothing.
    variance = max(scatter, (1e-6 * float(np.ptp(widths_m))) ** 2, 1e-18)
    weight = np.exp(-(squares - squares.min()) / (2 * variance))
    return _Fits(lags, slopes, math.sqrt(variance) * errors, weight, math.sqrt(scatter))


def _refuse_record(taken_s: Array, widths_m: Array, air_s: Array, rh_percent: Array) -> None:
    if taken_s.size < 4 or taken_s.size != widths_m.size or air_s.size != rh_percent.size:
        raise InputError(
            "A lag cannot be told from so few widths",
            value=int(taken_s.size),
            allowed="four or more, each with its time",
            remedy="With two readings give their humidities; no lag is then fitted",
        )
    ordered = np.all(np.diff(taken_s) > 0) and air_s.size > 1 and np.all(np.diff(air_s) > 0)
    if not ordered or taken_s[0] < air_s[0] or taken_s[-1] > air_s[-1]:
        raise InputError(
            "The widths do not lie inside the logger's record",
            allowed="rising times, the first and last width between the record's ends",
        )
    if float(np.ptp(rh_percent)) < LEAST_SWING_PERCENT:
        raise InputError(
            "The air hardly moved in the record",
            value=f"{float(np.ptp(rh_percent)):.1f} %RH",
            allowed=f"at least {LEAST_SWING_PERCENT:g} %RH",
            remedy="Wait for the season to change; do not condition the room for a number",
        )


def _followed(lag_s: float, taken_s: Array, air_s: Array, rh_percent: Array) -> Array:
    """Return the air as the crack has felt it, at the times of the widths."""
    felt = np.empty_like(rh_percent, dtype=np.float64)
    felt[0] = rh_percent[0]
    steps, rises = np.diff(air_s) / lag_s, np.diff(rh_percent)
    kept, gained = np.exp(-steps), -np.expm1(-steps) / steps
    behind = 0.0
    for i in range(rises.size):
        behind = kept[i] * behind + gained[i] * rises[i]
        felt[i + 1] = rh_percent[i + 1] - behind
    return np.interp(taken_s, air_s, felt)


def _line(x: Array, y: Array) -> tuple[float, float, float]:
    """Return slope, its standard error for unit scatter, and the sum of squares about the line."""
    centred = x - x.mean()
    spread = float(centred @ centred)
    if spread < 1e-12:
        return 0.0, math.inf, float(np.sum((y - y.mean()) ** 2))
    slope = float(centred @ (y - y.mean())) / spread
    about = y - y.mean() - slope * centred
    return slope, 1 / math.sqrt(spread), float(about @ about)


def _thinned(values: Array, weights: Array, n: int = 2000) -> Array:
    """Return equally likely values that stand for weighted ones."""
    known = np.isfinite(values)
    order = np.argsort(values[known])
    share = np.cumsum(weights[known][order])
    wanted = (np.arange(n) + 0.5) / n
    return np.interp(wanted, (share - weights[known][order] / 2) / share[-1], values[known][order])
