"""Survey computations: check values of practice, sentences, and what cannot be said."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend import catalogue
from softmend.errors import InputError


def test_a_size_for_a_store_of_five_hundred() -> None:
    found = catalogue.run("survey.size", {"half_width_percent": 5, "collection": 500})
    assert found["objects"] == 218
    assert found["text"] == "Grade 218 of 500 objects, drawn at random, for ± 5 points at 95 %."
    assert found["warnings"]


def test_shelves_ask_for_more() -> None:
    found = catalogue.run(
        "survey.size",
        {"half_width_percent": 5, "clusters": {"objects_on_a_shelf": 20, "likeness": 0.1}},
    )
    assert found["design_effect"] == pytest.approx(2.9)
    # 384.146 x 2.9 = 1114.02, rounded up.
    assert found["objects"] == 1115
    assert found["warnings"] == []


def test_eighteen_and_twelve_of_sixty_show_no_difference() -> None:
    counts = [
        {"name": "store A, grade 3", "found": 18, "graded": 60},
        {"name": "store B, grade 3", "found": 12, "graded": 60},
        {"name": "store C, grade 3", "found": 0, "graded": 40},
    ]
    found = catalogue.run("survey.interval", {"counts": counts})
    assert found["shares"][0]["text"] == "18 of 60: 30 (20 to 43) %"
    assert found["shares"][2]["text"] == "0 of 40: 0.0 (0.0 to 8.8) %"
    assert found["no_difference"] == [
        "store A, grade 3 and store B, grade 3: the intervals overlap, no difference is shown"
    ]


def test_more_found_than_graded_is_refused_by_name() -> None:
    with pytest.raises(InputError, match="More objects were found “poor” than were graded"):
        catalogue.run("survey.interval", {"counts": [{"name": "poor", "found": 7, "graded": 6}]})


def graded(*rows: tuple[int | None, ...]) -> dict:
    objects = [{"object": f"object {i}", "grades": list(row)} for i, row in enumerate(rows, 1)]
    return catalogue.run("survey.agreement", {"objects": objects})


def test_the_example_of_krippendorff_2011() -> None:
    # Four observers, twelve units, missing values; ordinal alpha 0.815 (recalled).
    units = [
        (1, 1, None, 1), (2, 2, 3, 2), (3, 3, 3, 3), (3, 3, 3, 3), (2, 2, 2, 2), (1, 2, 3, 4),
        (4, 4, 4, 4), (1, 1, 2, 1), (2, 2, 2, 2), (None, 5, 5, 5), (None, None, 1, 1),
        (None, 3, None, None),
    ]  # fmt: skip
    found = graded(*units)
    assert found["alpha"] == pytest.approx(0.815, abs=0.0005)
    assert (found["objects"], found["grades"]) == (11, 40)
    assert "tentative" in found["text"]
    assert found["apart"][0] == {"object": "object 6", "lowest": 1, "highest": 4}


def test_graders_who_differ_are_sent_back_to_the_definitions() -> None:
    found = graded((1, 3), (2, 1), (3, 4), (4, 2), (1, 2), (3, 3))
    assert "talk about the definitions" in found["text"]


def test_graders_who_agree_may_be_relied_on() -> None:
    assert "may be relied on" in graded(*[(1 + i % 4, 1 + i % 4) for i in range(40)])["text"]


def test_without_a_second_grader_it_cannot_say() -> None:
    found = graded((1, None), (2, None))
    assert found["answer"] == "cannot say"
    assert found["reasons"] == ["Fewer than two objects were graded by two or more people."]


def test_one_grade_for_all_cannot_say() -> None:
    found = graded((2, 2), (2, 2), (2, 2))
    assert found["answer"] == "cannot say"
    assert "nothing to tell apart" in found["reasons"][0]


def test_no_grader_is_named() -> None:
    assert "grader" not in str(catalogue.schema("survey.agreement")["input"]["properties"])
