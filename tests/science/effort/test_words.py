"""No percentage for a date before the bench has logged about 100 hours of like tasks."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import inspect

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.effort import calendar, estimate, finish, rate, words
from softmend.science.effort.words import Evidence, chance_by, date_text, weeks_text
from softmend.science.uncertain import Band

GUESSED = Evidence(99.0, 1.0)
ONE_SIDED = Evidence(500.0, 0.2)
LEARNED = Evidence(100.0, 0.5)
ENDS = np.linspace(60.0, 120.0, 1000)


@pytest.mark.parametrize("evidence", [Evidence(0, 0), GUESSED, ONE_SIDED])
def test_no_chance_of_a_date_before_the_bench_has_logged_like_tasks(evidence: Evidence) -> None:
    assert chance_by(ENDS, 90.0, evidence) is None
    text = weeks_text(Band.of(ENDS), evidence)
    assert text == "9 to 17 weeks, from guesses"
    assert "%" not in text + date_text(Band.of(ENDS), 90.0, None)


def test_a_bench_that_has_logged_enough_is_given_a_chance() -> None:
    assert chance_by(ENDS, 90.0, LEARNED) == pytest.approx(0.5, abs=0.001)
    assert weeks_text(Band.of(ENDS), LEARNED) == "9 to 17 weeks, from 100 logged hours"


@pytest.mark.parametrize(
    ("low", "high", "words_said"),
    [
        (1.0, 3.0, "less than a week"),
        (6.0, 7.0, "about a week"),
        (4.0, 20.0, "up to 3 weeks"),
        (14.0, 35.0, "2 to 5 weeks"),
        (14.0, 14.0, "about 2 weeks"),
        (15.0, 34.0, "2 to 5 weeks"),
    ],
)
def test_weeks_are_rounded_outwards(low: float, high: float, words_said: str) -> None:
    text = weeks_text(Band(low, (low + high) / 2, high), Evidence(0, 0))
    assert text == f"{words_said}, from guesses"


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (50, "before the range"),
        (70, "inside the range, earlier than the middle"),
        (100, "inside the range, later than the middle"),
        (130, "after the range"),
    ],
)
def test_a_date_is_placed_in_words(day: float, said: str) -> None:
    assert date_text(Band(60.0, 90.0, 120.0), day, None) == f"the date lies {said}"


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.0, "fewer than 5 of 100"),
        (0.049, "fewer than 5 of 100"),
        (0.62, "about 60 of 100"),
        (0.95, "about 95 of 100"),
        (1.0, "more than 95 of 100"),
    ],
)
def test_a_chance_is_never_none_and_never_certain(chance: float, said: str) -> None:
    assert said in date_text(Band(60.0, 90.0, 120.0), 80.0, chance)


def test_a_day_before_the_start_is_refused() -> None:
    with pytest.raises(InputError, match="lies before the start"):
        chance_by(ENDS, -1.0, LEARNED)
    with pytest.raises(InputError, match="A plan ends before it starts"):
        weeks_text(Band(-1.0, 2.0, 3.0), LEARNED)


def test_no_function_of_effort_takes_a_person() -> None:
    for module in (calendar, estimate, finish, rate, words):
        for _, function in inspect.getmembers(module, callable):
            if getattr(function, "__module__", "") == module.__name__:
                names = set(inspect.signature(function).parameters)
                assert not names & {"person", "author", "who", "people", "worker", "conservator"}
