"""Where a fill is seen, from the outside: verdicts, windows, sentences, texture, outlines."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from softmend import catalogue
from softmend.errors import InputError
from tests.science.checks import expected

CHECKS = expected("zhang1996")
GROUND = {"lab": [80, 2, 18]}


def verdict(width: float, fill: list[float], files: Any = None, **other: Any) -> dict[str, Any]:
    given = {"surround": GROUND, "fill": {"lab": fill}, "width_mm": width, "length_mm": 20}
    return catalogue.run("sight.verdict", {**given, **other}, files=files)


def window(width: float, **other: Any) -> dict[str, Any]:
    given = {"surround": GROUND, "width_mm": width, "length_mm": 20}
    return catalogue.run("sight.window", {**given, **other})


def test_a_narrow_darker_fill_does_both_and_a_wide_one_does_not() -> None:
    narrow, wide = verdict(1, [78, 2, 18]), verdict(5, [78, 2, 18])
    assert narrow["far"]["difference"] == pytest.approx(
        CHECKS["seen_1_-2/0/0_1829"].value, abs=6e-4
    )
    assert (narrow["unseen_far"], narrow["found_near"]) == (True, True)
    assert narrow["text"].startswith("Unseen from 1829 mm and found from 250 mm")
    assert not wide["unseen_far"]
    assert "it is seen from 1829 mm" in wide["text"]
    assert wide["cues"][0]["name"] == "hatch"


def test_too_good_a_match_is_not_found() -> None:
    found = verdict(1, [79.7, 2, 18])
    assert (found["unseen_far"], found["found_near"]) == (True, False)
    assert "it is not found from 250 mm" in found["text"]


def test_the_sentence_for_a_six_millimetre_fill() -> None:
    found = window(6)
    assert found["text"] == (
        "On this 6 mm fill no flat colour does both; match the mean and hatch at 0.8 mm."
    )
    assert {one["name"] for one in found["cues"]} == {
        "hatch", "level", "gloss", "grain", "ultraviolet",
    }  # fmt: skip
    assert all(
        one["least"] is None or "too narrow to hit" in one["text"] for one in found["windows"]
    )
    assert all(one["most_unseen"] > 0 for one in found["windows"])


def test_the_window_of_a_fine_fill_is_the_review_s() -> None:
    found = {one["direction"]: one for one in window(0.5)["windows"]}
    CHECKS["window_0.5_darker_least"].accept(found["darker"]["least"])
    CHECKS["window_0.5_yellower_most"].accept(found["yellower"]["most"])
    assert "L*)" in found["darker"]["text"]
    assert window(0.5)["cues"] == []


def test_the_surround_s_texture_counts_when_there_is_a_picture() -> None:
    rng = np.random.default_rng(1)
    grain = np.repeat(np.repeat(rng.normal(190, 14, (40, 40)), 6, axis=0), 6, axis=1)
    picture = np.clip(grain[..., None] * [1.0, 0.95, 0.85], 0, 255).astype(np.uint8)
    given = {"surround_file": "s.png", "px_per_mm": 4}
    plain = verdict(5, [78, 2, 18])
    found = verdict(5, [78, 2, 18], {"surround_file": picture}, **given)
    assert found["far"]["surround_noise"] > 0
    assert found["far"]["index"] < plain["far"]["index"]
    assert "taken to be even" in plain["warnings"][0]
    smooth = np.full_like(picture, 180)
    files = {"surround_file": picture, "fill_file": smooth}
    assert verdict(5, [80, 2, 18], files, fill_file="f.png", **given)["near"]["grain"] > 0.5
    with pytest.raises(InputError, match="has no scale"):
        verdict(5, [78, 2, 18], {"surround_file": picture}, surround_file="s.png")


def test_an_outline_like_a_bar_gives_what_the_bar_gives() -> None:
    bar = [[0, 0], [20, 0], [20, 2], [0, 2]]
    by_outline = verdict(2, [78, 2, 18], outline_mm=bar)
    by_size = verdict(2, [78, 2, 18])
    for where in ("far", "near"):
        assert by_outline[where]["difference"] == pytest.approx(
            by_size[where]["difference"], abs=0.01
        )
    star = [[0, 0], [10, 1], [20, 0], [11, 4], [10, 12], [9, 4]]
    assert verdict(4, [78, 2, 18], outline_mm=star)["far"]["difference"] > 0.5


def test_slips_are_refused_in_words() -> None:
    with pytest.raises(InputError, match="near below far"):
        verdict(1, [78, 2, 18], far_mm=200)
    with pytest.raises(InputError, match="width_mm"):
        verdict(0, [78, 2, 18])
    with pytest.raises(InputError, match="has no area"):
        verdict(1, [78, 2, 18], outline_mm=[[0, 0], [1, 0], [2, 0]])
    with pytest.raises(InputError, match="cannot get duller"):
        catalogue.run("sight.window", {
            "surround": {"lab": [60, 0, 0]}, "width_mm": 1, "length_mm": 20,
            "directions": ["duller"],
        })  # fmt: skip
