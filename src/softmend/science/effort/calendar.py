"""From bench hours to calendar days and back: weekdays worked, days off, hours a week.

Time is in days from the morning of the first day; the bench hours of a day are spread evenly over
it, since nobody plans by the minute.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.science.uncertain import Array, Uncertain

MONDAY_TO_FRIDAY = frozenset(range(5))
LONGEST_DAYS = 20 * 365
"""Twenty years: a plan that does not end in them is no plan."""

# Far below a second: a full day that is out by rounding must not end on the next Monday.
_ROUNDING_DAYS = 1e-9


@dataclass(frozen=True, slots=True)
class Calendar:
    """When the bench is worked.

    `first_weekday` is the weekday of day 0 (Monday is 0), `weekdays` those that are worked,
    `days_off` the days from the start that are not, `hours_a_week` the bench hours of a week
    without a day off [h], uncertain or exact.
    """

    hours_a_week: Uncertain
    first_weekday: int = 0
    weekdays: Set[int] = MONDAY_TO_FRIDAY
    days_off: Set[int] = field(default_factory=frozenset)

    def __post_init__(self) -> None:
        """Refuse a calendar on which no work is done."""
        if not self.weekdays or not set(self.weekdays) | {self.first_weekday} <= set(range(7)):
            raise InputError(
                "The weekdays of a calendar are wrong",
                value=sorted(self.weekdays),
                allowed="one or more of 0 (Monday) to 6 (Sunday)",
            )

    def working_days(self) -> NDArray[np.int64]:
        """Return the days that are worked, counted from the start, over twenty years."""
        days = np.arange(LONGEST_DAYS)
        worked = np.isin((days + self.first_weekday) % 7, sorted(self.weekdays))
        return days[worked & ~np.isin(days, sorted(self.days_off))]

    def hours_a_day(self, n: int, rng: np.random.Generator) -> Array:
        """Return draws of the bench hours of one working day [h]."""
        hours = self.hours_a_week.draw(n, rng)
        if not np.all((hours > 0) & (hours <= 24 * len(self.weekdays))):
            raise InputError(
                "The bench hours of a week are out of range",
                value=f"{float(hours.min()):g} to {float(hours.max()):g} h",
                allowed=f"above 0 to {24 * len(self.weekdays)} h on {len(self.weekdays)} weekdays",
            )
        return hours / len(self.weekdays)


def worked_until(time: Array, working_days: NDArray[np.int64]) -> Array:
    """Return how many working days have passed by a time.

    Parameters
    ----------
    time : numpy array, times from the morning of day 0 [d], 0 or more
    working_days : numpy array, the days that are worked, rising [d]

    Returns
    -------
    numpy array, working days, parts of a day counted [d]

    Source: own.
    Checked against: tests/science/effort/test_calendar.py (numpy.busday_count).

    Example
    -------
    >>> import numpy as np
    >>> worked_until(np.array([0.5, 5.0, 6.5, 7.5]), np.array([0, 1, 2, 3, 4, 7])).tolist()
    [0.5, 5.0, 5.0, 5.5]
    """
    day = np.floor(time)
    before = np.searchsorted(working_days, day, side="left")
    today = working_days[np.minimum(before, working_days.size - 1)] == day
    return np.asarray(before + np.where(today, time - day, 0.0))


def time_of_start(worked: Array, working_days: NDArray[np.int64]) -> Array:
    """Return when work starts that has so many working days before it.

    Parameters
    ----------
    worked : numpy array, working days before the start [d], 0 or more
    working_days : numpy array, the days that are worked, rising [d]

    Returns
    -------
    numpy array, times from the morning of day 0 [d]

    Raises
    ------
    InputError
        When the calendar ends before the work starts.

    Source: own.
    Checked against: tests/science/effort/test_calendar.py (numpy.busday_offset).

    Example
    -------
    >>> import numpy as np
    >>> time_of_start(np.array([0.5, 5.0]), np.array([0, 1, 2, 3, 4, 7])).tolist()
    [0.5, 7.0]
    """
    return _time(worked, np.floor(worked + _ROUNDING_DAYS), working_days)


def time_of_end(worked: Array, working_days: NDArray[np.int64]) -> Array:
    """Return when work ends that fills so many working days; a full day ends on its own evening.

    Parameters
    ----------
    worked : numpy array, working days at the end [d], 0 or more
    working_days : numpy array, the days that are worked, rising [d]

    Returns
    -------
    numpy array, times from the morning of day 0 [d]

    Raises
    ------
    InputError
        When the calendar ends before the work does.

    Source: own.
    Checked against: tests/science/effort/test_calendar.py (numpy.busday_offset).

    Example
    -------
    >>> import numpy as np
    >>> time_of_end(np.array([0.5, 5.0, 5.5]), np.array([0, 1, 2, 3, 4, 7])).tolist()
    [0.5, 5.0, 7.5]
    """
    return _time(worked, np.maximum(np.ceil(worked - _ROUNDING_DAYS) - 1, 0), working_days)


def _time(worked: Array, whole: Array, working_days: NDArray[np.int64]) -> Array:
    if whole.size and whole.max() >= working_days.size:
        raise InputError(
            "The work does not end within twenty years",
            value=f"{float(worked.max()):.0f} working days",
            allowed=f"fewer than {working_days.size}",
            remedy="Plan more bench hours a week, or less work",
        )
    return np.asarray(working_days[whole.astype(np.int64)] + (worked - whole))
