"""The swings in a history of moisture or strain, counted as rain flows off a roof.

A history of the air is not one of the object: filter it through the object's own lag first.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.propagation import Spread, spread
from softmend.science.uncertain import Array, Uncertain

DRAWS = 20_000
MOST_POINTS = 1_000_000


@dataclass(frozen=True, slots=True)
class Cycles:
    """The counted swings: range and mean in the history's unit, and 1 or 0.5 for a half cycle."""

    ranges: Array
    means: Array
    counts: Array

    def at_least(self, least: float) -> Cycles:
        """Return the swings of at least a range; smaller ones, such as a logger's noise, go."""
        kept = self.ranges >= least
        return Cycles(self.ranges[kept], self.means[kept], self.counts[kept])


@dataclass(frozen=True, slots=True)
class Overstretched:
    """How often swings ask more of a fill than it can follow: times in the record, and ever."""

    times: Spread
    ever: float


def reversals(history: ArrayLike) -> Array:
    """Return the first value, every turning point and the last value of a history.

    Parameters
    ----------
    history : array, values in the order of time [any unit], finite, 2 to 1 000 000

    Returns
    -------
    numpy array, reversals [same unit]; one value for a history that never moves

    Raises
    ------
    InputError
        When the history is too short, too long or not finite.

    Source: astm-e1049, section 5.4.
    Checked against: tests/checks/astm-e1049.csv.

    Example
    -------
    >>> reversals([0, 1, 1, 3, 2, 2, 5]).tolist()
    [0.0, 3.0, 2.0, 5.0]
    """
    values = np.asarray(history, dtype=np.float64)
    if values.ndim != 1 or not 2 <= values.size <= MOST_POINTS:
        raise InputError(
            "A history is too short or too long",
            value=values.size,
            allowed=f"2 to {MOST_POINTS} values",
        )
    if not np.all(np.isfinite(values)):
        raise InputError(
            "A history has gaps",
            value=f"{int(np.sum(~np.isfinite(values)))} of {values.size}",
            allowed="finite numbers",
            remedy="Cut the record at its gaps",
        )
    moving = np.concatenate([[True], np.diff(values) != 0])
    values = values[moving]
    if values.size < 3:
        return np.asarray(values)
    turns = np.sign(np.diff(values))
    return np.asarray(values[np.concatenate([[True], turns[1:] != turns[:-1], [True]])])


def rainflow(history: ArrayLike) -> Cycles:
    """Return the swings of a history by the rainflow count.

    Parameters
    ----------
    history : array, values in the order of time [any unit], finite, 2 to 1 000 000

    Returns
    -------
    Cycles, in the order in which they close [same unit]; empty for a history that never moves

    Raises
    ------
    InputError
        When the history is too short, too long or not finite.

    Source: astm-e1049, section 5.4.4.
    Checked against: tests/checks/astm-e1049.csv; tests/science/test_cycles.py (another program).

    Example
    -------
    >>> found = rainflow([-2, 1, -3, 5, -1, 3, -4, 4, -2])
    >>> list(zip(found.ranges.tolist(), found.counts.tolist()))[:3]
    [(3.0, 0.5), (4.0, 0.5), (4.0, 1.0)]
    """
    found: list[tuple[float, float, float]] = []
    open_points: list[float] = []
    for point in reversals(history).tolist():
        open_points.append(point)
        while len(open_points) >= 3:
            last = abs(open_points[-1] - open_points[-2])
            before = abs(open_points[-2] - open_points[-3])
            if last < before:
                break
            if len(open_points) == 3:
                # The range that holds the start is half a cycle; the start moves on.
                found.append(_swing(open_points[0], open_points[1], 0.5))
                del open_points[0]
            else:
                found.append(_swing(open_points[-3], open_points[-2], 1.0))
                del open_points[-3:-1]
    found += [_swing(*ends, 0.5) for ends in pairwise(open_points)]
    table = np.array(found, dtype=np.float64).reshape(-1, 3)
    return Cycles(table[:, 0], table[:, 1], table[:, 2])


def damage_shares(cycles: Cycles, exponent: float) -> Array:
    """Return the share of the fatigue that each swing does.

    Parameters
    ----------
    cycles : Cycles, the counted swings, at least one
    exponent : float, power of the range by which damage grows [1], 0 to 50

    Returns
    -------
    numpy array, shares that sum to 1 [1], in the order of the swings

    Raises
    ------
    InputError
        When there is no swing or the exponent is out of range.

    Source: miner1945 (recalled).
    Checked against: tests/checks/astm-e1049.csv.

    Example
    -------
    >>> shares = damage_shares(rainflow([0, 10, 5, 10, 0]), 20)
    >>> shares.round(6).tolist()
    [1e-06, 0.5, 0.5]
    """
    if not 0 <= exponent <= 50:
        raise InputError("A fatigue exponent is out of range", value=exponent, allowed="0 to 50")
    if not cycles.ranges.size:
        raise InputError("There is no swing in the history", allowed="a history that moves")
    weights = cycles.counts * (cycles.ranges / cycles.ranges.max()) ** exponent
    return np.asarray(weights / weights.sum())


def equivalent_range(cycles: Cycles, exponent: float) -> float:
    """Return the one range that, as many times, would do the same fatigue.

    Parameters
    ----------
    cycles : Cycles, the counted swings, at least one
    exponent : float, power of the range by which damage grows [1], above 0 to 50

    Returns
    -------
    float, range [the history's unit]

    Raises
    ------
    InputError
        When there is no swing or the exponent is out of range.

    Source: miner1945 (recalled).
    Checked against: tests/science/test_cycles.py.

    Example
    -------
    >>> round(equivalent_range(rainflow([0, 10, 0, 10, 0]), 3), 6)
    10.0
    """
    if not 0 < exponent <= 50:
        raise InputError("A fatigue exponent is out of range", value=exponent, allowed="0 to 50")
    if not cycles.ranges.size:
        raise InputError("There is no swing in the history", allowed="a history that moves")
    largest = float(cycles.ranges.max())
    mean = np.average((cycles.ranges / largest) ** exponent, weights=cycles.counts)
    return largest * float(float(mean) ** (1 / exponent))


def overstretched(
    cycles: Cycles, strain_per_unit: Uncertain, follows: Uncertain, n: int = DRAWS, seed: int = 0
) -> Overstretched:
    """Return how often the swings ask more of a fill than it can follow.

    Parameters
    ----------
    cycles : Cycles, the counted swings [any unit]
    strain_per_unit : Uncertain, strain of the fill for one unit of the history [1/unit], 0 or more
    follows : Uncertain, strain range that the fill can follow [1], above 0
    n : int, draws [1], 100 to 100 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Overstretched, times in the record [1], and the share of draws in which it happens at all [1]

    Raises
    ------
    InputError
        When n is out of range, or a fill can follow nothing.

    Source: jcgm101, section 7.
    Checked against: tests/science/test_cycles.py.

    Example
    -------
    >>> exact = Uncertain.exact
    >>> found = overstretched(rainflow([0, 10, 0, 4, 0]), exact(0.001), exact(0.005))
    >>> found.times.mean, found.ever
    (1.0, 1.0)
    """
    if not 100 <= n <= 100_000:
        raise InputError("The number of draws is out of range", value=n, allowed="100 to 100 000")
    rng = np.random.default_rng(seed)
    strain, limit = strain_per_unit.draw(n, rng), follows.draw(n, rng)
    if np.any(limit <= 0) or np.any(strain < 0):
        raise InputError(
            "A fill follows nothing, or moves the wrong way",
            value=(float(limit.min()), float(strain.min())),
            allowed="a range above 0, and a strain of 0 or more for each unit",
        )
    order = np.argsort(cycles.ranges)
    ranges = cycles.ranges[order]
    # How many cycles lie at or above each rank, the half ones as halves.
    above = np.concatenate([np.cumsum(cycles.counts[order][::-1])[::-1], [0.0]])
    with np.errstate(divide="ignore"):
        times = above[np.searchsorted(ranges, limit / strain, side="right")]
    drawn = {"strain of the fill for each percent": strain, "what the fill follows": limit}
    return Overstretched(spread(times, drawn), float(np.mean(times > 0)))


def _swing(start: float, end: float, count: float) -> tuple[float, float, float]:
    return abs(end - start), (start + end) / 2, count
