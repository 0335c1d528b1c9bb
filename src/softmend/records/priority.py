"""Priority: which dossier comes first, from stated inputs; condition is one of them and not it.

A person may always put a dossier elsewhere, with a reason that everybody sees.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError, RuleError

NOT_KNOWN_POINTS = 1
"""What is not known counts as middling, so that a gap neither hides an object nor lifts it."""

DEADLINE_STEPS = ((28, 3), (91, 2), (182, 1))
"""Days left and the points that they give (our own choice): four weeks, a quarter, half a year."""


class Weight(Enum):
    """How much one input weighs."""

    LOW = "low"
    MIDDLE = "middle"
    HIGH = "high"
    NOT_KNOWN = "not known"


_POINTS = {Weight.LOW: 0, Weight.MIDDLE: 1, Weight.HIGH: 2, Weight.NOT_KNOWN: NOT_KNOWN_POINTS}


@dataclass(frozen=True)
class Priority:
    """What people said about a dossier's turn; `place` (1 is first) overrides, with its reason."""

    significance: Weight = Weight.NOT_KNOWN
    vulnerability: Weight = Weight.NOT_KNOWN
    cost_of_waiting: Weight = Weight.NOT_KNOWN
    place: int | None = None
    place_because: str = ""


@dataclass(frozen=True)
class Inputs:
    """What the suggested order of one dossier rests on; None is not known or not given."""

    priority: Priority
    worst_grade: int | None
    days_left: int | None


def checked_priority(priority: Priority) -> Priority:
    """Return a priority; a place of one's own choosing needs its reason."""
    if priority.place is not None:
        if not 1 <= priority.place <= 100_000:
            raise InputError(
                "There is no such place in the order", value=priority.place, allowed="1 or more"
            )
        if not priority.place_because.strip():
            raise RuleError(
                "A place of your own choosing needs its reason",
                remedy="Say in a few words why it comes there",
            )
    return priority


def points(inputs: Inputs) -> int:
    """Return the points of one dossier: condition, deadline, and three weights that people give."""
    given = inputs.priority
    return (
        (NOT_KNOWN_POINTS if inputs.worst_grade is None else inputs.worst_grade - 1)
        + _deadline_points(inputs.days_left)
        + _POINTS[given.significance]
        + _POINTS[given.vulnerability]
        + _POINTS[given.cost_of_waiting]
    )


def ordered(rows: Sequence[Inputs]) -> list[int]:
    """Return the positions of dossiers in their order: active loss, then points, then deadline.

    Whoever was given a place stands at it; the others keep their order around them.
    """
    suggested = sorted(
        (index for index, row in enumerate(rows) if row.priority.place is None),
        key=lambda index: _rank(rows[index]),
    )
    placed = sorted(
        (index for index, row in enumerate(rows) if row.priority.place is not None),
        key=lambda index: (rows[index].priority.place or 0, _rank(rows[index])),
    )
    for index in placed:
        suggested.insert((rows[index].priority.place or 1) - 1, index)
    return suggested


def _rank(row: Inputs) -> tuple[bool, int, float]:
    soonest = float("inf") if row.days_left is None else row.days_left
    return row.worst_grade != 4, -points(row), soonest


def _deadline_points(days_left: int | None) -> int:
    if days_left is None:
        return 0
    return next((given for days, given in DEADLINE_STEPS if days_left <= days), 0)
