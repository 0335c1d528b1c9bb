"""Fill volumes through the catalogue, in millilitres."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend import catalogue
from softmend.errors import InputError

CRACK = {
    "shape": "crack",
    "name": "mark 7",
    "length_mm": 100,
    "widths": [{"along_mm": 0, "width_mm": 1}, {"along_mm": 100, "width_mm": 3}],
    "depths": [{"along_mm": 50, "depth_mm": 5, "known_how": "gauge"}],
    "section": "rectangle",
}
VOID = {
    "shape": "void",
    "name": "mark 9",
    "area_mm2": 300,
    "depth_mm": {"value": {"low": 2, "typical": 4, "high": 12}},
    "section": "lens",
}


def test_a_crack_is_length_times_mean_width_times_depth_in_millilitres() -> None:
    found = catalogue.run("fill.volume", {"parts": [CRACK]})
    assert found["answer"] == "answer"
    assert found["parts"][0]["volume_ml"]["text"] == "1 mL"
    assert found["total_ml"]["mean"] == pytest.approx(100 * 2 * 5 / 1000)


def test_a_lopsided_volume_is_printed_with_its_points_not_with_a_plus_minus() -> None:
    found = catalogue.run("fill.volume", {"parts": [VOID]})
    volume = found["parts"][0]["volume_ml"]
    assert volume["typical"] == pytest.approx(0.6, rel=0.01)
    assert volume["text"] == "0.60 (0.30 to 1.80) mL"
    assert volume["drivers"][0]["name"] == "depth"
    assert "The depth is not known, only bounded, of: mark 9." in found["warnings"]


def test_what_has_no_depth_is_named_and_left_out_of_the_total() -> None:
    bare = {key: value for key, value in VOID.items() if key != "depth_mm"}
    found = catalogue.run("fill.volume", {"parts": [CRACK, bare]})
    assert found["reasons"] == ["mark 9: it has no depth; give one, however wide."]
    assert "The total is without 1 of 2 parts." in found["warnings"]
    assert found["total_ml"]["mean"] == pytest.approx(1.0)


def test_with_nothing_known_it_cannot_say_and_says_why() -> None:
    bare = {**CRACK, "widths": [], "depths": []}
    found = catalogue.run("fill.volume", {"parts": [bare]})
    assert found["answer"] == "cannot say"
    assert found["reasons"] == ["mark 7: it has no width and no depth; give one, however wide."]
    assert found["total_ml"] is None
    assert catalogue.run("fill.volume", {"parts": []})["answer"] == "cannot say"


def test_the_working_says_how_every_depth_is_known() -> None:
    found = catalogue.run("fill.volume", {"parts": [CRACK, VOID]})
    names = [line["name"] for line in found["working"]]
    assert "mark 7: depth at 50 mm (gauge)" in names
    assert "mark 9: depth (not known)" in names
    assert "mark 7: section" in names


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ([CRACK, CRACK], "Two parts to fill have one name; got mark 7; allowed: one name a part."),
        (
            [{**CRACK, "widths": [{"along_mm": 150, "width_mm": 1}]}],
            "A station of mark 7 lies beyond the end of the crack; got 150 mm; allowed: 0 to 100 "
            "mm; Check the length, or from which end the station was measured.",
        ),
    ],
)
def test_parts_that_contradict_themselves_are_refused(parts: list, words: str) -> None:
    with pytest.raises(InputError) as refused:
        catalogue.run("fill.volume", {"parts": parts})
    assert str(refused.value) == words
