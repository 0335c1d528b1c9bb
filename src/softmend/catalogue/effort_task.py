"""A task of a plan: its hours by three points, or by a quantity and a rate learned from a log."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias

from pydantic import Field

from softmend.catalogue.computation import (
    Kind,
    Model,
    Number,
    Sourced,
    Words,
    WorkingValue,
    worked,
)
from softmend.errors import InputError
from softmend.science.distribution import Z_95
from softmend.science.effort.estimate import ThreePoint
from softmend.science.effort.rate import LoggedTask, hours_of, learned_rate
from softmend.science.effort.words import ENOUGH_LOGGED_HOURS, Evidence
from softmend.science.uncertain import Uncertain
from softmend.tables import Row, table

LOW_CONFIDENCE_CV = 1.0
"""Coefficient of variation of a rate that comes from the table of guesses."""

COUNTED = {
    "crack_cm": "cm of crack",
    "old_fill_cm": "cm of old fill",
    "coating_cm2": "cm² of coating",
    "surface_cm2": "cm² of surface",
    "fragments": "fragments",
}

CAUTIONS = (
    "The table's hours are one author's guess of low confidence: replace them by your own log.",
    "Hours are those of the bench; they never tell how fast one person is.",
)

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]
Hours: TypeAlias = Annotated[Number, Field(ge=0, le=100_000)]
AboveZero: TypeAlias = Annotated[Number, Field(ge=1e-6)]


class ThreePoints(Model):
    """The least, the most likely and the most hours: limits, not 5 and 95 % points."""

    by: Literal["three_points"]
    least_hours: Hours
    likely_hours: Hours
    most_hours: Hours


class LoggedWork(Model):
    """A like task that this bench has finished: how much, in how many hours."""

    quantity: AboveZero
    took_hours: Annotated[Number, Field(ge=1e-3, le=100_000)]


class GuessedRate(Model):
    """A guess of the hours for one unit: its median and its spread (sd over mean).

    `rests_on` says in words what it was taken from, such as a timed test.
    """

    median_hours: AboveZero
    cv: Annotated[Number, Field(gt=0, le=10)] = LOW_CONFIDENCE_CV
    rests_on: Words = ""
    kind: Kind = "estimated"
    origin: Words = "typed"


class ByQuantity(Model):
    """Hours that grow with a marked quantity, at a rate that the log teaches.

    `unit` names what is counted (cm of crack, cm2 of coating, fragment). The guess to begin with
    is `guess`, or the table's row `like`.
    """

    by: Literal["quantity"]
    quantity: Sourced
    unit: Name
    like: Name | None = None
    guess: GuessedRate | None = None
    log: Annotated[list[LoggedWork], Field(max_length=5000, default_factory=list)]


class TaskToDo(Model):
    """One task and how its hours are known."""

    name: Name
    effort: Annotated[ThreePoints | ByQuantity, Field(discriminator="by")]


@dataclass(frozen=True, slots=True)
class Effort:
    """The hours of one task [h], what they rest on, and the log behind them."""

    hours: Uncertain
    likely: float
    mean: float
    sd: float
    log: tuple[LoggedTask, ...] = ()
    guessed_from: str = "a guess"

    @property
    def logged_hours(self) -> float:
        """The hours of the log behind the task [h]."""
        return sum(task.hours for task in self.log)

    @property
    def rests_on(self) -> str:
        """What the hours rest on, in words."""
        if not self.log:
            return self.guessed_from
        tasks = "one like task" if len(self.log) == 1 else f"{len(self.log)} like tasks"
        return f"{tasks} logged, {self.logged_hours:.0f} h, and {self.guessed_from}"


def effort_of(task: TaskToDo, seed: int) -> Effort:
    """Return the hours of a task."""
    given = task.effort
    if isinstance(given, ThreePoints):
        points = ThreePoint(given.least_hours, given.likely_hours, given.most_hours)
        return Effort(points.uncertain(), points.likely, points.mean, points.sd)
    median, cv = _guess(task.name, given)
    log = tuple(LoggedTask(one.quantity, one.took_hours) for one in given.log)
    rate = learned_rate(median, cv, log).rate
    hours = hours_of(given.quantity.uncertain(), rate, seed)
    told = given.guess.rests_on if given.guess is not None and given.guess.rests_on else "a guess"
    return Effort(hours, hours.typical, hours.mean, hours.sd, log, told)


def evidence(efforts: Sequence[Effort]) -> Evidence:
    """Return how many like hours a plan's tasks have behind them, and for how much of it.

    A log that several tasks share counts once.
    """
    whole = sum(effort.mean for effort in efforts)
    learned = sum(effort.mean for effort in efforts if effort.log)
    logged = sum(task.hours for log in {effort.log for effort in efforts} for task in log)
    return Evidence(logged, learned / whole if whole > 0 else 0.0)


def effort_warnings(efforts: Sequence[Effort]) -> tuple[str, ...]:
    """Return what a plan's hours cannot carry yet."""
    rests = evidence(efforts)
    if rests.is_enough:
        return ()
    return (
        f"From guesses: {rests.logged_hours:.0f} of about {ENOUGH_LOGGED_HOURS:.0f} hours of like "
        f"tasks are logged, for {100 * rests.learned_share:.0f} % of this plan; no chance of a "
        "date is given yet.",
    )


def effort_working(tasks: Sequence[TaskToDo]) -> tuple[WorkingValue, ...]:
    """Return what each task's hours were made from, as lines of the working."""
    lines: list[WorkingValue] = []
    for task in tasks:
        given = task.effort
        if isinstance(given, ThreePoints):
            points = f"{given.least_hours:g} / {given.likely_hours:g} / {given.most_hours:g} h"
            lines.append(_line(f"{task.name}: least / likely / most", points, "typed"))
            continue
        median, cv = _guess(task.name, given)
        lines.append(
            worked(f"{task.name}: {COUNTED.get(given.unit, given.unit)}", given.quantity, "")
        )
        rate, origin = f"{median:.2g} h each, {_either_way(cv)}", _origin(given.like)
        if given.guess is not None:
            rate = f"{rate}; {given.guess.rests_on}" if given.guess.rests_on else rate
            origin = given.guess.origin
        kind = "estimated" if given.guess is None else given.guess.kind
        name = f"{task.name}: guessed rate"
        lines.append(WorkingValue(name=name, text=rate, kind=kind, origin=origin))
        logged = f"{len(given.log)} tasks, {sum(one.took_hours for one in given.log):g} h"
        lines.append(
            WorkingValue(name=f"{task.name}: logged", text=logged, kind="measured", origin="log")
        )
    return tuple(lines)


def refuse_twice(names: Sequence[str]) -> None:
    """Refuse a plan in which two tasks have one name."""
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise InputError(
            "Two tasks of a plan have one name", value=", ".join(twice), allowed="one name a task"
        )


def _guess(name: str, given: ByQuantity) -> tuple[float, float]:
    if given.guess is not None:
        return given.guess.median_hours, given.guess.cv
    if given.like is None:
        raise InputError(
            f"The task “{name}” has no rate to begin with",
            allowed="guess, or like",
            remedy="Guess the hours for one unit, or name a row of the table task_hours",
        )
    row = _row(given.like)
    if given.unit != row["grows_with"]:
        raise InputError(
            f"The table counts “{given.like}” in another unit than the task “{name}”",
            value=given.unit,
            allowed=row["grows_with"] if isinstance(row["grows_with"], str) else "",
            remedy="Give the quantity in that unit, or a guess of your own",
        )
    return float(row["likely_hours"] or 0) / float(row["nominal_quantity"] or 1), LOW_CONFIDENCE_CV


def _row(like: str) -> Row:
    rows = {str(row["task"]): row for row in table("task_hours").rows}
    if like not in rows:
        raise InputError("The table of hours has no such task", value=like, allowed=", ".join(rows))
    return rows[like]


def _either_way(cv: float) -> str:
    """Return the 5 and 95 % points of a log-normal rate as a factor, which a hand can reckon."""
    factor = math.exp(Z_95 * math.sqrt(math.log1p(cv * cv)))
    return f"to a factor of {factor:.2g} either way"


def _origin(like: str | None) -> str:
    return f"table:task_hours/{like}@{table('task_hours').version}"


def _line(name: str, text: str, origin: str) -> WorkingValue:
    return WorkingValue(name=name, text=text, kind="estimated", origin=origin)
