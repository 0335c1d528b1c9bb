"""Condition grades per zone, and the overall grade, which is always the worst."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError


class GradeBasis(Enum):
    """What a grade rests on."""

    SEEN = "seen"
    HANDLED = "handled"
    INFERRED = "inferred"


@dataclass(frozen=True)
class Grade:
    """The grade of one zone, mark or part: 1 (stable) to 4 (active loss), with its reason.

    `of_kind` and `of_id` name what is graded: body_zone, mark, or part (then the part's name).
    """

    of_kind: str
    of_id: str
    grade: int
    because: str
    basis: GradeBasis


@dataclass(frozen=True)
class Overall:
    """The overall grade and how many of the graded places have it."""

    grade: int
    worst_count: int
    graded_count: int


def overall_grade(grades: Iterable[Grade]) -> Overall | None:
    """Return the worst grade and its count (rule 4), or None when nothing is graded."""
    values = [checked_grade(grade.grade) for grade in grades]
    if not values:
        return None
    worst = max(values)
    return Overall(grade=worst, worst_count=values.count(worst), graded_count=len(values))


def checked_grade(value: int) -> int:
    """Return `value` if it is a grade."""
    if value not in (1, 2, 3, 4):
        raise InputError(
            "This is not a condition grade",
            value=value,
            allowed="1, 2, 3 or 4",
            remedy="Read the four definitions and choose one",
        )
    return value
