"""The swings of a record in words, and whether a fill follows them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import pytest

from softmend import catalogue
from softmend.errors import InputError
from softmend.science.wording import STRENGTHS

EXAMPLE = [-2, 1, -3, 5, -1, 3, -4, 4, -2]
YEAR = [8 + 2 * math.sin(2 * math.pi * day / 365) + 0.2 * (day % 2) for day in range(731)]


def counted(**more: object) -> dict:
    given = {"history_percent": EXAMPLE, "quantity": "moisture of the object"}
    return catalogue.run("cycles.rainflow", {**given, **more})


def test_the_example_of_the_standard_in_steps() -> None:
    found = counted(exponent=3)
    assert found["cycle_count"] == 4
    assert found["largest_percent"] == 9
    assert sum(step["cycles"] for step in found["steps"]) == 4
    assert sum(step["fatigue_share"] for step in found["steps"]) == pytest.approx(1)
    assert found["steps"][-1]["fatigue_share"] == pytest.approx(0.333, abs=0.001)
    assert found["text"] == (
        "The largest swing is 9 %; swings of at least half of it come 2 times."
    )


def test_the_seasons_of_a_moving_object_tear_a_brittle_fill_and_not_a_soft_one() -> None:
    record = {
        "history_percent": YEAR,
        "record_days": 730,
        "noise_percent": 0.5,
        "fill_strain_percent": {"value": {"low": 0.3, "typical": 0.6, "high": 1.2}},
    }
    brittle = counted(**record, fill="gypsum plaster")
    soft = counted(**record, fill="tissue or pulp + EVA (VAE) dispersion")
    assert "almost certainly" in brittle["fill_text"]
    assert brittle["ever_percent"] > 95
    assert soft["ever_percent"] < 10
    assert brittle["overstretched_a_year"]["high"] < 3


@pytest.mark.parametrize("follows", [0.5, 2, 6, 20])
def test_the_words_follow_the_chance(follows: float) -> None:
    found = counted(
        fill_strain_percent={"value": {"low": 0.2, "typical": 0.5, "high": 1.2}},
        follows_percent=follows,
    )
    words = found["fill_text"].split(": ")[1].split(".")[0]
    least = next(least for least, word in STRENGTHS if word == words)
    assert least <= found["ever_percent"] / 100


def test_a_record_of_the_air_is_not_one_of_the_object() -> None:
    warnings = counted(quantity="humidity of the air")["warnings"]
    assert any("This is the air, not the object" in one for one in warnings)


def test_a_record_of_the_strain_itself_needs_no_stretch() -> None:
    found = counted(quantity="strain of the fill", follows_percent=5)
    assert found["overstretched_times"]["mean"] == 2
    with pytest.raises(InputError, match="The record is the strain of the fill already"):
        counted(quantity="strain of the fill", fill_strain_percent=1)


def test_without_a_fill_the_swings_are_counted_and_the_rest_is_open() -> None:
    found = counted()
    assert found["answer"] == "answer"
    assert found["reasons"] == ["Whether a fill follows is open: give its stretch and range."]
    assert found["overstretched_times"] is None


def test_a_still_record_has_no_answer() -> None:
    found = counted(history_percent=[8.0, 8.0, 8.0])
    assert found["answer"] == "cannot say"
    assert found["reasons"] == ["Nothing swings in this record."]


def test_a_short_record_is_said_to_be_short() -> None:
    assert any("shorter than a year" in one for one in counted(record_days=100)["warnings"])
    assert counted() == counted()
