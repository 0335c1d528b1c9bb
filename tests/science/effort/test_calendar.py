"""Bench hours to calendar days against numpy's own business days."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.effort.calendar import (
    Calendar,
    time_of_end,
    time_of_start,
    worked_until,
)
from softmend.science.uncertain import Uncertain

MONDAY = np.datetime64("2026-11-02")
WEEK = Uncertain.exact(35.0)

calendars = st.builds(
    Calendar,
    st.just(WEEK),
    st.integers(0, 6),
    st.frozensets(st.integers(0, 6), min_size=1),
    st.frozensets(st.integers(0, 120), max_size=20),
)


def numpy_calendar(calendar: Calendar) -> tuple[np.datetime64, np.busdaycalendar]:
    """Return the same calendar as numpy knows it, and its first day."""
    start = MONDAY + calendar.first_weekday
    mask = [day in calendar.weekdays for day in range(7)]
    return start, np.busdaycalendar(mask, [start + day for day in calendar.days_off])


@settings(deadline=None)
@given(calendars, st.integers(0, 200))
def test_whole_days_are_counted_as_numpy_counts_them(calendar: Calendar, day: int) -> None:
    start, oracle = numpy_calendar(calendar)
    found = worked_until(np.array([float(day)]), calendar.working_days())
    assert found[0] == np.busday_count(start, start + day, busdaycal=oracle)


@settings(deadline=None)
@given(calendars, st.integers(0, 60))
def test_work_starts_on_the_day_that_numpy_finds(calendar: Calendar, worked: int) -> None:
    start, oracle = numpy_calendar(calendar)
    day = np.busday_offset(start, worked, roll="forward", busdaycal=oracle)
    found = time_of_start(np.array([float(worked)]), calendar.working_days())
    assert found[0] == (day - start).astype(int)


@settings(deadline=None)
@given(calendars, st.integers(1, 60))
def test_a_full_day_ends_on_its_own_evening(calendar: Calendar, worked: int) -> None:
    start, oracle = numpy_calendar(calendar)
    last = np.busday_offset(start, worked - 1, roll="forward", busdaycal=oracle)
    found = time_of_end(np.array([float(worked)]), calendar.working_days())
    assert found[0] == (last - start).astype(int) + 1


@settings(deadline=None)
@given(calendars, st.floats(0, 60))
def test_there_and_back_is_the_same_work(calendar: Calendar, worked: float) -> None:
    days = calendar.working_days()
    for way in (time_of_start, time_of_end):
        back = worked_until(way(np.array([worked]), days), days)
        assert back[0] == pytest.approx(worked, abs=1e-6)


def test_rounding_does_not_push_a_full_week_over_the_weekend() -> None:
    days = Calendar(WEEK).working_days()
    assert time_of_end(np.array([0.1 * 50 + 1e-13]), days)[0] == pytest.approx(5.0)


def test_a_calendar_without_work_is_refused() -> None:
    with pytest.raises(InputError, match="The weekdays of a calendar are wrong"):
        Calendar(WEEK, weekdays=frozenset())
    with pytest.raises(InputError, match="The weekdays of a calendar are wrong"):
        Calendar(WEEK, first_weekday=7)
    with pytest.raises(InputError, match="The bench hours of a week are out of range; got 0 to 0"):
        Calendar(Uncertain.exact(0)).hours_a_day(5, np.random.default_rng(0))


def test_work_without_end_is_refused() -> None:
    with pytest.raises(InputError, match="The work does not end within twenty years"):
        time_of_end(np.array([9000.0]), Calendar(WEEK).working_days())
