"""How fine and how faint a pattern the eye still sees, and one person's own threshold."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

NOTICED_OVER_DETECTED = 2.0
"""What draws the eye, over what can just be told apart."""
BARS = 12
FAINTEST, PLAINEST = 0.15, 2.5
STEEPNESS, SLIPS = 3.5, 0.02
THRESHOLDS = np.geomspace(0.05, 5.0, 400)


def contrast_sensitivity_watson2005(cycles: ArrayLike) -> Array:
    """Return the eye's sensitivity to lightness contrast by the standard observer.

    Parameters
    ----------
    cycles : array, spatial frequency [cycles a degree], 0 or more

    Returns
    -------
    array, sensitivity, one over the contrast that is just seen [1]

    Raises
    ------
    InputError
        When a frequency is negative or not a number.

    Source: watson2005, standard observer.
    Checked against: tests/checks/zhang1996.csv.

    Example
    -------
    >>> round(float(contrast_sensitivity_watson2005(32)), 2)
    5.64
    """
    f = _frequency(cycles)
    fine = 1 / np.cosh((f / 4.1726) ** 0.7786)
    return np.asarray(373.08 * (fine - 0.8493 / np.cosh(np.minimum(f / 1.3625, 700))))


def contrast_sensitivity_mannos1974(cycles: ArrayLike) -> Array:
    """Return the eye's relative sensitivity to lightness contrast, at most about 1.

    Parameters
    ----------
    cycles : array, spatial frequency [cycles a degree], 0 or more

    Returns
    -------
    array, relative sensitivity [1]

    Raises
    ------
    InputError
        When a frequency is negative or not a number.

    Source: mannos1974, model of the eye.
    Checked against: tests/checks/zhang1996.csv.

    Example
    -------
    >>> round(float(contrast_sensitivity_mannos1974(8)), 4)
    0.9808
    """
    f = 0.114 * _frequency(cycles)
    return np.asarray(2.6 * (0.0192 + f) * np.exp(-(f**1.1)))


def self_test_differences() -> tuple[float, ...]:
    """Return the twelve differences as seen that the bars of a self-test have, hard to easy mixed.

    Returns
    -------
    tuple of float, CIEDE2000 as seen [1]

    Source: softmend-colour, section 5.4 (two-alternative, twelve bars).
    Checked against: tests/science/tint/test_sensitivity.py.

    Example
    -------
    >>> len(self_test_differences())
    12
    """
    each = np.geomspace(FAINTEST, PLAINEST, BARS)
    # A fixed order in which neighbours are far apart, so that nobody can guess what comes.
    order = [(5 * place + 2) % BARS for place in range(BARS)]
    return tuple(float(each[place]) for place in order)


def own_threshold(
    differences: Sequence[float], right: Sequence[bool]
) -> tuple[float, float, float]:
    """Return what one person notices (T0), from a self-test of two-way choices.

    Parameters
    ----------
    differences : sequence of float, as seen, of the bars shown [1], above 0
    right : sequence of bool, whether the person pointed at the right side

    Returns
    -------
    5, 50 and 95 % points of T0, twice the difference told apart 81 times in 100 [1]

    Raises
    ------
    InputError
        When there are fewer than twelve answers, or not one for each bar.

    Source: own; likelihood of a Weibull curve, guessing 1/2, slips 2 %.
    Checked against: tests/science/tint/test_sensitivity.py.

    Example
    -------
    >>> bars = self_test_differences()
    >>> low, typical, high = own_threshold(bars, [one > 0.5 for one in bars])
    >>> low < typical < high
    True
    """
    seen, told = np.asarray(differences, np.float64), np.asarray(right, dtype=bool)
    if seen.size != told.size or seen.size < BARS or not np.all(seen > 0):
        raise InputError(
            "The self-test is not complete",
            value=f"{told.size} answers to {seen.size} bars",
            allowed=f"{BARS} or more bars, an answer for each",
        )
    chance = 1 - np.exp(-((seen / THRESHOLDS[:, None]) ** STEEPNESS))
    chance = 0.5 + (0.5 - SLIPS) * chance
    logs = np.where(told, np.log(chance), np.log(1 - chance)).sum(axis=1)
    share = np.cumsum(np.exp(logs - logs.max()))
    points = np.interp([0.05, 0.5, 0.95], share / share[-1], THRESHOLDS)
    low, typical, high = (float(NOTICED_OVER_DETECTED * one) for one in points)
    return low, typical, high


def _frequency(cycles: ArrayLike) -> Array:
    f = np.asarray(cycles, np.float64)
    if not np.all(f >= 0):
        raise InputError("A spatial frequency is negative", value=f.min(), allowed="0 or more")
    return f
