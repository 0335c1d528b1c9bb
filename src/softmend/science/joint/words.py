"""What the numbers of a joint say, as strongly as their bands allow and no more."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.science.joint.criteria import Part
from softmend.science.joint.giving import Giving
from softmend.science.uncertain import Band

NAMES = {
    Part.FILL: "the fill",
    Part.BOND: "its bond",
    Part.LIPS: "the object at the walls of the crack",
    Part.TIP: "the object at the tip of the crack",
}
MODEL = "This is a model of one straight crack in an even material."


def strength_of(share: float) -> str:
    """Return the words for a share of likelihood; 'certain' is not among them.

    Parameters
    ----------
    share : float, share of what is possible for which a statement holds [1], 0 to 1

    Returns
    -------
    str, words that open a sentence

    Source: own rule.
    Checked against: tests/science/joint/test_words.py.

    Example
    -------
    >>> strength_of(0.6), strength_of(0.97)
    ('more likely than not, weakly,', 'very likely')
    """
    for least, words in (
        (0.95, "very likely"),
        (0.8, "likely"),
        (0.65, "more likely than not"),
        (0.5, "more likely than not, weakly,"),
        (0.35, "less likely than not, weakly,"),
        (0.2, "less likely than not"),
        (0.05, "unlikely"),
    ):
        if share >= least:
            return words
    return "very unlikely"


def first_in_words(found: Giving) -> str:
    """Return the sentence about which part is the weakest, as strong as its share of the draws.

    Parameters
    ----------
    found : Giving, answer of `first_to_give`

    Returns
    -------
    str, one sentence

    Source: own rule.
    Checked against: tests/science/joint/test_words.py.

    Example
    -------
    >>> callable(first_in_words)
    True
    """
    shares = {part: one.first_if_any for part, one in found.parts.items()}
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
    return f"If anything gives, {strength_of(shares[weakest])} {NAMES[weakest]} gives first."


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
