"""Hours of a plan, and the weeks until it ends; no person goes in and none comes out."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import Annotated, Literal, TypeAlias

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
    Sourced,
    WorkingValue,
    estimate,
    worked,
)
from softmend.catalogue.effort_task import (
    CAUTIONS,
    Effort,
    Name,
    TaskToDo,
    effort_of,
    effort_warnings,
    effort_working,
    evidence,
    refuse_twice,
)
from softmend.errors import InputError
from softmend.science.effort.calendar import Calendar
from softmend.science.effort.finish import Finish, Task, Wait, finish
from softmend.science.effort.together import SHARED, hours_together
from softmend.science.effort.words import chance_by, date_text, weeks_text
from softmend.science.uncertain import Band

Weekday: TypeAlias = Literal[
    "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"
]
MONDAY_TO_FRIDAY: tuple[Weekday, ...] = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday")
WEEKDAYS: tuple[Weekday, ...] = (*MONDAY_TO_FRIDAY, "Saturday", "Sunday")
SharedPart: TypeAlias = Annotated[Number, Field(ge=0, le=1)]


class HoursInput(Model):
    """The tasks of a plan, and how far their hours move together (0 apart, 1 together)."""

    tasks: Annotated[list[TaskToDo], Field(min_length=1, max_length=500)]
    move_together: SharedPart = SHARED


class TaskHours(Model):
    """The hours of one task, and what they rest on."""

    name: str
    hours: Estimate
    rests_on: str


class HoursAnswer(Answer):
    """Hours of each task and of all; the truth of the sd lies between apart and together."""

    tasks: tuple[TaskHours, ...]
    total_hours: Estimate
    likely_hours: float
    mean_hours: float
    sd_apart_hours: float
    sd_together_hours: float
    logged_hours: float


class PlannedTask(TaskToDo):
    """A task in the order of the bench: its hours, then drying or waiting in calendar days.

    `after` names the earlier tasks whose result it needs; left out, it is the one before.
    """

    wait_days: Sourced | None = None
    wait: Literal["drying", "consent", "other"] = "drying"
    after: Annotated[list[Name], Field(max_length=500)] | None = None


class FinishInput(Model):
    """A plan, the bench's calendar, and the day it is wanted by."""

    tasks: Annotated[list[PlannedTask], Field(min_length=1, max_length=500)]
    start_on: Annotated[date, Field(ge=date(1900, 1, 1), le=date(2999, 12, 31))]
    wanted_on: date | None = None
    bench_hours: Sourced
    weekdays: Annotated[tuple[Weekday, ...], Field(min_length=1, max_length=7)] = MONDAY_TO_FRIDAY
    days_off: Annotated[tuple[date, ...], Field(max_length=5000)] = ()
    move_together: SharedPart = SHARED


class DayBand(Model):
    """The 5, 50 and 95 % points of a moment, in days from the first morning."""

    low_days: float
    typical_days: float
    high_days: float


class TaskBar(Model):
    """One task as a bar of a picture: start, end, and end of its wait."""

    name: str
    start: DayBand
    end: DayBand
    wait_end: DayBand
    wait: str


class StandingStill(Model):
    """Working days without a task that may be worked, and why."""

    because: str
    working_days: DayBand


class FinishAnswer(Answer):
    """When a plan ends: in words from guesses, with a chance only from a log.

    `chance_percent` goes in steps of 5, never below 5 nor above 95.
    """

    text: str
    early_on: date
    middle_on: date
    late_on: date
    wanted_text: str = ""
    chance_percent: float | None = None
    logged_hours: float
    standing_still: tuple[StandingStill, ...]
    bars: tuple[TaskBar, ...]
    drivers: tuple[str, ...]


def effort_hours(given: HoursInput, asked: Asked) -> HoursAnswer:
    """Return the hours of each task and their sum, with both standard deviations."""
    refuse_twice([task.name for task in given.tasks])
    efforts = [effort_of(task, asked.seed) for task in given.tasks]
    hours = {task.name: effort.hours for task, effort in zip(given.tasks, efforts, strict=True)}
    found = hours_together(hours, given.move_together, seed=asked.seed)
    return HoursAnswer(
        tasks=tuple(
            TaskHours(name=name, hours=estimate(one, 1.0, "h"), rests_on=effort.rests_on)
            for name, one, effort in zip(hours, found.each, efforts, strict=True)
        ),
        total_hours=estimate(found.total, 1.0, "h"),
        likely_hours=sum(effort.likely for effort in efforts),
        mean_hours=sum(effort.mean for effort in efforts),
        sd_apart_hours=math.hypot(*(effort.sd for effort in efforts)),
        sd_together_hours=sum(effort.sd for effort in efforts),
        logged_hours=evidence(efforts).logged_hours,
        warnings=effort_warnings(efforts),
        working=(*effort_working(given.tasks), _moves_together(given.move_together)),
    )


def effort_finish(given: FinishInput, asked: Asked) -> FinishAnswer:
    """Return the range of weeks until a plan ends, its bars, and how a wanted day stands to it."""
    names = [task.name for task in given.tasks]
    refuse_twice(names)
    efforts = [effort_of(task, asked.seed) for task in given.tasks]
    tasks = [_task(task, effort, names) for task, effort in zip(given.tasks, efforts, strict=True)]
    found = finish(tasks, _calendar(given), given.move_together, seed=asked.seed)
    rests = evidence(efforts)
    wanted_text, chance = "", None
    if given.wanted_on is not None:
        day = _evening(given.wanted_on, given.start_on)
        chance = chance_by(found.ends, day, rests)
        wanted_text = date_text(found.days, day, chance)
    return FinishAnswer(
        text=weeks_text(found.days, rests),
        early_on=_date(given.start_on, found.days.low),
        middle_on=_date(given.start_on, found.days.typical),
        late_on=_date(given.start_on, found.days.high),
        wanted_text=wanted_text,
        chance_percent=None if chance is None else min(95.0, max(5.0, 5.0 * round(20 * chance))),
        logged_hours=rests.logged_hours,
        standing_still=tuple(
            StandingStill(because=wait.value, working_days=_band(days))
            for wait, days in found.standing.items()
            if days.high > 0
        ),
        bars=_bars(given, found),
        drivers=tuple(one.name for one in found.drivers[:3]),
        warnings=effort_warnings(efforts),
        working=_finish_working(given),
    )


def _task(task: PlannedTask, effort: Effort, names: list[str]) -> Task:
    after = None
    if task.after is not None:
        unknown = [name for name in task.after if name not in names]
        if unknown:
            raise InputError(
                f"“{task.name}” comes after a task that is not in the plan",
                value=", ".join(unknown),
                allowed="names of earlier tasks",
            )
        after = tuple(names.index(name) for name in task.after)
    waits = task.wait_days.uncertain() if task.wait_days is not None else None
    return Task(task.name, effort.hours, waits, Wait(task.wait), after)


def _calendar(given: FinishInput) -> Calendar:
    return Calendar(
        given.bench_hours.uncertain(),
        given.start_on.weekday(),
        frozenset(WEEKDAYS.index(day) for day in given.weekdays),
        frozenset((day - given.start_on).days for day in given.days_off),
    )


def _evening(wanted_on: date, start_on: date) -> float:
    if wanted_on < start_on:
        raise InputError(
            "The day it is wanted by lies before the start",
            value=wanted_on,
            allowed=f"{start_on} or later",
        )
    return (wanted_on - start_on).days + 1.0


def _date(start_on: date, days: float) -> date:
    """Return the day on which a moment falls; an evening belongs to the day that it ends."""
    return start_on + timedelta(days=max(0, math.ceil(days - 1e-6) - 1))


def _band(band: Band) -> DayBand:
    return DayBand(low_days=band.low, typical_days=band.typical, high_days=band.high)


def _bars(given: FinishInput, found: Finish) -> tuple[TaskBar, ...]:
    return tuple(
        TaskBar(
            name=bar.name,
            start=_band(bar.start),
            end=_band(bar.end),
            wait_end=_band(bar.wait_end),
            wait=task.wait if task.wait_days is not None else "",
        )
        for task, bar in zip(given.tasks, found.tasks, strict=True)
    )


def _moves_together(shared: float) -> WorkingValue:
    return WorkingValue(
        name="how far hours move together", text=f"{shared:g}", kind="estimated", origin="typed"
    )


def _finish_working(given: FinishInput) -> tuple[WorkingValue, ...]:
    calendar = f"{', '.join(given.weekdays)}, {len(given.days_off)} days off, from {given.start_on}"
    return (
        *effort_working(given.tasks),
        *(
            worked(f"{task.name}: {task.wait}", task.wait_days, "d")
            for task in given.tasks
            if task.wait_days is not None
        ),
        worked("bench hours a week", given.bench_hours, "h"),
        WorkingValue(name="calendar", text=calendar, kind="measured", origin="typed"),
        _moves_together(given.move_together),
    )


COMPUTATIONS = {
    "effort.hours": Computation(
        name="effort.hours",
        title="Hours of a plan",
        input_model=HoursInput,
        output_model=HoursAnswer,
        function=effort_hours,
        formula="mean = (least + 4 likely + most) / 6, sd = (most - least) / 6; or quantity times "
        "a log-normal rate, brought up to date by the log",
        sources=("malcolm1959", "gelman2013", "li2000", "softmend-practice"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_effort.py",
    ),
    "effort.finish": Computation(
        name="effort.finish",
        title="The weeks until a plan ends",
        input_model=FinishInput,
        output_model=FinishAnswer,
        function=effort_finish,
        formula="simulation: tasks in order at one bench, hours with a shared factor, waits in "
        "calendar days, the bench's own calendar",
        sources=("jcgm101", "li2000", "softmend-practice"),
        cautions=(
            *CAUTIONS,
            "One bench, tasks in the order given; work that is found on the way is not in it.",
        ),
        checked="tests/catalogue/test_effort.py",
    ),
}
