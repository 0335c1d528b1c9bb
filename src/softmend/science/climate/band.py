"""The band of humidity that an object has lived in: a season's level and the swings around it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

DAY = 86400.0
HALF_WINDOW_S = 15 * DAY
YEAR_S = 365 * DAY
SHORTEST_S = YEAR_S + 2 * HALF_WINDOW_S
"""A year, and fifteen days before and after it: thirteen months."""
LOWER, UPPER = 0.07, 0.93
ALLOWED = 10.0
"""A narrower band than this may be widened to it, by the standard [%RH either way]."""
FILLED_WINDOW, KNOWN_YEAR = 0.5, 0.9


@dataclass(frozen=True, slots=True)
class Lived:
    """A season's level [%RH], and how far the swings around it reach, as found and as allowed."""

    level: Array
    lower: float
    upper: float
    allowed_lower: float
    allowed_upper: float
    known: float
    outside: int
    counted: int


@dataclass(frozen=True, slots=True)
class Held:
    """Shares of the readings against two limits: surely below, surely above, within the sensor."""

    below: float
    above: float
    doubtful: float
    counted: int


def seasonal_level(values: ArrayLike, step_s: float) -> Array:
    """Return the mean of 15 days before to 15 days after each reading, both ends counted.

    The first and last 15 days have no full window and get no level; nor does a moment around which
    less than half of the readings are there.

    Parameters
    ----------
    values : array, readings at even steps along the last axis [any unit]; NaN is missing
    step_s : float, step [s], above 0 to 15 days

    Returns
    -------
    numpy array, level, NaN where there is none [any unit]

    Raises
    ------
    InputError
        When the step is out of range.

    Source: en15757, annex A (recalled); camuffo2022.
    Checked against: tests/science/climate/test_band.py (pandas).

    Example
    -------
    >>> level = seasonal_level(np.full(100, 50.0), 86400.0)
    >>> float(level[15]), bool(np.isnan(level[14])), level.size
    (50.0, True, 100)
    """
    if not 0 < step_s <= HALF_WINDOW_S:
        raise InputError("A step is out of range", value=step_s, allowed="above 0 to 15 days")
    read = np.asarray(values, dtype=np.float64)
    half = int(HALF_WINDOW_S // step_s)
    level = np.full(read.shape, np.nan)
    if read.shape[-1] > 2 * half:
        # Row by row: one record fits the processor's near memory, five hundred do not.
        for row, out in zip(_rows(read), _rows(level), strict=True):
            out[half : row.size - half] = _moving_mean(row, 2 * half + 1)
    return level


def _rows(values: Array) -> Array:
    return values.reshape(-1, values.shape[-1])


def _moving_mean(row: Array, width: int) -> Array:
    """Return means over a moving window by the difference of two running sums."""
    # Sums of differences from a middle value keep their digits over ten years of readings.
    middle = 50.0
    shifted = row - middle
    sums = np.cumsum(shifted)
    if np.isfinite(sums[-1]):
        return _differences(sums, width) / width + middle
    there = np.isfinite(row)
    counts = _differences(np.cumsum(there, dtype=np.float64), width)
    sums = _differences(np.cumsum(np.where(there, shifted, 0.0)), width)
    enough = counts >= FILLED_WINDOW * width
    return np.where(enough, sums / np.where(enough, counts, 1.0) + middle, np.nan)


def _differences(sums: Array, width: int) -> Array:
    found = sums[width - 1 :].copy()
    found[1:] -= sums[:-width]
    return found


def swings(values: ArrayLike, step_s: float) -> tuple[Array, Array, Array]:
    """Return the season's level and the points that 7 and 93 % of the swings around it lie below.

    Parameters
    ----------
    values : array, readings at even steps along the last axis [%RH]; NaN is missing
    step_s : float, step [s], above 0 to 15 days

    Returns
    -------
    tuple of numpy arrays: level, lower point, upper point [%RH]

    Raises
    ------
    InputError
        When the step is out of range.

    Source: en15757, annex A (recalled); the quantile is that of straight lines between readings.
    Checked against: tests/science/climate/test_band.py (pandas).

    Example
    -------
    >>> air = 50 + 10 * np.sin(np.arange(24 * 400) * np.pi / 12)
    >>> [round(float(x), 1) for x in swings(air, 3600.0)[1:]]
    [-9.6, 9.6]
    """
    read = np.asarray(values, dtype=np.float64)
    level = seasonal_level(read, step_s)
    half = int(HALF_WINDOW_S // step_s)
    points = np.array(
        [
            _points(row[half : row.size - half] - own[half : row.size - half])
            for row, own in zip(_rows(read), _rows(level), strict=True)
        ]
    )
    return level, points[:, 0].reshape(read.shape[:-1]), points[:, 1].reshape(read.shape[:-1])


def _points(row: Array) -> tuple[float, float]:
    """Return the 7 and 93 % points, straight between readings."""
    kept = row if np.isfinite(row.sum()) else row[np.isfinite(row)]
    if kept.size == 0:
        return np.nan, np.nan
    places = [LOWER * (kept.size - 1), UPPER * (kept.size - 1)]
    under = [int(place) for place in places]
    over = [min(place + 1, kept.size - 1) for place in under]
    ranked = np.partition(kept, [*under, *over])
    found = [
        ranked[u] + (place - u) * (ranked[o] - ranked[u])
        for place, u, o in zip(places, under, over, strict=True)
    ]
    return float(found[0]), float(found[1])


def lived_band(values: ArrayLike, step_s: float) -> Lived:
    """Return the band that an object has lived in; refuse a record that is too short or has holes.

    Parameters
    ----------
    values : array, readings at even steps [%RH]; NaN is missing
    step_s : float, step [s], above 0 to 15 days

    Returns
    -------
    Lived, level and offsets from it [%RH]

    Raises
    ------
    InputError
        When the record is under 13 months, or a tenth of its year has no level.

    Source: en15757, annex A (recalled); camuffo2022.
    Checked against: tests/science/climate/test_band.py (pandas).

    Example
    -------
    >>> air = 50 + 20 * np.sin(np.arange(24 * 400) * np.pi / 12)
    >>> found = lived_band(air, 3600.0)
    >>> round(found.lower, 1), round(found.allowed_upper, 1)
    (-19.3, 19.3)
    """
    read = np.asarray(values, dtype=np.float64)
    span = (read.size - 1) * step_s
    # Short by one reading is not short: the last hour of a year is not its season.
    if span < SHORTEST_S - step_s - 1:
        raise InputError(
            "The record is too short for a yearly band",
            value=f"{span / DAY:.0f} days",
            allowed="13 months: a year, and 15 days before and after it",
            remedy="Go on logging; until then only “so far” can be said",
        )
    level, lower, upper = swings(read, step_s)
    half = int(HALF_WINDOW_S // step_s)
    inner = level[half : read.size - half]
    known = float(np.mean(np.isfinite(inner)))
    if known < KNOWN_YEAR:
        raise InputError(
            "The record has holes that leave part of the year without a level",
            value=f"{100 * (1 - known):.0f} % of it",
            allowed=f"up to {100 * (1 - KNOWN_YEAR):.0f} %",
            remedy="Go on logging; until then only “so far” can be said",
        )
    apart = (read - level)[half : read.size - half]
    apart = apart[np.isfinite(apart)]
    below, above = float(lower), float(upper)
    allowed = min(below, -ALLOWED), max(above, ALLOWED)
    outside = int(np.count_nonzero((apart < allowed[0]) | (apart > allowed[1])))
    return Lived(level, below, above, *allowed, known, outside, int(apart.size))


def held_against(values: ArrayLike, low: float | None, high: float | None, sensor: float) -> Held:
    """Return how many readings lie surely outside two limits, and how many within sensor error.

    Parameters
    ----------
    values : array, readings [any unit]; NaN is missing
    low : float or None, lower limit [same unit]
    high : float or None, upper limit [same unit]
    sensor : float, how far the sensor may be off [same unit], 0 or more

    Returns
    -------
    Held, shares of the readings [1]

    Raises
    ------
    InputError
        When nothing was read, the limits are crossed or the sensor's error is negative.

    Source: own.
    Checked against: tests/science/climate/test_band.py.

    Example
    -------
    >>> found = held_against([30, 39, 50, 61, 70], 40, 60, 2.0)
    >>> found.below, found.above, found.doubtful
    (0.2, 0.2, 0.4)
    """
    read = np.asarray(values, dtype=np.float64)
    read = read[np.isfinite(read)]
    if read.size == 0 or not sensor >= 0 or (low is not None and high is not None and low > high):
        raise InputError("Limits and readings cannot be compared", value=(low, high, sensor))
    least, most = (-np.inf if low is None else low), (np.inf if high is None else high)
    below = float(np.mean(read < least - sensor))
    above = float(np.mean(read > most + sensor))
    near = (np.abs(read - least) <= sensor) | (np.abs(read - most) <= sensor)
    return Held(below, above, float(np.mean(near)), int(read.size))


def ranges(values: ArrayLike, step_s: float, window_s: float = DAY) -> Array:
    """Return the span between the highest and lowest reading within each window of time.

    Parameters
    ----------
    values : array, readings at even steps [any unit]; NaN is missing
    step_s : float, step [s], above 0
    window_s : float, window [s], at least two steps

    Returns
    -------
    numpy array, one span for each window that moves by a step and is whole [any unit]

    Raises
    ------
    InputError
        When the window is shorter than two steps.

    Source: own.
    Checked against: tests/science/climate/test_band.py.

    Example
    -------
    >>> ranges([50.0, 52.0, 49.0, 49.5], 43200.0).tolist()
    [3.0, 3.0]
    """
    width = round(window_s / step_s) + 1
    if width < 3:
        raise InputError("A window is shorter than two steps", value=window_s)
    from scipy.ndimage import maximum_filter1d, minimum_filter1d

    read = np.asarray(values, dtype=np.float64)
    if read.size < width:
        return np.empty(0)
    there = np.isfinite(read)
    high = maximum_filter1d(np.where(there, read, -np.inf), width)
    low = minimum_filter1d(np.where(there, read, np.inf), width)
    half = width // 2
    spans = (high - low)[half : read.size - (width - 1 - half)]
    return np.asarray(spans[np.isfinite(spans)])
