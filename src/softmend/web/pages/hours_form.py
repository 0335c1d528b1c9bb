"""The form of an estimate: a row a task, and the bench's calendar; a blank is the table's guess."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.estimate import (
    BenchCalendar,
    DaysOff,
    EstimateClass,
    Pace,
    Plan,
    PlanTask,
    ThreeHours,
    WaitAfter,
    WaitFor,
)
from softmend.services.propose.hours import planned_like
from softmend.services.propose.task_quantities import Counted, task_rows
from softmend.services.propose.void_tasks import FILLING
from softmend.web.numbers import maybe_number, typed_number

MOST_ROWS = 60
BLANK_ROWS = 2
AT_ONCE, AFTER_THE_LAST = "at once", "after the task before"

Cell = Annotated[str, Field(max_length=200)]
Cells = Annotated[list[Cell], Field(max_length=MOST_ROWS)]
Said = Annotated[list[Annotated[str, Field(max_length=500)]], Field(max_length=MOST_ROWS)]


@dataclass(frozen=True)
class FormRow:
    """One task of the form: whether it is in the plan, and what it grows with, in words."""

    key: int
    task: PlanTask
    is_in: bool
    grows: str
    unit: str

    @property
    def is_own(self) -> bool:
        """Say whether it is a task of the house's own, which the table does not hold."""
        return not self.task.like


class HoursForm(BaseModel):
    """The form of an estimate: lists hold one cell a row; `included` holds the rows' keys."""

    estimate_class: EstimateClass = EstimateClass.ROUGH
    basis: str = Field("", max_length=2000)
    start_on: Cell = ""
    low_hours: Cell = ""
    typical_hours: Cell = ""
    high_hours: Cell = ""
    weekday: Annotated[list[Cell], Field(max_length=7)] = []
    days_off: str = Field("", max_length=20_000)
    included: Cells = []
    like: Cells = []
    name: Cells = []
    quantity: Cells = []
    pace: Cells = []
    pace_was: Cells = []
    pace_said: Said = []
    pace_entry: Cells = []
    least_hours: Cells = []
    likely_hours: Cells = []
    most_hours: Cells = []
    wait_low: Cells = []
    wait_typical: Cells = []
    wait_high: Cells = []
    wait_for: Annotated[list[WaitFor], Field(max_length=MOST_ROWS)] = []
    starts: Cells = []

    def plan(self) -> Plan:
        """Return what was chosen and typed as a plan."""
        rows = {len(column) for column in self._columns()}
        if len(rows) != 1:
            raise InputError("The form came incomplete", remedy="Open the page again")
        chosen = [self._task(key) for key in range(len(self.like)) if str(key) in self.included]
        return Plan(tuple(chosen), self._calendar())

    def _columns(self) -> list[Sequence[str]]:
        return [
            self.like, self.name, self.quantity,
            self.least_hours, self.likely_hours, self.most_hours,
            self.wait_low, self.wait_typical, self.wait_high, self.starts,
            [one.value for one in self.wait_for],
        ]  # fmt: skip

    def _task(self, key: int) -> PlanTask:
        name = self.name[key].strip()
        return PlanTask(
            name=name,
            like=self.like[key],
            hours=self._hours(key, name),
            quantity=maybe_number(self.quantity[key], f"How much of “{name}”", "", 0, 1e6),
            pace=self._pace(key, name),
            wait=self._wait(key, name),
            after=() if self.starts[key] == AT_ONCE else None,
        )

    def _pace(self, key: int, name: str) -> Pace | None:
        """Return the pace of a task: as a removal gave it, or as the person changed it."""
        columns = (self.pace, self.pace_was, self.pace_said, self.pace_entry)
        if any(len(one) != len(self.like) for one in columns):
            return None
        text = self.pace[key].strip()
        value = maybe_number(text, f"The pace of “{name}”", "an hour", 1e-6, 1e6)
        if value is None:
            return None
        if text == self.pace_was[key] and self.pace_said[key]:
            return Pace(value, self.pace_said[key], self.pace_entry[key])
        unit = task_rows()[self.like[key]].unit if self.like[key] in task_rows() else ""
        return Pace(value, f"{value:g} {unit} an hour (estimated, typed into the plan)")

    def _hours(self, key: int, name: str) -> ThreeHours | None:
        cells = (self.least_hours[key], self.likely_hours[key], self.most_hours[key])
        if not any(cell.strip() for cell in cells):
            return None
        least, likely, most = (
            typed_number(cell, f"The {what} hours of “{name}”", "h", 0, 100_000)
            for what, cell in zip(("least", "likely", "most"), cells, strict=True)
        )
        return ThreeHours(least, likely, most)

    def _wait(self, key: int, name: str) -> WaitAfter | None:
        if not self.wait_typical[key].strip():
            return None
        points = _three(
            self.wait_low[key], self.wait_typical[key], self.wait_high[key],
            f"The wait after “{name}”", "days", 3650,
        )  # fmt: skip
        return WaitAfter(*points, self.wait_for[key]) if points[2] > 0 else None

    def _calendar(self) -> BenchCalendar:
        hours = _three(
            self.low_hours, self.typical_hours, self.high_hours, "Bench hours a week", "h", 168
        )
        return BenchCalendar(
            self.start_on.strip(), *hours, tuple(self.weekday), days_off_from(self.days_off)
        )


def form_rows(plan: Plan, counted: Mapping[str, Counted]) -> list[FormRow]:
    """Return the tasks of a plan, then those of the table that it leaves out, then blank ones."""
    planned = {task.like for task in plan.tasks}
    others = [planned_like(name) for name in task_rows() if name not in planned]
    blank = [PlanTask("") for _ in range(BLANK_ROWS)]
    tasks = [(task, True) for task in plan.tasks] + [(task, False) for task in (*others, *blank)]
    order = {name: place for place, name in enumerate(task_rows())}

    def place(pair: tuple[PlanTask, bool]) -> float:
        if _fills_a_void(pair[0]):
            return order[FILLING] + 0.5
        return order.get(pair[0].like, len(order) + (not pair[1]))

    # A task that is left out is offered where the table has it, not behind the plan.
    ranked = sorted(tasks, key=place)
    rows = ranked if _is_in_the_tables_order(plan) else tasks
    return [_row(key, task, is_in, counted) for key, (task, is_in) in enumerate(rows)]


def days_off_from(text: str) -> tuple[DaysOff, ...]:
    """Return typed days off: one line each, a day or a first and a last day."""
    found = []
    for line in filter(None, (line.strip() for line in text.splitlines())):
        days = re.findall(r"\d{4}-\d\d-\d\d", line)
        if len(days) not in (1, 2):
            raise InputError(
                "A line of days off cannot be read",
                value=line[:100],
                allowed="2026-12-24, or 2026-12-24 to 2027-01-02",
            )
        found.append(DaysOff(days[0], days[-1]))
    return tuple(found)


def _is_in_the_tables_order(plan: Plan) -> bool:
    names = [task.like for task in plan.tasks if not _fills_a_void(task)]
    order = [*(name for name in task_rows() if name in names), *("" for name in names if not name)]
    return names == order


def _fills_a_void(task: PlanTask) -> bool:
    return not task.like and task.pace is not None


def _row(key: int, task: PlanTask, is_in: bool, counted: Mapping[str, Counted]) -> FormRow:
    row = task_rows().get(task.like)
    if row is None:
        return FormRow(key, task, is_in, "", "")
    grows = f"guess {row.least_hours:g} / {row.likely_hours:g} / {row.most_hours:g} h"
    if not row.is_job:
        grows = counted[task.like].text
    return FormRow(key, task, is_in, grows, row.unit)


def _three(
    low: str, typical: str, high: str, what: str, unit: str, most: float
) -> tuple[float, float, float]:
    middle = typed_number(typical, what, unit, 0, most)
    least = maybe_number(low, f"{what}, at least", unit, 0, most)
    largest = maybe_number(high, f"{what}, at most", unit, 0, most)
    return middle if least is None else least, middle, middle if largest is None else largest
