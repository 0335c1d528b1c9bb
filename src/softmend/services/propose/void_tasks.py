"""Voids of scans in a plan: a task each of layers and hours, and then the days of drying."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

from softmend.records.estimate import Plan, PlanTask
from softmend.science.digits import few_digits
from softmend.services.propose.task_quantities import quantity_of_marks, task_rows
from softmend.services.recording import current_record
from softmend.services.solid.void_fills import VoidFill, void_fills
from softmend.services.store import Reader

FILLING = "filling"


def with_voids(reader: Reader, dossier_id: str, plan: Plan, since: int = 0) -> Plan:
    """Return a plan with the filling of voids as they are now.

    A task whose hours a person typed stays. A void that was measured before the plan was kept
    (entry `since`) and is not in it was left out by a person, and stays out.
    """
    wanted = {task.name: (number, task) for number, task in _tasks(reader, dossier_id)}
    names = {task.name for task in plan.tasks}
    kept = tuple(
        wanted[task.name][1] if task.pace is not None and task.name in wanted else task
        for task in plan.tasks
    )
    new = tuple(
        task for name, (number, task) in wanted.items() if name not in names and number > since
    )
    # Filled before it is toned and handed over: behind the last task up to the filling of cracks.
    order = list(task_rows())
    early = order[: order.index(FILLING) + 1]
    after = max((k + 1 for k, task in enumerate(kept) if task.like in early), default=0)
    return replace(plan, tasks=(*kept[:after], *new, *kept[after:]))


def as_the_voids_have_it(reader: Reader, dossier_id: str, plan: Plan) -> Plan:
    """Return a plan in which only what a void gives is said to come from it."""
    wanted = {task.name: task for _, task in _tasks(reader, dossier_id)}

    def rests(task: PlanTask) -> PlanTask:
        if task.like or task.pace is None:
            return task
        given = wanted.get(task.name)
        is_so = given is not None and (task.hours, task.wait) == (given.hours, given.wait)
        return replace(task, pace=given.pace if given is not None and is_so else None)

    return replace(plan, tasks=tuple(rests(task) for task in plan.tasks))


def _tasks(reader: Reader, dossier_id: str) -> list[tuple[int, PlanTask]]:
    return [
        (void.since, _warned(reader, dossier_id, void, task))
        for void in void_fills(reader, dossier_id)
        if (task := void.task) is not None
    ]


def _warned(reader: Reader, dossier_id: str, void: VoidFill, task: PlanTask) -> PlanTask:
    """Return the task of a void with what may be counted twice said beside its hours."""
    told = [void.twice] if void.twice else []
    mark_id = void.void.mark_id
    if mark_id:
        length = quantity_of_marks(reader, dossier_id, FILLING, {mark_id})
        if length > 0:
            _, mark = current_record(reader, dossier_id, "mark", mark_id)
            told.append(
                f"Mark {mark.number}, the same loss, stands in the filling of cracks too, with "
                f"{few_digits(length)} cm: take its hours out of one of both."
            )
    if not told or task.pace is None:
        return task
    words = "; ".join([task.pace.rests_on, *told])
    return replace(task, pace=replace(task.pace, rests_on=words))
