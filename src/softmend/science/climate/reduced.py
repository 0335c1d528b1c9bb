"""A long record made shorter: hours for computing, least and most of a spell for the eye."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.climate.record import HOUR, bridged, evened
from softmend.science.climate.series import Series, even_humidity
from softmend.science.uncertain import Array


@dataclass(frozen=True, slots=True)
class Hours:
    """A record at even steps of an hour or more [s since 1970, %RH, degC]; holes are left out."""

    times_s: Array
    rh: Array
    temperature: Array | None
    step_s: float
    without_temperature: int


@dataclass(frozen=True, slots=True)
class Spells:
    """Least, mean and most of each spell that was read [unit of the readings]."""

    starts_s: Array
    least: Array
    mean: Array
    most: Array


def hours_of(one: Series) -> Hours:
    """Return a record as means of an hour, or of its own step where that is longer.

    Parameters
    ----------
    one : Series, a logger's readings

    Returns
    -------
    Hours, only rows with a humidity and, where temperature was read, with a temperature [%RH, degC]

    Raises
    ------
    InputError
        When no humidity was read.

    Source: camuffo2022 (even spacing before any level).
    Checked against: tests/science/climate/test_reduced.py.

    Example
    -------
    >>> from softmend.science.climate.series import series
    >>> hours_of(series([0, 600, 3600, 7200], [50, 52, 54, 56], None)).rh.tolist()
    [51.0, 54.0, 56.0]
    """
    own = even_humidity(one)
    even = even_humidity(one, max(own.step_s, HOUR))
    kept = np.isfinite(even.values)
    warm, lost = None, 0
    if one.temperature is not None:
        read = bridged(evened(one.times.times_s, one.temperature, even.step_s).values)
        warm = np.full(even.values.size, np.nan)
        size = min(read.size, warm.size)
        warm[:size] = read[:size]
        lost = int(np.count_nonzero(kept & ~np.isfinite(warm)))
        kept &= np.isfinite(warm)
        warm = warm[kept]
    return Hours(even.times_s[kept], even.values[kept], warm, even.step_s, lost)


def spells_of(times_s: ArrayLike, values: ArrayLike, width_s: float, start_s: float) -> Spells:
    """Return least, mean and most of each spell of a record; a spell without a reading is left out.

    Parameters
    ----------
    times_s : array, moments in order [s since 1970]
    values : array, readings [any unit]; NaN is missing
    width_s : float, length of a spell [s], above 0
    start_s : float, where the first spell begins [s since 1970]; earlier readings are left out

    Returns
    -------
    Spells, in the unit of the readings [any unit]

    Raises
    ------
    InputError
        When the width is not positive or times and readings are not as many.

    Source: own.
    Checked against: tests/science/climate/test_reduced.py.

    Example
    -------
    >>> found = spells_of([0, 10, 20, 90], [3.0, 1.0, 2.0, 5.0], 60.0, 0.0)
    >>> found.least.tolist(), found.most.tolist(), found.starts_s.tolist()
    ([1.0, 5.0], [3.0, 5.0], [0.0, 60.0])
    """
    times, read = np.asarray(times_s, dtype=np.float64), np.asarray(values, dtype=np.float64)
    if not width_s > 0 or times.shape != read.shape:
        raise InputError("A record cannot be cut into spells", value=width_s, allowed="above 0 s")
    there = np.isfinite(read) & (times >= start_s)
    times, read = times[there], read[there]
    if times.size == 0:
        empty = np.empty(0)
        return Spells(empty, empty, empty, empty)
    places = np.floor((times - start_s) / width_s).astype(np.int64)
    first = np.flatnonzero(np.diff(places, prepend=-1))
    counts = np.diff(np.append(first, places.size))
    return Spells(
        np.asarray(start_s + places[first] * width_s, dtype=np.float64),
        np.minimum.reduceat(read, first),
        np.asarray(np.add.reduceat(read, first) / counts, dtype=np.float64),
        np.maximum.reduceat(read, first),
    )
