"""The overall condition: the worst of the grades, with its extent."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from softmend.catalogue.computation import Answer, Asked, Computation, Model, Number, Words
from softmend.tables import table


class GradedPlace(Model):
    """One graded place: its grade, the reason, and its area when that is known."""

    place: Words
    grade: Annotated[int, Field(ge=1, le=4)]
    because: Words
    area_mm2: Annotated[Number, Field(ge=0)] | None = None


class ConditionInput(Model):
    """The graded places, and the examined surface when that is known."""

    places: Annotated[list[GradedPlace], Field(max_length=10_000)]
    examined_area_mm2: Annotated[Number, Field(gt=0)] | None = None


class ConditionAnswer(Answer):
    """The overall grade, its definition, where it holds, and how much of the surface that is."""

    grade: int | None = None
    stability_test: str = ""
    wording: str = ""
    worst_places: tuple[str, ...] = ()
    graded_count: int = 0
    extent_percent: float | None = None
    text: str = ""


def condition_overall(given: ConditionInput, _: Asked) -> ConditionAnswer:
    """Return the worst grade and its extent; "cannot say" when nothing is graded."""
    if not given.places:
        return ConditionAnswer(answer="cannot say", reasons=("Nothing has been graded yet.",))
    worst = max(place.grade for place in given.places)
    places = [place for place in given.places if place.grade == worst]
    percent = _extent_percent(places, given.examined_area_mm2)
    row = next(row for row in table("condition_grades").rows if row["grade"] == worst)
    return ConditionAnswer(
        grade=worst,
        stability_test=str(row["stability_test"]),
        wording=str(row["wording"]),
        worst_places=tuple(place.place for place in places),
        graded_count=len(given.places),
        extent_percent=percent,
        text=_text(worst, len(places), len(given.places), percent),
    )


def _extent_percent(places: list[GradedPlace], examined_area_mm2: float | None) -> float | None:
    areas = [place.area_mm2 for place in places if place.area_mm2 is not None]
    if examined_area_mm2 is None or len(areas) != len(places):
        return None
    return min(100.0, 100 * sum(areas) / examined_area_mm2)


def _text(worst: int, count: int, graded: int, percent: float | None) -> str:
    extent = "extent not known" if percent is None else f"{percent:.2g} % of the examined surface"
    places = "one place" if count == 1 else f"{count} places"
    return f"{worst}: {places} of {graded} graded, {extent}"


COMPUTATIONS = {
    "condition.overall": Computation(
        name="condition.overall",
        title="Overall condition",
        input_model=ConditionInput,
        output_model=ConditionAnswer,
        function=condition_overall,
        formula="the worst grade of any place; extent = area with that grade / examined area",
        sources=("softmend-practice",),
        cautions=(
            "Trained graders often disagree: read the definition at the moment of grading.",
            "The worst grade says nothing of how much of the object has it; read the extent.",
        ),
        checked="tests/catalogue/test_condition.py",
    ),
}
