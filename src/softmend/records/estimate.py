"""An estimate of hours and weeks: what was planned, on what basis, and what came out of it.

An estimate has a class, a date and a basis. It is never replaced: a firmer one is a further
record, and the earlier ones stay to be compared. No field names a person.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum

from softmend.errors import InputError, RuleError
from softmend.records.bookkeeping import Run

LONGEST_PLAN_DAYS = 20 * 365
MONDAY_TO_FRIDAY = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday")
WEEKDAYS = (*MONDAY_TO_FRIDAY, "Saturday", "Sunday")


class EstimateClass(Enum):
    """How firm an estimate is: successive ones go from rough to firm."""

    ROUGH = "rough: before the examination"
    EXAMINED = "from the examination: quantities are marked"
    TESTED = "firm: tests and patches are done"


class WaitFor(Enum):
    """Why the bench waits after a task; drying and waiting for a consent are shown apart."""

    DRYING = "drying"
    CONSENT = "consent"
    OTHER = "other"


@dataclass(frozen=True)
class ThreeHours:
    """The least, the likely and the most bench hours of a task: limits, as a person gives them."""

    least_hours: float
    likely_hours: float
    most_hours: float


@dataclass(frozen=True)
class Pace:
    """How much of a task's quantity one bench hour does, in its unit, and where that comes from.

    `rests_on` says it in words with the mark of the number; `entry_id` is the entry that says so,
    or empty for a pace that was typed into the plan.
    """

    quantity_each_hour: float
    rests_on: str
    entry_id: str = ""


@dataclass(frozen=True)
class WaitAfter:
    """A wait after a task in calendar days: its 5, 50 and 95 % points, and what is waited for."""

    low_days: float
    typical_days: float
    high_days: float
    wait_for: WaitFor = WaitFor.DRYING


@dataclass(frozen=True)
class PlanTask:
    """One task of a plan, in the order of the bench.

    `like` names the row of the table of hours whose guess and log it learns from, or is empty.
    Without `hours` it grows with a quantity: with the typed one, or else with what is marked; at
    `pace`, or else at the table's guess.
    `after` names the tasks whose result it needs; None is the task just before it.
    """

    name: str
    like: str = ""
    hours: ThreeHours | None = None
    quantity: float | None = None
    wait: WaitAfter | None = None
    after: tuple[str, ...] | None = None
    pace: Pace | None = None


@dataclass(frozen=True)
class DaysOff:
    """Days on which the bench is not worked, the last one included."""

    first_on: str
    last_on: str


@dataclass(frozen=True)
class BenchCalendar:
    """When the bench is worked: hours a week (5, 50 and 95 % points), weekdays, days off."""

    start_on: str
    low_hours: float
    typical_hours: float
    high_hours: float
    weekdays: tuple[str, ...] = MONDAY_TO_FRIDAY
    days_off: tuple[DaysOff, ...] = ()

    def dates_off(self) -> list[str]:
        """Return every single day off, in order, each once."""
        found = {
            (date.fromisoformat(off.first_on) + timedelta(days=day)).isoformat()
            for off in self.days_off
            for day in range(_days_between(off) + 1)
        }
        return sorted(found)


@dataclass(frozen=True)
class Plan:
    """The tasks of a treatment in the order of the bench, and the bench's calendar."""

    tasks: tuple[PlanTask, ...]
    calendar: BenchCalendar


@dataclass(frozen=True)
class Estimate:
    """One estimate: class, date, basis, plan, and the two computations as they were run."""

    number: int
    estimate_class: EstimateClass
    estimated_on: str
    basis: str
    plan: Plan
    hours_run: Run
    weeks_run: Run


def checked_basis(estimate_class: EstimateClass, basis: str) -> str:
    """Return the basis of an estimate; without one it is a number that nobody can judge."""
    if not basis.strip():
        raise RuleError(
            f"An estimate ({estimate_class.value}) needs its basis",
            remedy="Say in a few words what it rests on, for example “seen once, not cleaned”",
        )
    return basis.strip()


def checked_plan(plan: Plan) -> Plan:
    """Return a plan if its tasks and its calendar can be worked."""
    if not plan.tasks:
        raise InputError("A plan needs a task", value=0, allowed="1 or more", remedy="Choose one")
    names = [task.name.strip() for task in plan.tasks]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise InputError(
            "Two tasks of a plan have one name",
            value=", ".join(twice),
            allowed="one name a task",
            remedy="Say in the names what tells them apart",
        )
    for position, task in enumerate(plan.tasks):
        _check_task(task, names[:position])
    _check_calendar(plan.calendar)
    return plan


def _check_task(task: PlanTask, before: list[str]) -> None:
    if not task.name.strip():
        raise InputError("A task needs a name", remedy="Say in a few words what is done")
    if task.hours is not None:
        points = (task.hours.least_hours, task.hours.likely_hours, task.hours.most_hours)
        _check_order(f"The hours of “{task.name}”", points, "h")
    elif not task.like:
        raise InputError(
            f"The hours of “{task.name}” are not given",
            remedy="Give the least, the likely and the most",
        )
    if task.quantity is not None and not 0 < task.quantity < math.inf:
        raise InputError(
            f"The quantity of “{task.name}” is out of range",
            value=task.quantity,
            allowed="more than 0",
        )
    if task.pace is not None and not 0 < task.pace.quantity_each_hour < math.inf:
        raise InputError(
            f"The pace of “{task.name}” is out of range",
            value=task.pace.quantity_each_hour,
            allowed="more than 0",
        )
    if task.wait is not None:
        wait = (task.wait.low_days, task.wait.typical_days, task.wait.high_days)
        _check_order(f"The wait after “{task.name}”", wait, "days")
    unknown = [name for name in task.after or () if name not in before]
    if unknown:
        raise InputError(
            f"“{task.name}” waits for a task that does not come before it",
            value=", ".join(unknown),
            allowed=", ".join(before) or "none, it is the first",
        )


def _check_order(what: str, points: tuple[float, float, float], unit: str) -> None:
    low, middle, high = points
    if not (0 <= low <= middle <= high < math.inf):
        raise InputError(
            f"{what} are out of order" if unit == "h" else f"{what} is out of order",
            value=f"{low:g}, {middle:g}, {high:g} {unit}",
            allowed="0 or more, each at least the one before",
            remedy="Put the smallest first",
        )


def _check_calendar(calendar: BenchCalendar) -> None:
    checked_date("The start", calendar.start_on)
    strangers = [day for day in calendar.weekdays if day not in WEEKDAYS]
    if strangers or not calendar.weekdays:
        raise InputError(
            "A bench is worked on weekdays",
            value=", ".join(strangers) or "none",
            allowed=", ".join(WEEKDAYS),
        )
    points = (calendar.low_hours, calendar.typical_hours, calendar.high_hours)
    _check_order("The bench hours of a week", points, "h")
    most = 24.0 * len(calendar.weekdays)
    if not (calendar.low_hours > 0 and calendar.high_hours <= most):
        raise InputError(
            "The bench hours of a week are out of range",
            value=f"{calendar.low_hours:g} to {calendar.high_hours:g} h",
            allowed=f"above 0, up to {most:g} h on {len(calendar.weekdays)} weekdays",
        )
    for off in calendar.days_off:
        if not 0 <= _days_between(off) <= LONGEST_PLAN_DAYS:
            raise InputError(
                "Days off end before they start, or last too long",
                value=f"{off.first_on} to {off.last_on}",
                allowed="first day, last day",
            )


def _days_between(off: DaysOff) -> int:
    first = checked_date("The first day off", off.first_on)
    return (checked_date("The last day off", off.last_on) - first).days


def checked_date(what: str, text: str) -> date:
    """Return a typed day as a date."""
    try:
        return date.fromisoformat(text)
    except ValueError as unread:
        raise InputError(
            f"{what} cannot be read", value=text or "nothing", allowed="a date, as 2026-03-02"
        ) from unread
