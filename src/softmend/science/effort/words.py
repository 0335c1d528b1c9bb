"""What may be said of a date: weeks in words from guesses, and a chance only from a bench's log."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from softmend.errors import InputError
from softmend.science.uncertain import Array, Band

ENOUGH_LOGGED_HOURS = 100.0
"""Hours of like tasks that this bench must have logged before a chance of a date is given."""

ENOUGH_LEARNED_SHARE = 0.5
"""Share of the plan's mean hours in tasks with a log of their own; 100 hours of cleaning say
nothing of a plan that is all filling (our own choice)."""

DAYS_A_WEEK = 7.0


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a plan rests on: like hours logged [h], and the share of it they speak for [1]."""

    logged_hours: float
    learned_share: float

    @property
    def is_enough(self) -> bool:
        """Whether a chance of a date may be given."""
        return (
            self.logged_hours >= ENOUGH_LOGGED_HOURS and self.learned_share >= ENOUGH_LEARNED_SHARE
        )


def weeks_text(days: Band, evidence: Evidence) -> str:
    """Return the weeks that a plan takes as a range in words, saying what it rests on.

    Parameters
    ----------
    days : Band, days from the start to the end [d], 0 or more
    evidence : Evidence, what the plan rests on

    Returns
    -------
    str, such as '9 to 16 weeks, from guesses'; the ends are rounded outwards

    Raises
    ------
    InputError
        When the band does not start at 0 or later.

    Source: softmend-practice, section 2.9.
    Checked against: tests/science/effort/test_words.py.

    Example
    -------
    >>> weeks_text(Band(65.0, 80.0, 110.0), Evidence(0.0, 0.0))
    '9 to 16 weeks, from guesses'
    >>> weeks_text(Band(65.0, 80.0, 110.0), Evidence(140.0, 0.8))
    '9 to 16 weeks, from 140 logged hours'
    """
    if not 0 <= days.low <= days.high:
        raise InputError("A plan ends before it starts", value=days.low, allowed="0 or more")
    low = math.floor(days.low / DAYS_A_WEEK + 1e-9)
    high = max(1, math.ceil(days.high / DAYS_A_WEEK - 1e-9))
    if high <= 1:
        weeks = "less than a week" if days.high < DAYS_A_WEEK else "about a week"
    elif low == 0:
        weeks = f"up to {high} weeks"
    else:
        weeks = f"{low} to {high} weeks" if low < high else f"about {high} weeks"
    rests = "guesses"
    if evidence.is_enough:
        rests = f"{evidence.logged_hours:.0f} logged hours"
    return f"{weeks}, from {rests}"


def chance_by(ends: Array, day: float, evidence: Evidence) -> float | None:
    """Return the chance that a plan has ended by a day, if the bench's log allows to say so.

    Parameters
    ----------
    ends : numpy array, simulated ends, one a draw [d from the first morning]
    day : float, the evening that counts [d from the first morning], 0 or more
    evidence : Evidence, what the plan rests on

    Returns
    -------
    float or None, chance [1]; None while the log is too thin

    Raises
    ------
    InputError
        When the day lies before the start.

    Source: softmend-practice, section 2.9.
    Checked against: tests/science/effort/test_words.py.

    Example
    -------
    >>> import numpy as np
    >>> chance_by(np.array([10.0, 20.0, 30.0, 40.0]), 31.0, Evidence(120.0, 0.9))
    0.75
    >>> chance_by(np.array([10.0, 20.0, 30.0, 40.0]), 31.0, Evidence(20.0, 0.9)) is None
    True
    """
    if day < 0:
        raise InputError("The day asked for lies before the start", value=day, allowed="0 or more")
    return float(np.mean(ends <= day)) if evidence.is_enough else None


def date_text(days: Band, day: float, chance: float | None) -> str:
    """Return how a day stands to a plan: in words from guesses, as a chance from a log.

    Parameters
    ----------
    days : Band, days from the start to the end [d]
    day : float, the evening that counts [d from the first morning]
    chance : float or None, chance that the plan has ended by then [1]; None is not to be said

    Returns
    -------
    str, one clause; a chance is rounded to 5 %, and neither 0 % nor 100 % is ever said

    Source: softmend-practice, section 2.9; the steps of 5 % are our own choice.
    Checked against: tests/science/effort/test_words.py.

    Example
    -------
    >>> date_text(Band(65.0, 80.0, 110.0), 98.0, None)
    'the date lies inside the range, later than the middle'
    >>> date_text(Band(65.0, 80.0, 110.0), 98.0, 0.83)
    'ready by the date in about 85 of 100 cases'
    """
    if chance is None:
        if day < days.low:
            return "the date lies before the range"
        if day >= days.high:
            return "the date lies after the range"
        half = "later" if day >= days.typical else "earlier"
        return f"the date lies inside the range, {half} than the middle"
    if chance < 0.05:
        return "ready by the date in fewer than 5 of 100 cases"
    if chance > 0.95:
        return "ready by the date in more than 95 of 100 cases"
    return f"ready by the date in about {5 * round(20 * chance)} of 100 cases"
