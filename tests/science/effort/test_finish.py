"""The end of a plan: exact plans by hand, sums against closed forms, and a slow simulation."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.effort.calendar import Calendar
from softmend.science.effort.estimate import ThreePoint
from softmend.science.effort.finish import Task, Wait, finish
from softmend.science.uncertain import Band, Uncertain
from softmend.tables import table

SEVEN_HOURS_A_DAY = Calendar(Uncertain.exact(35.0))


def task(name: str, hours: float, dries: float = 0.0, **more: object) -> Task:
    return Task(name, Uncertain.exact(hours), Uncertain.exact(dries) if dries else None, **more)


def of_the_table() -> list[Task]:
    names = ("least_hours", "likely_hours", "most_hours")
    return [
        Task(str(row["task"]), ThreePoint(*(float(row[name]) for name in names)).uncertain())
        for row in table("task_hours").rows
    ]


def flat(band: Band) -> float:
    assert band.low == pytest.approx(band.high)
    return band.typical


def test_a_fortnight_of_work_has_a_weekend_in_it() -> None:
    found = finish([task("fill", 70)], SEVEN_HOURS_A_DAY, n=100)
    assert flat(found.days) == pytest.approx(12.0)
    assert flat(found.hours) == pytest.approx(70.0)


def test_a_holiday_moves_the_end_by_a_day_and_a_weekend() -> None:
    calendar = Calendar(Uncertain.exact(35.0), days_off=frozenset({9}))
    assert flat(finish([task("fill", 70)], calendar, n=100).days) == pytest.approx(15.0)


def test_drying_and_consent_are_shown_apart_from_work() -> None:
    plan = [task("propose", 7, 4, wait=Wait.CONSENT), task("glue", 7, 3), task("fill", 7)]
    found = finish(plan, SEVEN_HOURS_A_DAY, n=100)
    # Monday, answer on Saturday; glued the next Monday, dry on Friday morning, filled on Friday.
    assert flat(found.days) == pytest.approx(12.0)
    assert flat(found.standing[Wait.CONSENT]) == pytest.approx(4.0)
    assert flat(found.standing[Wait.DRYING]) == pytest.approx(3.0)
    assert flat(found.standing[Wait.OTHER]) == 0.0
    assert [flat(bar.start) for bar in found.tasks] == pytest.approx([0.0, 7.0, 11.0])
    assert [flat(bar.end) for bar in found.tasks] == pytest.approx([1.0, 8.0, 12.0])
    assert flat(found.tasks[1].wait_end) == pytest.approx(11.0)


def test_other_work_goes_on_while_the_glue_dries() -> None:
    plan = [task("glue", 7, 3), task("report", 14, after=()), task("fill", 7, after=(0,))]
    found = finish(plan, SEVEN_HOURS_A_DAY, n=100)
    assert flat(found.tasks[1].start) == pytest.approx(1.0)
    assert flat(found.tasks[2].start) == pytest.approx(4.0)
    assert flat(found.standing[Wait.DRYING]) == pytest.approx(1.0)


def test_the_last_drying_counts() -> None:
    found = finish([task("glue", 7, 2.5)], SEVEN_HOURS_A_DAY, n=100)
    assert flat(found.days) == pytest.approx(3.5)
    assert flat(found.standing[Wait.DRYING]) == pytest.approx(2.5)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0, 40), st.floats(0, 20)), min_size=1, max_size=8),
    st.frozensets(st.integers(0, 6), min_size=1),
)
def test_a_plan_takes_its_work_and_its_standing_still_and_no_more(
    plan: list[tuple[float, float]], weekdays: frozenset[int]
) -> None:
    tasks = [task(str(i), hours, wait) for i, (hours, wait) in enumerate(plan)]
    calendar = Calendar(Uncertain.exact(7.0 * len(weekdays)), weekdays=weekdays)
    found = finish(tasks, calendar, n=100)
    from softmend.science.effort.calendar import worked_until

    all_days = worked_until(found.ends[:1], calendar.working_days())[0]
    standing = sum(flat(band) for band in found.standing.values())
    assert all_days == pytest.approx(sum(hours for hours, _ in plan) / 7 + standing, abs=1e-6)
    starts = [flat(bar.start) for bar in found.tasks]
    assert starts == sorted(starts)


def slow_end(hours: np.ndarray, waits: np.ndarray, hours_a_day: float) -> float:
    """Return the end of a plan by walking through it a hundredth of a day at a time."""
    step, time = 0.01, 0.0
    for work, wait in zip(hours, waits, strict=True):
        left = work
        while left > 1e-9:
            if int(time + 1e-9) % 7 < 5:
                left -= hours_a_day * step
            time += step
        time += wait
    return time


def test_the_simulation_agrees_with_walking_through_the_days() -> None:
    rng = np.random.default_rng(5)
    for _ in range(40):
        hours, waits = rng.uniform(1, 40, 5), rng.uniform(0, 6, 5)
        plan = [task(str(i), h, w) for i, (h, w) in enumerate(zip(hours, waits, strict=True))]
        found = finish(plan, SEVEN_HOURS_A_DAY, n=100)
        assert flat(found.days) == pytest.approx(slow_end(hours, waits, 7.0), abs=0.2)


def test_what_moves_together_widens_the_range_of_the_end() -> None:
    widths = []
    for shared in (0.0, 0.7, 1.0):
        days = finish(of_the_table(), Calendar(Uncertain.exact(20.0)), shared, seed=3).days
        widths.append(days.high - days.low)
    assert widths == sorted(widths)
    assert widths[2] > 2.5 * widths[0]


def test_the_same_seed_gives_the_same_end_and_the_widest_task_drives_it() -> None:
    first = finish(of_the_table(), SEVEN_HOURS_A_DAY, 0.0, seed=4)
    second = finish(of_the_table(), SEVEN_HOURS_A_DAY, 0.0, seed=4)
    assert np.array_equal(first.ends, second.ends)
    assert first.drivers[0].name == "old_fills_off"


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="A plan has too few or too many tasks; got 0"):
        finish([], SEVEN_HOURS_A_DAY)
    with pytest.raises(InputError, match="“b” waits for itself or a later one"):
        finish([task("a", 1), task("b", 1, after=(1,))], SEVEN_HOURS_A_DAY)
    with pytest.raises(InputError, match="The hours of a task may be negative; got a: "):
        finish([Task("a", Uncertain.normal(1, 2))], SEVEN_HOURS_A_DAY)
    with pytest.raises(InputError, match="The wait after “a” may be negative"):
        finish([Task("a", Uncertain.exact(1), Uncertain.normal(1, 2))], SEVEN_HOURS_A_DAY)
    with pytest.raises(InputError, match="The plan does not end within twenty years"):
        finish([task("a", 1, 1e7)], SEVEN_HOURS_A_DAY)
    with pytest.raises(InputError, match="The shared part of the spread is no share"):
        finish([task("a", 1)], SEVEN_HOURS_A_DAY, shared=1.5)
    with pytest.raises(InputError, match="The number of draws is out of range"):
        finish([task("a", 1)], SEVEN_HOURS_A_DAY, n=10)
