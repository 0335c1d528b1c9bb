"""Sentences whose strength follows the share or band they rest on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

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


def test_the_weakest_part_is_named_with_the_strength_of_its_share() -> None:
    hard = first_to_give(w1("polyester"), 12)
    assert first_in_words(hard) == "If anything gives: very likely its bond first."
    soft = first_to_give(w1("microballoon"), 12)
    assert first_in_words(soft).startswith("If anything gives: ")
    assert "certain" not in first_in_words(soft)
