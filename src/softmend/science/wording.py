"""How strongly a sentence may speak: its words follow the chance that it is true."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.errors import InputError

# The chance from which on each of the words is used; our own closed list.
STRENGTHS: tuple[tuple[float, str], ...] = (
    (0.95, "almost certainly"),
    (0.80, "very likely"),
    (0.65, "likely"),
    (0.55, "more likely than not, weakly"),
    (0.45, "as likely as not"),
    (0.35, "rather not, weakly"),
    (0.20, "not likely"),
    (0.05, "hardly"),
    (0.0, "almost certainly not"),
)


def strength(chance: float) -> str:
    """Return the words that a chance deserves.

    Parameters
    ----------
    chance : float, share of the draws in which it is so [1], 0 to 1

    Returns
    -------
    str, such as 'more likely than not, weakly'

    Raises
    ------
    InputError
        When it is no chance.

    Source: own; one closed list for every sentence of the mechanics.
    Checked against: tests/science/test_wording.py.

    Example
    -------
    >>> strength(0.58)
    'more likely than not, weakly'
    >>> strength(0.02)
    'almost certainly not'
    """
    if not 0 <= chance <= 1:
        raise InputError("A chance lies outside 0 to 1", value=chance, allowed="0 to 1")
    return next(words for least, words in STRENGTHS if chance >= least)
