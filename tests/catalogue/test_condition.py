"""The overall grade: rule 4, overall is the worst, printed with its extent."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from softmend import catalogue


def place(name: str, grade: int, area_mm2: float | None = None) -> dict:
    return {"place": name, "grade": grade, "because": "seen", "area_mm2": area_mm2}


@settings(deadline=None)
@given(st.lists(st.integers(1, 4), min_size=1, max_size=20))
def test_the_overall_grade_is_the_worst_zone_grade(grades: list[int]) -> None:
    places = [place(f"zone {number}", grade) for number, grade in enumerate(grades)]
    found = catalogue.run("condition.overall", {"places": places})
    assert found["grade"] == max(grades)
    assert len(found["worst_places"]) == grades.count(max(grades))


def test_it_is_printed_with_its_extent_and_its_written_definition() -> None:
    places = [place("beam", 1, 9800), place("burr", 4, 200)]
    found = catalogue.run("condition.overall", {"places": places, "examined_area_mm2": 10_000})
    assert found["text"] == "4: one place of 2 graded, 2 % of the examined surface"
    assert found["extent_percent"] == 2.0
    assert found["stability_test"] == "Loss is happening, or handling is unsafe."
    assert found["worst_places"] == ["burr"]


def test_an_extent_without_areas_is_not_known_and_not_zero() -> None:
    found = catalogue.run("condition.overall", {"places": [place("beam", 2), place("burr", 3)]})
    assert found["extent_percent"] is None
    assert found["text"] == "3: one place of 2 graded, extent not known"


def test_without_grades_it_cannot_say() -> None:
    found = catalogue.run("condition.overall", {"places": []})
    assert found["answer"] == "cannot say"
    assert found["reasons"] == ["Nothing has been graded yet."]
