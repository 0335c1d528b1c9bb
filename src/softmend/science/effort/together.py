"""Hours that move together: draws with one factor in common, and their sum."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from softmend.errors import InputError
from softmend.science.propagation import Spread, spread
from softmend.science.uncertain import Array, Uncertain, stratified

SHARED = 0.7
"""Share of the variance of a task's hours that all tasks have in common (estimated: they mostly
move together)."""

DRAWS = 20_000
DRAWS_FOR_DRIVERS = 2000
"""Which task drives a sum or an end is a rough question: so many draws are enough for it."""

# A distribution is tabled once on even normal scores: inverting it for every draw is slow.
_WIDEST, _STEPS = 6.0, 400
_SCORES = np.linspace(-_WIDEST, _WIDEST, _STEPS + 1)


@dataclass(frozen=True, slots=True)
class HoursTogether:
    """The hours of each task and of all of them [h]; the total names what drives it."""

    each: tuple[Spread, ...]
    total: Spread


def hours_together(
    tasks: Mapping[str, Uncertain], shared: float = SHARED, n: int = DRAWS, seed: int = 0
) -> HoursTogether:
    """Return the hours of each task and their sum, when part of their spread is in common.

    Parameters
    ----------
    tasks : mapping, name of each task to its hours [h], one or more
    shared : float, share of the variance of hours that all tasks have in common [1], 0 to 1
    n : int, draws [1], 100 to 200 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    HoursTogether, hours of each task in order and of all [h]

    Raises
    ------
    InputError
        When there is no task, or an argument is out of range.

    Source: li2000, section 4 (one-factor Gaussian copula); jcgm101, section 7.
    Checked against: tests/science/effort/test_together.py.

    Example
    -------
    >>> both = {"clean": Uncertain.pert(8, 20, 50), "fill": Uncertain.pert(20, 50, 120)}
    >>> found = hours_together(both, shared=0.0)
    >>> round(found.total.mean), found.total.drivers[0].name
    (80, 'fill')
    """
    if not tasks:
        raise InputError("There is no task to add up", value=0, allowed="1 or more")
    if not 0 <= shared <= 1:
        raise InputError(
            "The shared part of the spread is no share", value=shared, allowed="0 to 1"
        )
    if not 100 <= n <= 200_000:
        raise InputError("The number of draws is out of range", value=n, allowed="100 to 200 000")
    draws = shared_draws(list(tasks.values()), shared, n, np.random.default_rng(seed))
    total = draws.sum(axis=0)
    few = slice(DRAWS_FOR_DRIVERS)
    named = {name: row[few] for name, row in zip(tasks, draws, strict=True)}
    whole = spread(total, {})
    drivers = spread(total[few], named).drivers
    return HoursTogether(
        tuple(spread(row, {}) for row in draws),
        Spread(whole.band, whole.mean, whole.sd, drivers),
    )


def shared_draws(
    values: Sequence[Uncertain], shared: float, n: int, rng: np.random.Generator
) -> Array:
    """Return draws of several values that have one factor in common.

    Parameters
    ----------
    values : sequence of Uncertain, the values [any unit], one or more
    shared : float, correlation of the normal scores of any two [1], 0 (independent) to 1
    n : int, draws [1], 1 or more
    rng : Generator, seeded source of random numbers

    Returns
    -------
    numpy array, draws, shape (values, n) [unit of each value]

    Source: li2000, section 4 (one-factor Gaussian copula).
    Checked against: tests/science/effort/test_together.py.

    Example
    -------
    >>> import numpy as np
    >>> two = [Uncertain.normal(0, 1), Uncertain.normal(10, 2)]
    >>> a, b = shared_draws(two, 1.0, 5, np.random.default_rng(0))
    >>> bool(np.allclose(10 + 2 * a, b))
    True
    """
    from scipy.special import ndtr, ndtri

    common = ndtri(stratified(n, rng))
    draws = np.empty((len(values), n))
    shares = np.clip(ndtr(_SCORES), 1e-15, 1 - 1e-15)
    for row, value in zip(draws, values, strict=True):
        own = ndtri(stratified(n, rng))
        score = math.sqrt(shared) * common + math.sqrt(1 - shared) * own
        row[:] = _between(score, value.quantile(shares))
    return draws


def _between(score: Array, tabled: Array) -> Array:
    """Return values between those tabled on even scores; even steps need no search."""
    place = np.clip((score + _WIDEST) * (_STEPS / (2 * _WIDEST)), 0.0, _STEPS - 1e-9)
    lower = place.astype(np.int64)
    return np.asarray(tabled[lower] + (place - lower) * np.diff(tabled)[lower])
