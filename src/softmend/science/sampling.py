"""How many objects to look at, what a count says of the whole store, and whether graders agree."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array, Band

COVERAGE = 0.95


@dataclass(frozen=True, slots=True)
class ShareInterval:
    """A share of a collection (0 to 1) as found in the sample, and its interval."""

    low: float
    found: float
    high: float


@dataclass(frozen=True, slots=True)
class Agreement:
    """Agreement of graders: alpha, its band when objects are drawn again, and what it rests on.

    `alpha` is None when it is not defined: every grade was the same. The band is None then, and
    when too few draws were defined.
    """

    alpha: float | None
    band: Band | None
    objects: int
    grades: int


def sample_size(
    half_width: float,
    population: int | None = None,
    share: float = 0.5,
    design_effect: float = 1.0,
    coverage: float = COVERAGE,
) -> int:
    """Return how many objects to grade so that a share is known to plus or minus half_width.

    Parameters
    ----------
    half_width : float, half the width of the interval wanted [1], above 0 and below 0.5
    population : int or None, objects in the collection [1], 1 or more; None is very many
    share : float, share expected [1], above 0 and below 1; 0.5 asks for the most
    design_effect : float, by how much clusters inflate the variance [1], 1 to 1000
    coverage : float, how often such intervals hold the truth [1], 0.5 to 0.999

    Returns
    -------
    int, objects to grade [1], rounded up, at most the population

    Raises
    ------
    InputError
        When an argument is out of range.

    Source: cochran1977, sections 4.4 (equations 4.1 and 4.2); n0 = z^2 p (1 - p) / E^2 times the
    design effect, n = n0 / (1 + (n0 - 1) / N).
    Checked against: tests/checks/softmend-practice.csv.

    Example
    -------
    >>> sample_size(0.05, 1000), sample_size(0.10, 1000)
    (278, 88)
    """
    _within("half the width of an interval", half_width, 0.0, 0.5, ends=False)
    _within("an expected share", share, 0.0, 1.0, ends=False)
    _within("a design effect", design_effect, 1.0, 1000.0)
    z = _score(coverage)
    n0 = z * z * share * (1 - share) / half_width**2 * design_effect
    if population is None:
        return _rounded_up(n0)
    if population < 1:
        raise InputError("A collection has no objects", value=population, allowed="1 or more")
    return min(population, max(1, _rounded_up(n0 / (1 + (n0 - 1) / population))))


def design_effect(cluster_size: float, correlation: float) -> float:
    """Return by how much sampling whole shelves or boxes inflates the variance of a share.

    Parameters
    ----------
    cluster_size : float, objects on one shelf, the mean over shelves [1], 1 or more
    correlation : float, how alike the objects of a shelf are [1], 0 to 1

    Returns
    -------
    float, design effect [1], 1 or more

    Raises
    ------
    InputError
        When an argument is out of range.

    Source: kish1965, section 5.4; 1 + (m - 1) rho.
    Checked against: tests/checks/softmend-practice.csv.

    Example
    -------
    >>> round(design_effect(20, 0.05), 2), round(design_effect(20, 0.1), 2)
    (1.95, 2.9)
    """
    _within("the size of a cluster", cluster_size, 1.0, 1e6)
    _within("the likeness inside a cluster", correlation, 0.0, 1.0)
    return 1 + (cluster_size - 1) * correlation


def wilson_interval(
    found: int,
    graded: int,
    population: int | None = None,
    design_effect: float = 1.0,
    coverage: float = COVERAGE,
) -> ShareInterval:
    """Return the share of a collection and its Wilson interval, from a count in a sample.

    Clusters and a large sample of a small collection enter as an effective number of objects; when
    all were graded the share is known and the interval is that one number.

    Parameters
    ----------
    found : int, objects in the grade [1], 0 to graded
    graded : int, objects graded [1], 1 or more
    population : int or None, objects in the collection [1], graded or more; None is very many
    design_effect : float, by how much clusters inflate the variance [1], 1 to 1000
    coverage : float, how often such intervals hold the truth [1], 0.5 to 0.999

    Returns
    -------
    ShareInterval, low end, share found and high end [1]

    Raises
    ------
    InputError
        When an argument is out of range.

    Source: wilson1927 (interval by the score test); korn1998 (effective number of objects).
    Checked against: tests/checks/softmend-practice.csv.

    Example
    -------
    >>> interval = wilson_interval(18, 60)
    >>> round(interval.low, 3), round(interval.high, 3)
    (0.199, 0.425)
    """
    if not 0 <= found <= graded or graded < 1:
        raise InputError(
            "A count does not fit its sample",
            value=f"{found} of {graded}",
            allowed="from 0 to the number graded, which is 1 or more",
        )
    _within("a design effect", design_effect, 1.0, 1000.0)
    z = _score(coverage)
    share = found / graded
    n = graded / design_effect
    if population is not None:
        if population < graded:
            raise InputError(
                "More objects were graded than the collection has",
                value=f"{graded} of {population}",
                allowed="at most all of them",
            )
        if population == graded:
            return ShareInterval(share, share, share)
        n *= (population - 1) / (population - graded)
    centre = (share + z * z / (2 * n)) / (1 + z * z / n)
    half = z / (1 + z * z / n) * math.sqrt(share * (1 - share) / n + (z / (2 * n)) ** 2)
    # At the ends the two are equal but for rounding.
    low = 0.0 if found == 0 else max(0.0, centre - half)
    high = 1.0 if found == graded else min(1.0, centre + half)
    return ShareInterval(low, share, high)


def krippendorff_alpha(grades: ArrayLike) -> float | None:
    """Return how far graders agree beyond chance, for grades that have an order.

    Parameters
    ----------
    grades : array-like, grade given by each grader to each object, shape (graders, objects) [1];
        NaN where a grader did not grade an object

    Returns
    -------
    float or None, alpha [1]: 1 is full agreement, 0 is chance, below 0 is worse than chance;
    None when all grades that can be paired are the same

    Raises
    ------
    InputError
        When fewer than two objects were graded by two or more.

    Source: krippendorff2011, section C (coincidences) and the ordinal difference of section D.
    Checked against: tests/checks/krippendorff2011.csv.

    Example
    -------
    >>> round(krippendorff_alpha([[1, 2, 3, 4], [1, 2, 4, 4]]), 3)
    0.91
    """
    counts = _counts(np.asarray(grades, dtype=np.float64))
    return _alpha(counts[counts.sum(axis=1) >= 2])


def agreement(grades: ArrayLike, draws: int = 1000, seed: int = 0) -> Agreement:
    """Return Krippendorff's alpha with its 5, 50 and 95 % points when objects are drawn again.

    Parameters
    ----------
    grades : array-like, grades as for krippendorff_alpha, shape (graders, objects) [1]
    draws : int, how often the objects are drawn again [1], 100 to 10 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Agreement, alpha and band [1], with the objects and grades that could be paired

    Raises
    ------
    InputError
        When fewer than two objects were graded by two or more, or draws is out of range.

    Source: krippendorff2011, sections C and D; efron1979 (bootstrap over objects).
    Checked against: tests/science/test_sampling.py.

    Example
    -------
    >>> found = agreement([[1, 2, 3, 4, 2, 1], [1, 2, 4, 4, 2, 1]])
    >>> round(found.alpha, 2), found.objects, found.grades
    (0.97, 6, 12)
    """
    if not 100 <= draws <= 10_000:
        raise InputError(
            "The number of draws is out of range", value=draws, allowed="100 to 10 000"
        )
    counts = _counts(np.asarray(grades, dtype=np.float64))
    paired = counts[counts.sum(axis=1) >= 2]
    alpha = _alpha(paired)
    rng = np.random.default_rng(seed)
    again = (_alpha(paired[rng.integers(0, len(paired), len(paired))]) for _ in range(draws))
    known = [value for value in again if value is not None]
    # A draw in which all objects had one grade says nothing; many of those, and the band neither.
    band = Band.of(known) if alpha is not None and len(known) >= draws / 2 else None
    return Agreement(alpha, band, len(paired), int(paired.sum()))


def _counts(grades: Array) -> Array:
    """Return how many graders gave each object each grade, shape (objects, grades in order)."""
    known = grades[~np.isnan(grades)]
    if grades.ndim != 2 or not np.all(np.isfinite(known)):
        raise InputError(
            "The grades are not a table of graders by objects",
            value=grades.shape,
            allowed="finite grades, one row a grader",
        )
    values = np.unique(known)
    counts: Array = (grades[:, :, None] == values).sum(axis=0).astype(np.float64)
    paired = int(np.sum(counts.sum(axis=1) >= 2))
    if paired < 2:
        raise InputError(
            "Too few objects were graded by two or more",
            value=paired,
            allowed="2 or more objects",
            remedy="Let a second person grade some of the same objects",
        )
    return counts


def _alpha(counts: Array) -> float | None:
    per_object = counts.sum(axis=1)
    coincidences = (counts / (per_object - 1)[:, None]).T @ counts
    coincidences -= np.diag((counts / (per_object - 1)[:, None]).sum(axis=0))
    totals = coincidences.sum(axis=1)
    below = np.cumsum(totals) - totals / 2
    apart = (below[:, None] - below[None, :]) ** 2
    expected = float(totals @ apart @ totals)
    if expected == 0:
        return None
    observed = float(np.sum(coincidences * apart))
    return 1 - (float(totals.sum()) - 1) * observed / expected


def _score(coverage: float) -> float:
    from scipy.special import ndtri

    _within("a coverage", coverage, 0.5, 0.999)
    return float(ndtri((1 + coverage) / 2))


def _rounded_up(number: float) -> int:
    return math.ceil(number - 1e-9)


def _within(name: str, value: float, least: float, most: float, *, ends: bool = True) -> None:
    inside = least <= value <= most if ends else least < value < most
    if not inside:
        edge = "" if ends else ", ends excluded"
        raise InputError(
            f"The value of {name} is out of range",
            value=value,
            allowed=f"{least:g} to {most:g}{edge}",
        )
