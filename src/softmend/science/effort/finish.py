"""When a plan ends: tasks at one bench, in order, with drying and waiting between them.

The tasks of one object move together (one bad adhesive spoils every step), so their hours share
a factor. While something dries or a consent is awaited, tasks that need not wait go on.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from softmend.errors import InputError
from softmend.science.effort.calendar import (
    LONGEST_DAYS,
    Calendar,
    time_of_end,
    time_of_start,
    worked_until,
)
from softmend.science.effort.together import DRAWS, DRAWS_FOR_DRIVERS, SHARED, shared_draws
from softmend.science.propagation import Driver, variance_share
from softmend.science.uncertain import Array, Band, Uncertain

MOST_TASKS = 500


class Wait(StrEnum):
    """Why time passes in which a task's result may not be touched or used."""

    DRYING = "drying"
    CONSENT = "consent"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Task:
    """One task of a plan: hours at the bench [h], then a wait [calendar d] for a reason.

    `after` holds the positions of the earlier tasks whose result and wait it needs; None is the
    task just before it.
    """

    name: str
    hours: Uncertain
    wait_days: Uncertain | None = None
    wait: Wait = Wait.DRYING
    after: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class TaskBand:
    """One task as a bar: hours [h], start, end and end of its wait [d from the first morning]."""

    name: str
    hours: Band
    start: Band
    end: Band
    wait_end: Band


@dataclass(frozen=True, slots=True)
class Finish:
    """The end of a plan: days [d], bench hours [h], what the bench stands still for, the bars.

    `ends` holds one end a draw [d]; `standing` the working days without a task that may be
    worked, by reason [d]; `drivers` the tasks that spread the end most.
    """

    ends: Array
    days: Band
    hours: Band
    standing: Mapping[Wait, Band]
    tasks: tuple[TaskBand, ...]
    drivers: tuple[Driver, ...]


def finish(
    tasks: Sequence[Task],
    calendar: Calendar,
    shared: float = SHARED,
    n: int = DRAWS,
    seed: int = 0,
) -> Finish:
    """Return when a plan ends and when each of its tasks starts and ends, by simulation.

    Parameters
    ----------
    tasks : sequence of Task, in the order in which the bench takes them, 1 to 500
    calendar : Calendar, when the bench is worked
    shared : float, share of the variance of hours that all tasks have in common [1], 0 to 1
    n : int, draws [1], 100 to 200 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Finish, days from the first morning [d], hours [h], and a band for every task [d]

    Raises
    ------
    InputError
        When an argument is out of range, hours may be negative, or a task waits for a later one.

    Source: own; jcgm101, section 7.
    Checked against: tests/science/effort/test_finish.py.

    Example
    -------
    >>> glue = Task("bond", Uncertain.exact(14.0), Uncertain.exact(2.0))
    >>> fill = Task("fill", Uncertain.exact(7.0))
    >>> found = finish([glue, fill], Calendar(Uncertain.exact(35.0)), n=100)
    >>> round(found.days.typical, 6), found.standing[Wait.DRYING].typical
    (5.0, 2.0)
    """
    _check(tasks, shared, n)
    rng = np.random.default_rng(seed)
    hours = shared_draws([task.hours for task in tasks], shared, n, rng)
    if not np.all(hours >= 0):
        worst = tasks[int(np.argmin(hours.min(axis=1)))]
        raise InputError(
            "The hours of a task may be negative",
            value=f"{worst.name}: {worst.hours.band.low:g} h at the low point",
            allowed="0 or more over the whole range",
            remedy="Give least, likely and most",
        )
    waits = np.stack([_wait(task, n, rng) for task in tasks])
    starts, ends, standing = _worked(tasks, hours, waits, calendar, rng)
    free = ends + waits
    finished = free.max(axis=0)
    if finished.max() > LONGEST_DAYS:
        raise InputError(
            "The plan does not end within twenty years",
            value=f"{float(finished.max()):.0f} days",
            allowed=f"at most {LONGEST_DAYS}",
            remedy="Look at the waits, and at the bench hours a week",
        )
    few = slice(DRAWS_FOR_DRIVERS)
    shares = [
        Driver(task.name, variance_share((h + w)[few], finished[few]))
        for task, h, w in zip(tasks, hours, waits, strict=True)
    ]
    return Finish(
        finished,
        Band.of(finished),
        Band.of(hours.sum(axis=0)),
        {wait: Band.of(days) for wait, days in standing.items()},
        tuple(
            TaskBand(task.name, Band.of(h), Band.of(s), Band.of(e), Band.of(f))
            for task, h, s, e, f in zip(tasks, hours, starts, ends, free, strict=True)
        ),
        tuple(sorted(shares, key=lambda driver: -driver.share)),
    )


def _check(tasks: Sequence[Task], shared: float, n: int) -> None:
    if not 1 <= len(tasks) <= MOST_TASKS:
        raise InputError(
            "A plan has too few or too many tasks",
            value=len(tasks),
            allowed=f"1 to {MOST_TASKS}",
        )
    if not 0 <= shared <= 1:
        raise InputError(
            "The shared part of the spread is no share", value=shared, allowed="0 to 1"
        )
    if not 100 <= n <= 200_000:
        raise InputError("The number of draws is out of range", value=n, allowed="100 to 200 000")
    for position, task in enumerate(tasks):
        if any(not 0 <= one < position for one in task.after or ()):
            raise InputError(
                f"The task “{task.name}” waits for itself or a later one",
                value=task.after,
                allowed="positions of earlier tasks, the first is 0",
                remedy="Put the tasks in the order in which the bench takes them",
            )


def _wait(task: Task, n: int, rng: np.random.Generator) -> Array:
    if task.wait_days is None:
        return np.zeros(n)
    days: Array = shared_draws([task.wait_days], 0.0, n, rng)[0]
    if not np.all(days >= 0):
        raise InputError(
            f"The wait after “{task.name}” may be negative",
            value=f"{float(days.min()):g} d",
            allowed="0 or more over its whole range",
            remedy="Give low, typical and high instead of a value and its uncertainty",
        )
    return days


def _worked(
    tasks: Sequence[Task],
    hours: Array,
    waits: Array,
    calendar: Calendar,
    rng: np.random.Generator,
) -> tuple[Array, Array, dict[Wait, Array]]:
    """Return start and end of every task, and the working days that the bench stands still."""
    n = hours.shape[1]
    working_days = calendar.working_days()
    days = hours / calendar.hours_a_day(n, rng)
    starts, ends = np.empty_like(hours), np.empty_like(hours)
    standing = {wait: np.zeros(n) for wait in Wait}
    bench_free, done = np.zeros(n), np.zeros(n)
    for position, task in enumerate(tasks):
        needed = (position - 1,) if task.after is None and position else task.after or ()
        ready = bench_free.copy()
        reason = np.full(n, -1)
        for one in needed:
            later = ends[one] + waits[one]
            reason = np.where(later > ready, one, reason)
            ready = np.maximum(ready, later)
        begun = worked_until(ready, working_days)
        _add(standing, tasks, reason, begun - done)
        done = begun + days[position]
        starts[position] = time_of_start(begun, working_days)
        ends[position] = bench_free = np.maximum(ready, time_of_end(done, working_days))
    left = (ends + waits).max(axis=0)
    last = (ends + waits).argmax(axis=0)
    _add(standing, tasks, last, worked_until(left, working_days) - done)
    return starts, ends, standing


def _add(standing: dict[Wait, Array], tasks: Sequence[Task], reason: Array, idle: Array) -> None:
    waits = np.array([list(Wait).index(task.wait) for task in tasks])
    for number, wait in enumerate(Wait):
        standing[wait] += np.where((reason >= 0) & (waits[reason] == number), idle, 0.0)
