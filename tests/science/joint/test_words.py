"""Sentences whose strength follows the share or band they rest on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.science.joint.criteria import Part
from softmend.science.joint.giving import first_to_give
from softmend.science.joint.words import demand_in_words, first_in_words
from softmend.science.uncertain import Band
from tests.science.joint.joints import w1

BELOW = "The bond stays below what it stands over the whole band."


@pytest.mark.parametrize(
    ("band", "words"),
    [
        (Band(0.01, 0.1, 0.9), BELOW),
        (
            Band(0.1, 0.5, 1.5),
            "The bond stays below what it stands in the middle of the band, not all over it.",
        ),
        (
            Band(0.5, 1.5, 3.0),
            "The bond is loaded beyond what it stands in the middle of the band, not all over it.",
        ),
        (Band(1.2, 2.0, 9.0), "The bond is loaded beyond what it stands over the whole band."),
    ],
)
def test_a_sentence_is_as_strong_as_its_band(band: Band, words: str) -> None:
    assert demand_in_words(band, "The bond") == words


@pytest.mark.parametrize(
    ("shares", "words"),
    [
        ((0.02, 0.97, 0.01, 0.0), "If anything gives: almost certainly its bond first."),
        (
            (0.56, 0.44, 0.0, 0.0),
            "If anything gives: more likely than not, weakly the fill first.",
        ),
        (
            (0.1, 0.4, 0.45, 0.05),
            "It cannot be said which part gives first: the object at the walls of the crack and "
            "its bond are both possible.",
        ),
        (
            (0.0, 0.0, 0.0, 0.0),
            "With these values nothing in the joint comes under a load that grows with the swing.",
        ),
    ],
)
def test_the_weakest_part_is_named_as_strongly_as_its_share(shares: tuple, words: str) -> None:
    assert first_in_words(dict(zip(Part, shares, strict=True))) == words


def test_a_hard_fill_is_held_by_its_bond() -> None:
    found = first_to_give(w1("polyester"), 12)
    assert "its bond first" in first_in_words(found.weakest)
