"""What one person's eyes notice: from bars found or missed, two fields to choose from each time."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

DETECTED, DOUBT = 0.53, 2.0
"""Difference as seen that is just detected (0.38 to 0.69), and the factor by which eyes differ."""
NOTICED_OVER_DETECTED = 1 / DETECTED
STEEPNESS, SLIPS, FEWEST = 2.0, 0.02, 8
_TRIED = np.exp(np.linspace(np.log(0.03), np.log(8.0), 801))


@dataclass(frozen=True, slots=True)
class Noticed:
    """The difference that draws a person's eye: 5, 50 and 95 % points [CIEDE2000]."""

    low: float
    typical: float
    high: float


def chance_of_right(difference: ArrayLike, detected: ArrayLike) -> Array:
    """Return the chance of pointing at the right one of two fields.

    Parameters
    ----------
    difference : array, CIEDE2000 as seen [1], 0 or more
    detected : array, what this person just detects [1], above 0

    Returns
    -------
    array, chance [1], 0.5 where nothing is seen

    Source: common practice, a Weibull curve for two choices with a few slips of the finger.
    Checked against: tests/science/tint/test_eyes.py.

    Example
    -------
    >>> chance_of_right([0.0, 0.5, 5.0], 0.5).round(2).tolist()
    [0.5, 0.8, 0.98]
    """
    share = np.asarray(difference, np.float64) / np.asarray(detected, np.float64)
    return 0.5 + (0.5 - SLIPS) * (1 - np.exp(-(share**STEEPNESS)))


def noticed_difference(difference: ArrayLike, was_right: ArrayLike) -> Noticed:
    """Return what draws a person's eye, from bars of known difference found or missed.

    What is just detected is found first, with what is known of eyes at large as a start; twice
    that draws the eye, as for the convention of 1.

    Parameters
    ----------
    difference : array, CIEDE2000 as seen of each bar [1], above 0
    was_right : array of bool, whether the right field was pointed at [1]

    Returns
    -------
    Noticed, CIEDE2000 [1]

    Raises
    ------
    InputError
        When there are too few bars, or a bar without a difference.

    Source: softmend-colour, section 5.4 (the self-test); watson2005 (what is detected).
    Checked against: tests/science/tint/test_eyes.py.

    Example
    -------
    >>> found = noticed_difference([2, 1.5, 1, 0.8, 0.6, 0.5, 0.4, 0.3, 0.2], [1] * 7 + [0, 0])
    >>> found.low < 1 < found.high
    True
    """
    shown, right = np.asarray(difference, np.float64), np.asarray(was_right, dtype=bool)
    if shown.ndim != 1 or shown.shape != right.shape or shown.size < FEWEST:
        raise InputError(
            "There are too few bars to tell what an eye notices",
            value=shown.size,
            allowed=f"{FEWEST} or more, each with an answer",
            remedy="Look at all of them",
        )
    if not np.all((shown > 0) & (shown <= 100)):
        raise InputError(
            "A bar has no difference to see", value=float(shown.min()), allowed="above 0 to 100"
        )
    chance = chance_of_right(shown[None, :], _TRIED[:, None])
    weight = np.log(np.where(right, chance, 1 - chance)).sum(axis=1)
    weight -= (np.log(_TRIED / DETECTED) / np.log(DOUBT)) ** 2 / 2
    share = np.cumsum(np.exp(weight - weight.max()))
    low, typical, high = (
        NOTICED_OVER_DETECTED * float(np.interp(point * share[-1], share, _TRIED))
        for point in (0.05, 0.5, 0.95)
    )
    return Noticed(low, typical, high)
