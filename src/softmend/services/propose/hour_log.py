"""The bench's own log of hours, by task: what rates are learned from. No person comes out of it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from functools import cache

from softmend.services.propose.task_quantities import quantity_of_marks, task_quantities
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.tables import table

Logged = dict[str, list[tuple[float, float]]]
"""Task to (quantity in the task's unit, bench hours); a quantity of 0 is not known."""

DOSSIERS_LEARNED_FROM = 300
_MINUTES_AN_HOUR = 60.0


@cache
def _task_of_action() -> dict[str, str]:
    return {str(row["action_id"]): str(row["task"]) for row in table("action_tasks").rows}


def logged_hours(reader: Reader, dossier_id: str) -> Logged:
    """Return the hours that a dossier's day log holds for each task, one sum a task.

    Strokes of one object are alike, so its log counts as one like task: all its hours on the
    marks they name, or on all that is marked where they name none. An action that no task of the
    table holds stands under its own name.
    """
    minutes: dict[str, float] = {}
    marks: dict[str, set[str]] = {}
    for _, action in current_records(reader, dossier_id, "action"):
        if not action.is_sorted or action.minutes is None:
            continue
        task = _task_of_action().get(action.action, action.action)
        people = 1 + len(action.also_by_ids)
        minutes[task] = minutes.get(task, 0.0) + people * action.minutes
        marks.setdefault(task, set()).update(action.mark_ids)
    return {
        task: [(_quantity(reader, dossier_id, task, marks[task]), worked / _MINUTES_AN_HOUR)]
        for task, worked in minutes.items()
    }


def house_log(reader: Reader, *, is_invented: bool) -> Logged:
    """Return the like tasks that this house has finished; invented objects teach only their kind.

    Dossiers that nothing closed yet are left out: half of a task teaches a wrong rate.
    """
    found: Logged = {}
    for row in reader.dossiers(limit=DOSSIERS_LEARNED_FROM):
        if row.is_invented is not is_invented or not _is_finished(reader, row.dossier_id):
            continue
        for task, logged in logged_hours(reader, row.dossier_id).items():
            found.setdefault(task, []).extend(one for one in logged if one[0] > 0)
    return {task: logged for task, logged in found.items() if logged}


def _quantity(reader: Reader, dossier_id: str, task: str, mark_ids: set[str]) -> float:
    if mark_ids:
        return quantity_of_marks(reader, dossier_id, task, mark_ids)
    counted = task_quantities(reader, dossier_id).get(task)
    return (counted.quantity or 0.0) if counted else 0.0


def _is_finished(reader: Reader, dossier_id: str) -> bool:
    closed = reader.current(dossier_id, "closing")
    reopened = reader.current(dossier_id, "reopened")
    return bool(closed) and (not reopened or reopened[-1].number < closed[-1].number)
