"""A logger's record looked over before anything is made of it: order, gaps, spikes, ends.

Nothing here changes a reading. What looks wrong is pointed at; what is missing stays missing.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.uncertain import Array

HOUR, DAY = 3600.0, 86400.0
GAP_STEPS = 1.5
BRIDGED_STEPS = 3
"""A gap of so many steps may be crossed by a straight line; a longer one never is."""
SPIKE = {"rh": 5.0, "temperature": 1.5}
"""A single reading must stand off its neighbours by so much to be pointed at [%RH, K]."""
FLAT_HOURS = {"rh": 24.0, "temperature": 48.0}
HANDLED_S = 6 * HOUR
HANDLING = {"rh": 2.0, "temperature": 0.7}
"""A step in the first or last hours larger than this, and than nearly all others, is a hand's."""
USUAL_SHARE = 0.995


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a record by its first and last moment [s since 1970]."""

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Ordered:
    """A record in the order of time: moments [s], the rows that they came from, what was found."""

    times_s: Array
    rows: NDArray[np.intp]
    is_newest_first: bool
    swapped: int
    repeated: int


@dataclass(frozen=True, slots=True)
class LookedOver:
    """What stands out in one series: all of it kept, none of it changed."""

    step_s: float
    other_steps_s: tuple[float, ...]
    coverage: float
    missing: int
    gaps: tuple[Stretch, ...]
    spikes_s: tuple[float, ...]
    flat: tuple[Stretch, ...]
    handled_first: Stretch | None
    handled_last: Stretch | None


@dataclass(frozen=True, slots=True)
class Even:
    """A record at even steps: NaN where nothing was read."""

    start_s: float
    step_s: float
    values: Array

    @property
    def times_s(self) -> Array:
        """The moments of the readings [s since 1970]."""
        return np.asarray(
            self.start_s + self.step_s * np.arange(self.values.size, dtype=np.float64)
        )


def ordered(times_s: ArrayLike) -> Ordered:
    """Return a record's moments in order; of equal moments all rows stay, side by side.

    Parameters
    ----------
    times_s : array, moments as they stand in the file [s since 1970], finite, at least one

    Returns
    -------
    Ordered, moments and the rows that they came from [s since 1970]

    Raises
    ------
    InputError
        When there is no moment.

    Source: own.
    Checked against: tests/science/climate/test_record.py.

    Example
    -------
    >>> found = ordered([7200.0, 3600.0, 0.0])
    >>> found.times_s.tolist(), found.is_newest_first
    ([0.0, 3600.0, 7200.0], True)
    """
    times = np.asarray(times_s, dtype=np.float64)
    if times.ndim != 1 or times.size == 0 or not np.all(np.isfinite(times)):
        raise InputError("A record has no moment that can be used", allowed="at least one")
    steps = np.diff(times)
    newest_first = bool(np.count_nonzero(steps < 0) > np.count_nonzero(steps > 0))
    swapped = int(np.count_nonzero(steps > 0 if newest_first else steps < 0))
    rows = np.argsort(times, kind="stable")
    moments = times[rows]
    return Ordered(
        moments, rows, newest_first, swapped, int(np.count_nonzero(np.diff(moments) == 0))
    )


def usual_step(times_s: ArrayLike) -> float:
    """Return the time between readings that covers most of a record.

    Parameters
    ----------
    times_s : array, moments in order [s since 1970], at least two different ones

    Returns
    -------
    float, step [s]

    Raises
    ------
    InputError
        When there are not two moments.

    Source: own.
    Checked against: tests/science/climate/test_record.py.

    Example
    -------
    >>> usual_step([0, 3600, 7200, 7260, 7320, 10800, 14400])
    3600.0
    """
    steps = np.diff(np.asarray(times_s, dtype=np.float64))
    steps = np.sort(steps[steps > 0])
    if steps.size == 0:
        raise InputError("A record needs readings at two moments at least", allowed="two or more")
    # By time, not by count: a spell read each minute must not outvote the hours around it. A step
    # that is not used again is a gap and weighs no more than an ordinary one.
    _, place, counts = np.unique(np.round(steps), return_inverse=True, return_counts=True)
    again = counts[place] >= max(3, 0.005 * steps.size)
    weights = np.where(again, steps, np.minimum(steps, steps[(steps.size - 1) // 2]))
    middle = np.searchsorted(np.cumsum(weights), weights.sum() / 2)
    return float(steps[min(int(middle), steps.size - 1)])


def looked_over(times_s: ArrayLike, values: ArrayLike, quantity: str) -> LookedOver:
    """Return what stands out in a record: gaps, spikes, flat lines, handling at the ends.

    Parameters
    ----------
    times_s : array, moments in order [s since 1970], at least two different ones
    values : array, readings [%RH or degC]; NaN is missing
    quantity : str, `rh` or `temperature`

    Returns
    -------
    LookedOver, with coverage as a share of the expected readings [1]

    Raises
    ------
    InputError
        When the quantity is not known or the arrays are not as long.

    Source: own rules; softmend-climate, section 5.
    Checked against: tests/science/climate/test_record.py.

    Example
    -------
    >>> found = looked_over([0, 3600, 7200, 18000], [50, 50.2, 50.1, 50.3], "rh")
    >>> round(found.coverage, 2), len(found.gaps)
    (0.67, 1)
    """
    if quantity not in SPIKE:
        raise InputError("The quantity is not known", value=quantity, allowed=", ".join(SPIKE))
    times, read = np.asarray(times_s, dtype=np.float64), np.asarray(values, dtype=np.float64)
    if times.shape != read.shape:
        raise InputError("Times and readings are not as many", allowed="one time for each reading")
    step = usual_step(times)
    there = np.isfinite(read)
    kept, moments = read[there], times[there]
    single = np.unique(moments)
    expected = round((times[-1] - times[0]) / step) + 1
    slots = np.unique(np.round((single - times[0]) / step)).size
    return LookedOver(
        step,
        _other_steps(times, step),
        min(1.0, slots / expected),
        int(np.count_nonzero(~there)),
        _gaps(single, step),
        tuple(moments[_spikes(kept, SPIKE[quantity])].tolist()),
        _flat(moments, kept, FLAT_HOURS[quantity] * HOUR),
        _handled(moments, kept, HANDLING[quantity], last=False),
        _handled(moments, kept, HANDLING[quantity], last=True),
    )


def _other_steps(times: Array, step: float) -> tuple[float, ...]:
    """Return other steps that are used again and again: a change of the logger's setting."""
    steps = np.diff(times)
    steps = np.round(steps[steps > 0])
    found, counts = np.unique(steps, return_counts=True)
    often = (counts >= max(10, 0.001 * steps.size)) & (np.abs(found - step) > 0.05 * step + 1)
    return tuple(found[often & (found < DAY)].tolist()[:5])


def _gaps(moments: Array, step: float) -> tuple[Stretch, ...]:
    wide = np.flatnonzero(np.diff(moments) > GAP_STEPS * step)
    return tuple(Stretch(float(moments[i]), float(moments[i + 1])) for i in wide)


def _spikes(read: Array, least: float) -> NDArray[np.bool_]:
    """Return readings that stand off the middle of their neighbours, which agree."""
    if read.size < 7:
        return np.zeros(read.size, dtype=bool)
    from scipy.ndimage import median_filter

    off = np.abs(read - median_filter(read, size=5, mode="nearest"))
    usual = float(np.quantile(off, 0.98))
    return np.asarray(off > max(least, 4 * usual))


def _flat(moments: Array, read: Array, least_s: float) -> tuple[Stretch, ...]:
    if read.size < 2:
        return ()
    edges = np.flatnonzero(np.diff(read) != 0)
    first = np.concatenate([[0], edges + 1])
    last = np.concatenate([edges, [read.size - 1]])
    long = (moments[last] - moments[first] >= least_s) & (last - first >= 6)
    return tuple(
        Stretch(float(moments[a]), float(moments[b]))
        for a, b in zip(first[long], last[long], strict=True)
    )


def _handled(moments: Array, read: Array, least: float, *, last: bool) -> Stretch | None:
    """Return the end of a record in which readings leap as they do nearly nowhere else."""
    if read.size < 50:
        return None
    leaps = np.abs(np.diff(read))
    limit = max(least, float(np.quantile(leaps, USUAL_SHARE)))
    if last:
        near = np.flatnonzero((moments[:-1] >= moments[-1] - HANDLED_S) & (leaps > limit))
        return Stretch(float(moments[near[0]]), float(moments[-1])) if near.size else None
    near = np.flatnonzero((moments[1:] <= moments[0] + HANDLED_S) & (leaps > limit))
    return Stretch(float(moments[0]), float(moments[near[-1] + 1])) if near.size else None


def evened(times_s: ArrayLike, values: ArrayLike, step_s: float) -> Even:
    """Return a record at even steps: the mean of what was read around each, NaN for nothing.

    Parameters
    ----------
    times_s : array, moments in order [s since 1970]
    values : array, readings [any unit]; NaN is missing
    step_s : float, step wanted [s], above 0

    Returns
    -------
    Even, values in the unit of the readings [any unit]

    Raises
    ------
    InputError
        When the step is not positive, the record empty, or so much longer than the step that it
        cannot be held.

    Source: camuffo2022 (even spacing before any level).
    Checked against: tests/science/climate/test_record.py.

    Example
    -------
    >>> evened([0, 60, 3600, 10800], [50, 52, 54, 56], 3600.0).values.tolist()
    [51.0, 54.0, nan, 56.0]
    """
    times, read = np.asarray(times_s, dtype=np.float64), np.asarray(values, dtype=np.float64)
    there = np.isfinite(read) & np.isfinite(times)
    if not step_s > 0 or not there.any():
        raise InputError("A record cannot be set to even steps", value=step_s, allowed="above 0")
    start = float(times[0])
    places = np.floor((times - start) / step_s + 0.5).astype(np.int64)
    count = int(places.max()) + 1
    if count > 20_000_000:
        raise InputError(
            "A record is too long for its step", value=f"{count} steps", allowed="20 million"
        )
    sums = np.bincount(places[there], weights=read[there], minlength=count)
    how_many = np.bincount(places[there], minlength=count)
    with np.errstate(invalid="ignore", divide="ignore"):
        means = np.where(how_many > 0, sums / how_many, np.nan)
    return Even(start, float(step_s), means)


def bridged(values: ArrayLike) -> Array:
    """Return readings at even steps, gaps of up to three steps crossed straight, no longer ones.

    Parameters
    ----------
    values : array, readings at even steps [any unit]; NaN is missing

    Returns
    -------
    numpy array, the same with short gaps filled [any unit]

    Source: softmend-climate, section 5.
    Checked against: tests/science/climate/test_record.py.

    Example
    -------
    >>> bridged([1.0, float("nan"), 3.0]).tolist()
    [1.0, 2.0, 3.0]
    """
    read = np.asarray(values, dtype=np.float64)
    there = np.flatnonzero(np.isfinite(read))
    if there.size == 0:
        return read.copy()
    filled = np.interp(np.arange(read.size), there, read[there])
    before = np.searchsorted(there, np.arange(read.size), side="right") - 1
    inside = (before >= 0) & (before < there.size - 1)
    widths = np.zeros(read.size)
    widths[inside] = np.diff(there)[before[inside]]
    known = np.isfinite(read) | (inside & (widths <= BRIDGED_STEPS + 1))
    return np.where(known, filled, np.nan)


def longest_whole(values: ArrayLike) -> slice:
    """Return the longest part of a record without a missing reading.

    Parameters
    ----------
    values : array, readings at even steps [any unit]; NaN is missing

    Returns
    -------
    slice, of the record; empty when nothing was read

    Source: own.
    Checked against: tests/science/climate/test_record.py.

    Example
    -------
    >>> longest_whole([1.0, float("nan"), 2.0, 3.0])
    slice(2, 4, None)
    """
    there = np.isfinite(np.asarray(values, dtype=np.float64)).astype(np.int8)
    edges = np.diff(np.concatenate([[0], there, [0]]))
    first, after = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    if first.size == 0:
        return slice(0, 0)
    best = int(np.argmax(after - first))
    return slice(int(first[best]), int(after[best]))
