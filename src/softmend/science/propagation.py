"""What becomes of a result when its inputs are uncertain, and which input to measure next."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from softmend.errors import InputError
from softmend.science.uncertain import Array, Band, Uncertain

COVERAGE_FACTOR = 2.0
"""The k of the expanded uncertainty that is printed."""

ROUNDING_NOISE = 1e-12
"""A spread smaller than this share of the mean is the computer's rounding."""


@dataclass(frozen=True, slots=True)
class Driver:
    """One input and the share of the result's variance that it alone explains (0 to 1)."""

    name: str
    share: float


@dataclass(frozen=True, slots=True)
class Spread:
    """A computed quantity as a distribution: band, mean, sd and what drives it, largest first."""

    band: Band
    mean: float
    sd: float
    drivers: tuple[Driver, ...]

    @property
    def expanded(self) -> float:
        """The expanded uncertainty, k = 2."""
        return COVERAGE_FACTOR * self.sd


@dataclass(frozen=True, slots=True)
class Combined:
    """A first-order result: value, standard uncertainty and each input's part of it."""

    value: float
    standard_uncertainty: float
    parts: Mapping[str, float]

    @property
    def expanded(self) -> float:
        """The expanded uncertainty, k = 2."""
        return COVERAGE_FACTOR * self.standard_uncertainty


def propagate(
    function: Callable[..., Array],
    inputs: Mapping[str, Uncertain],
    n: int = 2000,
    seed: int = 0,
) -> Spread:
    """Return the distribution of a function of independent uncertain inputs, by Monte Carlo.

    Parameters
    ----------
    function : callable, takes arrays of draws by keyword, returns an array of results [any unit]
    inputs : mapping, argument name to uncertain value [unit of the argument]
    n : int, draws [1], 100 to 1 000 000
    seed : int, seed of the random numbers [1]; the same seed gives the same answer

    Returns
    -------
    Spread [unit of the function's result]

    Raises
    ------
    InputError
        When n is out of range or a draw gives a result that is not finite.

    Source: jcgm101, section 7 (propagation of distributions); mckay1979.
    Checked against: tests/checks/jcgm100.csv.

    Example
    -------
    >>> from softmend.science.uncertain import Uncertain
    >>> area = propagate(
    ...     lambda a, b: a * b, {"a": Uncertain.normal(20, 0.2), "b": Uncertain.normal(10, 0.4)}
    ... )
    >>> round(area.mean, 1), round(area.sd, 1), area.drivers[0].name
    (200.0, 8.3, 'b')
    """
    if not 100 <= n <= 1_000_000:
        raise InputError("The number of draws is out of range", value=n, allowed="100 to 1 000 000")
    rng = np.random.default_rng(seed)
    draws = {name: value.draw(n, rng) for name, value in inputs.items()}
    result = np.broadcast_to(np.asarray(function(**draws), dtype=np.float64), (n,))
    return spread(result, draws)


def spread(result: Array, draws: Mapping[str, Array], rest: str | None = None) -> Spread:
    """Return band, mean, sd and drivers of results that were computed from given draws.

    Parameters
    ----------
    result : numpy array, one result a draw, shape (n,) [any unit], finite
    draws : mapping, name to the draws that went in, shape (n,) or (n, k) [any unit]
    rest : str or None, name of the source that is not among the draws [1]; it gets what is left

    Returns
    -------
    Spread [unit of the result]

    Raises
    ------
    InputError
        When a result is not finite.

    Source: jcgm101, section 7.6.
    Checked against: tests/checks/jcgm100.csv.

    Example
    -------
    >>> import numpy as np
    >>> spread(np.array([1.0, 2.0, 3.0]), {}).sd
    1.0
    """
    if not np.all(np.isfinite(result)):
        raise InputError(
            "Some draws give no finite result",
            value=f"{int(np.sum(~np.isfinite(result)))} of {result.size}",
            allowed="none",
            remedy="Narrow the inputs: parts of their ranges are impossible together",
        )
    ranks = _centred_ranks(result) if draws else result
    shares = {name: _explained_share(columns, ranks) for name, columns in draws.items()}
    if rest is not None:
        shares[rest] = max(0.0, 1.0 - sum(shares.values())) if np.ptp(result) > 0 else 0.0
    ordered = sorted(shares.items(), key=lambda item: -item[1])
    mean, sd = float(np.mean(result)), float(np.std(result, ddof=1))
    return Spread(
        Band.of(result),
        mean,
        sd if sd > ROUNDING_NOISE * abs(mean) else 0.0,
        tuple(Driver(name, share) for name, share in ordered),
    )


def variance_share(columns: Array, result: Array) -> float:
    """Return the share of a result's variance that a straight line on the ranks explains.

    For one column it is Spearman's rank correlation squared. Over independent inputs and a
    monotone function without interaction the shares sum to about 1; what lacks to 1 is
    interaction or a function that turns, what exceeds it is chance (about k/n a source) or inputs
    that move together.

    Parameters
    ----------
    columns : numpy array, draws of one source, shape (n,) or (n, k) [any unit]
    result : numpy array, results, shape (n,) [any unit]

    Returns
    -------
    float, share 0 to 1 [1]

    Source: saltelli2008, chapter 1 (standardised rank regression).
    Checked against: scipy.stats.spearmanr in tests/science/test_uncertain.py.

    Example
    -------
    >>> import numpy as np
    >>> round(variance_share(np.array([1.0, 2.0, 3.0, 4.0]), np.array([1.0, 4.0, 9.0, 16.0])), 6)
    1.0
    """
    return _explained_share(columns, _centred_ranks(result))


def _explained_share(columns: Array, y: Array) -> float:
    x = [_centred_ranks(c) for c in np.atleast_2d(columns.T)]
    x = [ranks for ranks in x if np.any(ranks)]
    if not x or not np.any(y):
        return 0.0
    # The normal equations: ranks are well scaled, and 2000 rows become k. Sums instead of matrix
    # products: those start threads for vectors of this length, which costs more than it saves.
    products = np.array([np.sum(ranks * y) for ranks in x])
    squares = np.array([[np.sum(one * other) for other in x] for one in x])
    explained = products @ np.linalg.lstsq(squares, products, rcond=None)[0]
    return min(1.0, max(0.0, float(explained) / float(np.sum(y * y))))


def _centred_ranks(values: Array) -> Array:
    if np.ptp(values) == 0:
        return np.zeros(values.size)
    ranks = np.empty(values.size, dtype=np.float64)
    ranks[np.argsort(values, kind="stable")] = np.arange(values.size)
    return np.asarray(ranks - (values.size - 1) / 2)


def combine(function: Callable[..., float], inputs: Mapping[str, Uncertain]) -> Combined:
    """Return value and standard uncertainty of a function by first-order propagation.

    It is the check of `propagate`, not its replacement: it misses products of two values that are
    both near zero.

    Parameters
    ----------
    function : callable, takes floats by keyword, returns a float [any unit]
    inputs : mapping, argument name to uncertain value, independent [unit of the argument]

    Returns
    -------
    Combined [unit of the function's result]

    Source: jcgm100, equations 10 and 11a (slopes by half the change over one sd to either side,
    note 2 to 5.1.3).
    Checked against: tests/checks/jcgm100.csv.

    Example
    -------
    >>> from softmend.science.uncertain import Uncertain
    >>> area = combine(
    ...     lambda a, b: a * b, {"a": Uncertain.normal(20, 0.2), "b": Uncertain.normal(10, 0.4)}
    ... )
    >>> area.value, round(area.standard_uncertainty, 3)
    (200.0, 8.246)
    """
    means = {name: value.mean for name, value in inputs.items()}
    parts = {}
    for name, value in inputs.items():
        above = function(**{**means, name: means[name] + value.sd})
        below = function(**{**means, name: means[name] - value.sd})
        parts[name] = abs(float(above) - float(below)) / 2
    return Combined(float(function(**means)), math.hypot(*parts.values()), parts)
