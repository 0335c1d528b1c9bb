"""Hours per centimetre, square centimetre or fragment: a guess first, then learned from the log.

The logarithm of a task's rate is normal about an unknown mean with an unknown scatter; a prior
that weighs as much as one task is brought up to date by every like task that was logged.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from softmend.errors import InputError
from softmend.science.uncertain import Uncertain

PRIOR_TASKS = 1.0
"""How many logged tasks a prior weighs: its confidence is low."""

PRIOR_FREEDOM = 4.0
"""Degrees of freedom of the prior's scatter: few, so that the log soon speaks; above two, so that
the predictive variance exists."""

WIDEST_CV = 10.0
"""The widest a rate can be said to be; a log that contradicts its guess by more says only that."""

DRAWS = 2000


@dataclass(frozen=True, slots=True)
class LoggedTask:
    """One finished task of the bench's own log: how much was done and how long it took [h]."""

    quantity: float
    hours: float

    def __post_init__(self) -> None:
        """Refuse a task without a quantity or without time."""
        if not (0 < self.quantity < math.inf and 0 < self.hours < math.inf):
            raise InputError(
                "A logged task needs a quantity and hours",
                value=(self.quantity, self.hours),
                allowed="both above 0",
                remedy="Leave the task out if either was not written down",
            )


@dataclass(frozen=True, slots=True)
class LearnedRate:
    """The rate of the next like task [h per unit], and the log that it was learned from."""

    rate: Uncertain
    logged_tasks: int
    logged_hours: float


def learned_rate(median: float, cv: float, logged: Sequence[LoggedTask] = ()) -> LearnedRate:
    """Return the rate to expect of the next task, from a prior guess and the tasks logged.

    With nothing logged the prior comes back as it was. The predictive distribution, a Student t
    of the logarithm, is given back as the log-normal of the same median and log-variance.

    Parameters
    ----------
    median : float, prior guess of the rate [h per unit of the task], above 0
    cv : float, coefficient of variation of the next task's rate, as guessed [1], above 0 to 10
    logged : sequence of LoggedTask, like tasks, quantity in the same unit and hours [h]

    Returns
    -------
    LearnedRate, log-normal rate [h per unit], number of tasks [1] and hours [h] that were logged

    Raises
    ------
    InputError
        When the prior is no log-normal value.

    Source: gelman2013, section 3.3 (normal data, conjugate prior for mean and variance).
    Checked against: tests/science/effort/test_rate.py (the posterior integrated on a grid).

    Example
    -------
    >>> before = learned_rate(0.5, 0.8)
    >>> after = learned_rate(0.5, 0.8, [LoggedTask(40, 30.0), LoggedTask(22, 18.0)])
    >>> round(before.rate.typical, 3), round(after.rate.typical, 3), after.logged_hours
    (0.5, 0.674, 48.0)
    """
    if not (0 < median < math.inf and 0 < cv <= WIDEST_CV):
        raise InputError(
            "A prior rate needs a positive median and a coefficient of variation",
            value=(median, cv),
            allowed="median above 0, cv above 0 to 10",
        )
    logs = np.log([task.hours / task.quantity for task in logged])
    n, weight, freedom = len(logs), PRIOR_TASKS, PRIOR_FREEDOM
    prior_mean = math.log(median)
    # The scatter that makes the prior predict exactly the cv that was guessed.
    scatter = math.log1p(cv * cv) * (freedom - 2) / freedom * weight / (weight + 1)
    sum_of_squares = freedom * scatter
    mean = prior_mean
    if n:
        own = float(np.mean(logs))
        mean = (weight * prior_mean + n * own) / (weight + n)
        sum_of_squares += float(np.sum((logs - own) ** 2))
        sum_of_squares += weight * n * (own - prior_mean) ** 2 / (weight + n)
    weight, freedom = weight + n, freedom + n
    variance = sum_of_squares / (freedom - 2) * (weight + 1) / weight
    # Cut before the exponential, which may overflow, and after it, which may round upwards.
    widest = min(variance, math.log1p(WIDEST_CV**2))
    cv = min(math.sqrt(math.expm1(widest)), WIDEST_CV)
    rate = Uncertain.log_normal(math.exp(mean), cv)
    return LearnedRate(rate, n, math.fsum(task.hours for task in logged))


def hours_of(quantity: Uncertain, rate: Uncertain, seed: int = 0) -> Uncertain:
    """Return the hours of a task that grows with a marked quantity.

    Parameters
    ----------
    quantity : Uncertain, length, area or number to be worked [unit of the task], 0 or more
    rate : Uncertain, hours for one unit [h per unit of the task], above 0
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Uncertain, hours [h]

    Raises
    ------
    InputError
        When a quantity may be negative.

    Source: jcgm101, section 7 (propagation of distributions).
    Checked against: tests/science/effort/test_rate.py.

    Example
    -------
    >>> hours = hours_of(Uncertain.exact(120.0), Uncertain.log_normal(0.5, 0.3))
    >>> round(hours.typical, 1)
    60.0
    """
    rng = np.random.default_rng(seed)
    amounts = quantity.draw(DRAWS, rng)
    if not np.all(amounts >= 0):
        raise InputError(
            "A quantity to be worked may be negative",
            value=f"down to {float(amounts.min()):g}",
            allowed="0 or more over its whole range",
            remedy="Give low, typical and high instead of a value and its uncertainty",
        )
    if np.ptp(amounts) == 0 and amounts[0] > 0:
        return rate.scaled(float(amounts[0]))
    return Uncertain.samples(amounts * rate.draw(DRAWS, rng))
