"""What the numbers of a joint say, as strongly as their bands allow and no more."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping

from softmend.science.joint.criteria import Part
from softmend.science.uncertain import Band
from softmend.science.wording import strength

NAMES = {
    Part.FILL: "the fill",
    Part.BOND: "its bond",
    Part.LIPS: "the object at the walls of the crack",
    Part.TIP: "the object at the tip of the crack",
}
MODEL = "This is a model of one straight crack in an even material."


def first_in_words(shares: Mapping[Part, float]) -> str:
    """Return the sentence about which part is the weakest, as strong as its share of the draws.

    Parameters
    ----------
    shares : mapping, part to the share of what is possible in which it is the weakest [1]

    Returns
    -------
    str, one sentence

    Source: own rule.
    Checked against: tests/science/joint/test_words.py.

    Example
    -------
    >>> first_in_words({Part.FILL: 0.9, Part.BOND: 0.1})
    'If anything gives: very likely the fill first.'
    """
    weakest = max(shares, key=lambda part: shares[part])
    if shares[weakest] == 0:
        return (
            "With these values nothing in the joint comes under a load that grows with the swing."
        )
    if shares[weakest] < 0.5:
        second = max((p for p in shares if p != weakest), key=lambda part: shares[part])
        return (
            f"It cannot be said which part gives first: {NAMES[weakest]} and {NAMES[second]} "
            "are both possible."
        )
    return f"If anything gives: {strength(shares[weakest])} {NAMES[weakest]} first."


def demand_in_words(band: Band, who: str) -> str:
    """Return the sentence about how near a part comes to giving, as strong as its band is narrow.

    Parameters
    ----------
    band : Band, the year's usual largest swing over the swing at which the part gives [1]
    who : str, the part, as it opens a sentence

    Returns
    -------
    str, one sentence

    Source: own rule.
    Checked against: tests/science/joint/test_words.py.

    Example
    -------
    >>> demand_in_words(Band(0.01, 0.1, 0.6), "The fill")
    'The fill stays below what it stands over the whole band.'
    """
    if band.high < 1:
        return f"{who} stays below what it stands over the whole band."
    if band.low >= 1:
        return f"{who} is loaded beyond what it stands over the whole band."
    if band.typical >= 1:
        return f"{who} is loaded beyond what it stands in the middle of the band, not all over it."
    return f"{who} stays below what it stands in the middle of the band, not all over it."
