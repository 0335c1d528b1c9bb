"""One logger's humidity and temperature together: in order, looked over, at even steps."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.climate.record import (
    Even,
    LookedOver,
    Ordered,
    bridged,
    evened,
    longest_whole,
    looked_over,
    ordered,
)
from softmend.science.uncertain import Array

FULL, NEARLY = 100.0, 104.0
"""Sensors read a little above 100 %RH; more than that is no humidity."""
COLDEST, WARMEST = -40.0, 85.0


@dataclass(frozen=True, slots=True)
class Series:
    """Humidity [%] and temperature [degC] in order of time, with what stands out in each."""

    times: Ordered
    rh: Array | None
    temperature: Array | None
    rh_seen: LookedOver | None
    temperature_seen: LookedOver | None
    impossible_rh: int
    impossible_temperature: int

    @property
    def seen(self) -> LookedOver | None:
        """What stands out in the humidity, or else in the temperature."""
        return self.rh_seen or self.temperature_seen


@dataclass(frozen=True, slots=True)
class Summary:
    """Count, mean, least and most of what was read [unit of the readings]."""

    count: int
    mean: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Unbroken:
    """The longest part of a record without a long gap [%RH, degC], and its share of the whole."""

    start_s: float
    step_s: float
    rh: Array
    temperature: Array | None
    share: float

    @property
    def end_s(self) -> float:
        """The last moment of the part [s]."""
        return self.start_s + self.step_s * (self.rh.size - 1)


def series(
    times_s: ArrayLike,
    rh_percent: ArrayLike | None,
    temperature_degc: ArrayLike | None,
    rh_offset_percent: float = 0.0,
    temperature_offset_degc: float = 0.0,
) -> Series:
    """Return a logger's readings in order of time, calibrated; what cannot be counts as missing.

    Parameters
    ----------
    times_s : array, moments as they stand in the file [s since 1970]
    rh_percent : array or None, relative humidity [%]; NaN is missing
    temperature_degc : array or None, temperature [degC]; NaN is missing
    rh_offset_percent : float, added to every humidity [%]
    temperature_offset_degc : float, added to every temperature [degC]

    Returns
    -------
    Series, in order of time [%RH, degC]

    Raises
    ------
    InputError
        When arrays are not as long, or there is no moment.

    Source: own rules; softmend-climate, section 5.
    Checked against: tests/science/climate/test_record.py.

    Example
    -------
    >>> found = series([3600, 0, 7200], [51, 50, 640], None)
    >>> found.rh.tolist(), found.impossible_rh
    ([50.0, 51.0, nan], 1)
    """
    times = ordered(times_s)
    rh, rh_seen, wrong = _looked("rh", times, rh_percent, (0.0, NEARLY), rh_offset_percent)
    warm, warm_seen, cold = _looked(
        "temperature", times, temperature_degc, (COLDEST, WARMEST), temperature_offset_degc
    )
    return Series(times, rh, warm, rh_seen, warm_seen, wrong, cold)


def _looked(
    quantity: str,
    times: Ordered,
    values: ArrayLike | None,
    limits: tuple[float, float],
    offset: float,
) -> tuple[Array | None, LookedOver | None, int]:
    if values is None:
        return None, None, 0
    read = np.asarray(values, dtype=np.float64)
    if read.shape != times.times_s.shape:
        raise InputError("Times and readings are not as many", allowed="one time for each reading")
    read = read[times.rows]
    wrong = np.isfinite(read) & ~((read >= limits[0]) & (read <= limits[1]))
    read = np.where(wrong, np.nan, read) + offset
    if quantity == "rh":
        read = np.clip(read, 0.0, FULL)
    if np.unique(times.times_s[np.isfinite(read)]).size < 2:
        return None, None, int(wrong.sum())
    return read, looked_over(times.times_s, read, quantity), int(wrong.sum())


def summary(values: ArrayLike) -> Summary:
    """Return count, mean, least and most of the readings that are there.

    Parameters
    ----------
    values : array, readings [any unit]; NaN is missing

    Returns
    -------
    Summary [unit of the readings]

    Raises
    ------
    InputError
        When nothing was read.

    Source: own.
    Checked against: tests/science/climate/test_record.py.

    Example
    -------
    >>> summary([1.0, float("nan"), 3.0]).mean
    2.0
    """
    read = np.asarray(values, dtype=np.float64)
    read = read[np.isfinite(read)]
    if read.size == 0:
        raise InputError("Nothing was read")
    return Summary(int(read.size), float(read.mean()), float(read.min()), float(read.max()))


def even_humidity(one: Series, step_s: float | None = None) -> Even:
    """Return the humidity of a record at even steps, nothing filled in.

    Parameters
    ----------
    one : Series, a logger's readings
    step_s : float or None, step wanted [s]; None is the record's own

    Returns
    -------
    Even, humidity [%RH]

    Raises
    ------
    InputError
        When the logger read no humidity.

    Source: camuffo2022 (even spacing before any level).
    Checked against: tests/science/climate/test_record.py.

    Example
    -------
    >>> even_humidity(series([0, 3600, 10800], [50, 51, 52], None)).values.tolist()
    [50.0, 51.0, nan, 52.0]
    """
    if one.rh is None or one.rh_seen is None:
        raise InputError(
            "The record holds no relative humidity",
            remedy="Name its column (reading, meanings)",
        )
    return evened(one.times.times_s, one.rh, step_s or one.rh_seen.step_s)


def unbroken(one: Series, step_s: float | None = None) -> Unbroken:
    """Return the longest part of a record without a long gap, at even steps.

    Gaps of up to three steps are crossed straight; a longer one ends the part.

    Parameters
    ----------
    one : Series, a logger's readings
    step_s : float or None, step wanted [s]; None is the record's own

    Returns
    -------
    Unbroken [%RH, degC]

    Raises
    ------
    InputError
        When the logger read no humidity, or no two readings stand in a row.

    Source: softmend-climate, section 5.
    Checked against: tests/science/climate/test_record.py.

    Example
    -------
    >>> found = unbroken(series([0, 3600, 7200, 14400, 90000], [50, 51, 52, 54, 40], None))
    >>> found.rh.tolist(), round(found.share, 2)
    ([50.0, 51.0, 52.0, 53.0, 54.0], 0.19)
    """
    humid = even_humidity(one, step_s)
    rh = bridged(humid.values)
    warm = None
    if one.temperature is not None:
        warm = bridged(evened(one.times.times_s, one.temperature, humid.step_s).values)
        size = min(rh.size, warm.size)
        rh, warm = rh[:size], warm[:size]
        rh = np.where(np.isfinite(warm), rh, np.nan)
    part = longest_whole(rh)
    if part.stop - part.start < 2:
        raise InputError("The record has no two readings in a row")
    return Unbroken(
        humid.start_s + part.start * humid.step_s,
        humid.step_s,
        rh[part],
        None if warm is None else warm[part],
        (part.stop - part.start) / rh.size,
    )
