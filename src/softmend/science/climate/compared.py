"""A measured record against a computed band, at the moments that both know."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Compared:
    """The gap of a measured record from the middle of a computed band, in the record's unit.

    `low` and `high` hold nine tenths of the gaps; `inside_percent` is the share of moments that
    lie in the band, widened by `sensor`; the two swings are those of nine tenths of each record.
    """

    moments: int
    gap: float
    low: float
    high: float
    inside_percent: float
    sensor: float
    own_swing: float
    swing: float


def compared(
    times_s: ArrayLike,
    read: ArrayLike,
    reach_s: float,
    moments_s: Sequence[float],
    band: tuple[ArrayLike, ArrayLike, ArrayLike],
    sensors: tuple[float, float],
) -> Compared | None:
    """Return how far a measured record lies from a computed band, or None without common moments.

    Each moment of the band takes the nearest reading within `reach_s`; nothing is interpolated.

    Parameters
    ----------
    times_s : array_like, moments of the readings [s], rising
    read : array_like, readings [%], 0 to 100
    reach_s : float, how far off a reading may be to count for a moment [s], over 0
    moments_s : sequence of float, moments of the band [s], rising
    band : tuple of array_like, low, typical and high at those moments [%]
    sensors : tuple of float, how far either sensor may be off [%], 0 or more

    Returns
    -------
    Compared, in the unit of the readings [%]; None when no moment has a reading

    Raises
    ------
    InputError
        When the lengths do not agree.

    Source: softmend-climate, section 7; two independent errors add by their squares (jcgm100).
    Checked against: tests/science/climate/test_compared.py.

    Example
    -------
    >>> band = ([48, 48], [50, 50], [52, 52])
    >>> found = compared([0, 10, 20], [51, 52, 53], 5, [0, 20], band, (3, 4))
    >>> found.gap, found.sensor, found.moments
    (2.0, 5.0, 2)
    """
    times, values, at = (np.asarray(one, dtype=np.float64) for one in (times_s, read, moments_s))
    low, typical, high = (np.asarray(one, dtype=np.float64) for one in band)
    if times.size != values.size or not at.size == low.size == typical.size == high.size:
        raise InputError("Moments and readings are not as many", allowed="one reading for each")
    if times.size == 0:
        return None
    nearest = _nearest(times, at)
    known = (np.abs(times[nearest] - at) <= reach_s) & np.isfinite(values[nearest])
    if not known.any():
        return None
    own = values[nearest][known]
    gaps = own - typical[known]
    sensor = float(np.hypot(*sensors))
    inside = (own >= low[known] - sensor) & (own <= high[known] + sensor)
    return Compared(
        moments=int(known.sum()),
        gap=float(gaps.mean()),
        low=float(np.percentile(gaps, 5)),
        high=float(np.percentile(gaps, 95)),
        inside_percent=100 * float(inside.mean()),
        sensor=sensor,
        own_swing=float(np.ptp(np.percentile(own, (5, 95)))),
        swing=float(np.ptp(np.percentile(typical[known], (5, 95)))),
    )


def _nearest(times: Array, at: Array) -> NDArray[np.intp]:
    after = np.clip(np.searchsorted(times, at), 1, max(times.size - 1, 1))
    after = np.minimum(after, times.size - 1)
    before = np.maximum(after - 1, 0)
    return np.where(np.abs(times[before] - at) <= np.abs(times[after] - at), before, after)
