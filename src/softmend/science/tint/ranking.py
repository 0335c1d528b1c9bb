"""Which of many equal matches to mix: the one that forgives most, or the one with fewest paints."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from softmend.errors import InputError
from softmend.science.tint.difference import colour_difference_ciede2000
from softmend.science.tint.palette import Palette, Skin, skin_reflectance, with_ground
from softmend.science.tint.recipe import Solved, Target, lab_by_lamp
from softmend.science.uncertain import Array

WITHIN = 0.3
"""How much worse than the best a mixture may be and still be offered."""
DRAWS = 64
LOOKED_AT = 60


@dataclass(frozen=True, slots=True)
class ErrorBudget:
    """Relative standard deviations of what goes wrong between the screen and the fill.

    `reading` is absolute, in reflectance: half of it random, half an offset of the whole curve.
    """

    coat: float = 0.15
    strength: float = 0.05
    dose: float = 0.03
    ground: float = 0.01
    reading: float = 0.003

    def __post_init__(self) -> None:
        """Refuse a budget that is no spread."""
        for name in ("coat", "strength", "dose", "ground", "reading"):
            value = getattr(self, name)
            if not 0 <= value <= 0.5:
                raise InputError(
                    f"The error budget's {name} is out of range",
                    value=value,
                    allowed="0 to 0.5 (a standard deviation, 0.15 is 15 %)",
                )


@dataclass(frozen=True, slots=True)
class Ranked:
    """Mixtures by what they are expected to give: rows of `solved`, mean and 95 % point of each."""

    rows: tuple[int, ...]
    mean: Array
    high: Array


def ranked(
    solved: Solved,
    target: Target,
    palette: Palette,
    skin: Skin,
    budget: ErrorBudget,
    seed: int = 0,
) -> Ranked:
    """Return the mixtures within 0.3 of the best, the smallest expected difference first.

    Parameters
    ----------
    solved : Solved, the best mixture of every set of paints
    target : Target, the colour wanted and the lamps
    palette : Palette, K and S of paints and binder [1 over the unit of the thickness]
    skin : Skin, ground, thickness and surface
    budget : ErrorBudget, what goes wrong [1]
    seed : int, of the draws [1]

    Returns
    -------
    Ranked, expected CIEDE2000 under the worst lamp, and its 95 % point [1]

    Source: softmend-colour, section 6; own draws.
    Checked against: tests/science/tint/test_ranking.py.

    Example
    -------
    >>> ErrorBudget().coat
    0.15
    """
    near = np.flatnonzero(solved.worst <= solved.worst[0] + WITHIN)
    if near.size > LOOKED_AT:
        rough = _coat_error(solved.amounts[near], target, palette, skin, budget)
        fewest = solved.counts[near] == solved.counts[near].min()
        # The nearest match and those with the fewest paints are always looked at.
        kept = fewest | (near == 0)
        near = near[np.argsort(np.where(kept, -1.0, rough), kind="stable")[:LOOKED_AT]]
    mean, high = delivered(solved.amounts[near], target, palette, skin, budget, seed, DRAWS)
    order = np.argsort(mean, kind="stable")
    return Ranked(tuple(int(row) for row in near[order]), mean[order], high[order])


def fewest_paints(found: Ranked, solved: Solved) -> int:
    """Return the place in the ranking of the mixture with the fewest paints.

    Parameters
    ----------
    found : Ranked, mixtures within 0.3 of the best
    solved : Solved, how many paints each has

    Returns
    -------
    int, index into the ranking [1]; of several, the one with the smallest expected difference

    Source: softmend-colour, section 6.
    Checked against: tests/science/tint/test_ranking.py.

    Example
    -------
    >>> both = Solved(np.eye(2), np.zeros((2, 1)), np.zeros(2), np.array([3, 2]))
    >>> fewest_paints(Ranked((0, 1), np.array([0.5, 0.6]), np.array([1.0, 1.2])), both)
    1
    """
    return int(np.argmin(solved.counts[list(found.rows)]))


def delivered(
    amounts: Array,
    target: Target,
    palette: Palette,
    skin: Skin,
    budget: ErrorBudget,
    seed: int,
    draws: int,
) -> tuple[Array, Array]:
    """Return the mean and the 95 % point of the difference that mixtures will have when dry.

    Parameters
    ----------
    amounts : array, mixtures by paints, shares of the dry skin [1]
    target : Target, the colour wanted and the lamps
    palette : Palette, K and S of paints and binder [1 over the unit of the thickness]
    skin : Skin, ground, thickness and surface
    budget : ErrorBudget, what goes wrong [1]
    seed : int, of the draws, the same for every mixture [1]
    draws : int, how many [1]

    Returns
    -------
    mean and 95 % point, arrays of CIEDE2000 under the worst lamp, one value a mixture [1]

    Source: softmend-colour, section 6; own draws.
    Checked against: tests/science/tint/test_ranking.py.

    Example
    -------
    >>> from softmend.science.tint.colorimetry import Weights
    >>> from softmend.science.tint.film import Surface
    >>> one = Palette(np.full((1, 3), 10.0), np.full((1, 3), 5.0), np.zeros(3), np.zeros(3))
    >>> day = Weights("d", np.eye(3) * 100, np.full(3, 100.0))
    >>> skin = Skin(np.ones(3), 0.06, Surface())
    >>> aim = Target(day.lab(skin_reflectance(one, np.array([0.1]), skin))[None], (day,))
    >>> sure = ErrorBudget(0, 0, 0, 0, 0)
    >>> delivered(np.array([[0.1]]), aim, one, skin, sure, 0, 4)[0].round(6).tolist()
    [0.0]
    """
    rng = np.random.default_rng(seed)
    paints, bands = palette.absorption.shape
    coat = _factor(budget.coat, rng.standard_normal((draws, 1)))
    strength = _factor(budget.strength, rng.standard_normal((draws, paints)))
    dose = _factor(budget.dose, rng.standard_normal((draws, paints)))
    pulp = np.clip(skin.ground * _factor(budget.ground, rng.standard_normal((draws, 1))), 0, 1)
    noise = budget.reading * np.sqrt(0.5)
    reading = noise * (rng.standard_normal((draws, bands)) + rng.standard_normal((draws, 1)))
    over = with_ground(skin, pulp)
    mean, high = np.empty(amounts.shape[0]), np.empty(amounts.shape[0])
    for row, one in enumerate(amounts):
        read = skin_reflectance(palette, one * strength * dose, over, coat) + reading
        labs = lab_by_lamp(np.clip(read, 0, 1), target.lamps)
        worst = colour_difference_ciede2000(labs, target.labs).max(axis=1)
        mean[row], high[row] = worst.mean(), np.quantile(worst, 0.95)
    return mean, high


def _factor(spread: float, normal: Array) -> Array:
    """Return factors about 1 that never reach 0."""
    return np.maximum(1 + spread * normal, 0.2)


def _coat_error(
    amounts: Array, target: Target, palette: Palette, skin: Skin, budget: ErrorBudget
) -> Array:
    """Return the mean worst difference with a thin and with a thick coat."""
    each = []
    for coat in (1 - budget.coat, 1 + budget.coat):
        labs = lab_by_lamp(skin_reflectance(palette, amounts, skin, coat), target.lamps)
        each.append(colour_difference_ciede2000(labs, target.labs).max(axis=1))
    return np.asarray(np.mean(each, axis=0))
