"""A mixture as things to weigh and drops to count, rounded together, with what one drop does."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from softmend.errors import InputError
from softmend.science.tint.difference import colour_difference_ciede2000, direction
from softmend.science.tint.palette import Palette, Skin, skin_reflectance
from softmend.science.tint.recipe import Target, lab_by_lamp
from softmend.science.uncertain import Array

FEWEST_DROPS, MOST_DROPS = 5, 30
SMALL_STEP = 0.3
"""Largest change of colour, CIEDE2000, that one drop should make."""
ROOM = 0.4
"""Share of the cup that the stock of one paint may fill: thinner ones would overfill it."""
BALANCE_KG = 1e-5
"""What is weighed is rounded to 0.01 g."""


@dataclass(frozen=True, slots=True)
class Stock:
    """One bottle of a paint: its dry paint and dry binder by mass, and the mass of one drop.

    `drop` is None for what is only ever weighed.
    """

    name: str
    paint_share: float
    binder_share: float = 0.0
    drop: float | None = None

    def __post_init__(self) -> None:
        """Refuse a bottle that cannot be."""
        both = self.paint_share + self.binder_share
        if not (0 < self.paint_share <= 1 and self.binder_share >= 0 and both <= 1 + 1e-9):
            raise InputError(
                f"The stock “{self.name}” holds an impossible share of dry matter",
                value=f"paint {self.paint_share:g}, binder {self.binder_share:g}",
                allowed="paint above 0, both together at most the whole",
            )
        if self.drop is not None and not 1e-6 <= self.drop <= 1e-3:
            raise InputError(
                f"A drop of the stock “{self.name}” has an impossible mass",
                value=f"{1e3 * self.drop:g} g",
                allowed="0.001 to 1 g",
                remedy="Weigh 20 drops and divide by 20",
            )


@dataclass(frozen=True, slots=True)
class Making:
    """How much is made: the wet batch, its share of dry matter, and that of the binder's bottle."""

    batch: float
    solids: float
    binder_solids: float

    def __post_init__(self) -> None:
        """Refuse a batch that cannot be made."""
        if not 1e-5 <= self.batch <= 10:
            raise InputError(
                "The batch is out of range",
                value=f"{1e3 * self.batch:g} g",
                allowed="0.01 g to 10 kg",
            )
        for name, share in (("batch", self.solids), ("binder", self.binder_solids)):
            if not 0 < share <= 1:
                raise InputError(
                    f"The dry matter of the {name} is out of range",
                    value=f"{100 * share:g} %",
                    allowed="above 0 to 100 %",
                )


@dataclass(frozen=True, slots=True)
class Dose:
    """One line of a batch: a paint, its stock, whole drops (None when it is weighed), masses.

    `one_more` is what one drop more does (for a weighed paint: 0.01 g), CIEDE2000 from this batch,
    and `toward` the direction in words.
    """

    paint: int
    stock: Stock
    drops: int | None
    mass: float
    dry: float
    one_more: float
    toward: str


@dataclass(frozen=True, slots=True)
class Batch:
    """Everything that goes into the cup, and what the rounded mixture is then."""

    doses: tuple[Dose, ...]
    binder: float
    water: float
    amounts: Array
    by_lamp: Array


@dataclass(frozen=True, slots=True)
class _Line:
    paint: int
    stock: Stock
    drops: int | None
    step: float  # dry paint in one drop or in one step of the balance
    units: int  # drops, or steps of the balance


def batch(
    amounts: Array,
    stocks: Sequence[Sequence[Stock]],
    making: Making,
    target: Target,
    palette: Palette,
    skin: Skin,
) -> Batch:
    """Return a mixture as masses and whole drops, rounded so that the colour is as near as can be.

    Parameters
    ----------
    amounts : array, share of each paint in the dry skin [1]
    stocks : sequence, for each paint of the palette its bottles, masses of drops [kg]
    making : Making, wet batch [kg] and shares of dry matter
    target : Target, the colour wanted and the lamps
    palette : Palette, K and S of paints and binder [1 over the unit of the thickness]
    skin : Skin, ground, thickness and surface

    Returns
    -------
    Batch, masses [kg]

    Raises
    ------
    InputError
        When a paint of the mixture has no stock.

    Source: softmend-colour, section 6 (5 to 30 drops; rounded together).
    Checked against: tests/science/tint/test_dose.py.

    Example
    -------
    >>> from softmend.science.tint.colorimetry import Weights
    >>> from softmend.science.tint.film import Surface
    >>> one = Palette(np.full((1, 3), 10.0), np.full((1, 3), 5.0), np.zeros(3), np.zeros(3))
    >>> day = Weights("d", np.eye(3) * 100, np.full(3, 100.0))
    >>> skin = Skin(np.ones(3), 0.06, Surface())
    >>> aim = Target(day.lab(skin_reflectance(one, np.array([0.02]), skin))[None], (day,))
    >>> bottle = Stock("1:10", 0.05, 0.15, 3.5e-5)
    >>> made = batch(np.array([0.02]), [[bottle]], Making(0.005, 0.2, 0.5), aim, one, skin)
    >>> made.doses[0].drops, round(1e3 * made.binder, 2)
    (11, 1.85)
    """
    dry = making.batch * making.solids
    used = np.flatnonzero(amounts > 0).tolist()
    judge = _Judge(dry, target, palette, skin, ROOM * making.batch)
    lines = []
    for paint in used:
        if not stocks[paint]:
            raise InputError(
                "A paint of the mixture has no stock to dose from",
                value=f"paint {paint + 1}",
                remedy="Give its dry share, and weigh 20 drops of it",
            )
        lines.append(_line(amounts, paint, stocks[paint], judge))
    lines = _rounded_together(lines, judge)
    doses = tuple(_dose(lines, index, judge) for index in range(len(lines)))
    whole = judge.amounts(lines)
    bound = sum(one.mass * one.stock.binder_share for one in doses)
    binder = max(dry - sum(one.dry for one in doses) - bound, 0.0) / making.binder_solids
    water = making.batch - binder - sum(one.mass for one in doses)
    return Batch(doses, binder, water, whole, judge.differences(whole))


def batch_differences(amounts: Array, target: Target, palette: Palette, skin: Skin) -> Array:
    """Return how far a mixture lies from the target under each lamp.

    Parameters
    ----------
    amounts : array, share of each paint in the dry skin [1]
    target : Target, the colour wanted and the lamps
    palette : Palette, K and S of paints and binder [1 over the unit of the thickness]
    skin : Skin, ground, thickness and surface

    Returns
    -------
    array, CIEDE2000 under each lamp [1]

    Source: sharma2005.
    Checked against: tests/science/tint/test_dose.py.

    Example
    -------
    >>> from softmend.science.tint.colorimetry import Weights
    >>> from softmend.science.tint.film import Surface
    >>> one = Palette(np.full((1, 3), 10.0), np.full((1, 3), 5.0), np.zeros(3), np.zeros(3))
    >>> day = Weights("d", np.eye(3) * 100, np.full(3, 100.0))
    >>> skin = Skin(np.ones(3), 0.06, Surface())
    >>> aim = Target(day.lab(skin_reflectance(one, np.array([0.02]), skin))[None], (day,))
    >>> batch_differences(np.array([0.02]), aim, one, skin).round(6).tolist()
    [0.0]
    """
    labs = lab_by_lamp(skin_reflectance(palette, amounts, skin), target.lamps)
    return colour_difference_ciede2000(labs, target.labs)


@dataclass(frozen=True, slots=True)
class _Judge:
    dry: float
    target: Target
    palette: Palette
    skin: Skin
    room: float  # what of the cup one paint's stock may fill

    def amounts(self, lines: Sequence[_Line]) -> Array:
        """Return the shares of the dry skin that whole steps make."""
        whole = np.zeros(self.palette.absorption.shape[0])
        for one in lines:
            whole[one.paint] = one.units * one.step / self.dry
        return whole

    def labs(self, amounts: Array) -> Array:
        """Return the colour of a mixture under each lamp."""
        return lab_by_lamp(skin_reflectance(self.palette, amounts, self.skin), self.target.lamps)

    def differences(self, amounts: Array) -> Array:
        """Return how far a mixture lies from the target under each lamp."""
        return batch_differences(amounts, self.target, self.palette, self.skin)


def _line(amounts: Array, paint: int, stocks: Sequence[Stock], judge: _Judge) -> _Line:
    """Return the strongest stock of which one drop, or one step of the balance, is small enough.

    Drops are counted between 5 and 30, and come before weighing; a stock so thin that it would
    overfill the cup comes last. Where no step is small enough, the smallest one.
    """
    dry = float(amounts[paint]) * judge.dry
    before = judge.labs(amounts)
    strongest = sorted(stocks, key=lambda one: -one.paint_share)
    counted = [line for one in strongest if (line := _dropped(paint, dry, one)) is not None]
    ways = [*counted, *(_weighed(paint, dry, one) for one in strongest)]
    roomy = [one for one in ways if dry / one.stock.paint_share <= judge.room]
    best, least = None, np.inf
    for line in roomy or ways:
        more = amounts.copy()
        more[paint] += line.step / judge.dry
        effect = float(colour_difference_ciede2000(before, judge.labs(more)).max())
        if effect <= SMALL_STEP and (line.drops is None or line.drops >= FEWEST_DROPS):
            return line
        if effect < least:
            best, least = line, effect
    return best or ways[0]


def _dropped(paint: int, dry: float, stock: Stock) -> _Line | None:
    """Return a paint in whole drops of a stock, or None where there would be more than 30."""
    if stock.drop is None:
        return None
    step = stock.paint_share * stock.drop
    count = round(dry / step)
    return _Line(paint, stock, max(count, 1), step, max(count, 1)) if count <= MOST_DROPS else None


def _weighed(paint: int, dry: float, stock: Stock) -> _Line:
    """Return a paint in steps of the balance."""
    step = stock.paint_share * BALANCE_KG
    return _Line(paint, stock, None, step, max(round(dry / step), 1))


def _rounded_together(lines: list[_Line], judge: _Judge) -> list[_Line]:
    """Return the lines with the whole drops, each at most one off, that come nearest together."""
    moves = [(0, -1, 1) if one.drops is not None else (0,) for one in lines]
    best, least = lines, np.inf
    for move in product(*moves):
        tried = [_with_units(one, one.units + by) for one, by in zip(lines, move, strict=True)]
        if any(one.units < 0 for one in tried):
            continue
        worst = float(judge.differences(judge.amounts(tried)).max())
        if worst < least - 1e-12:
            best, least = tried, worst
    return [one for one in best if one.units > 0]


def _with_units(line: _Line, units: int) -> _Line:
    drops = None if line.drops is None else units
    return _Line(line.paint, line.stock, drops, line.step, units)


def _dose(lines: list[_Line], index: int, judge: _Judge) -> Dose:
    one = lines[index]
    more = [*lines[:index], _with_units(one, one.units + 1), *lines[index + 1 :]]
    before, after = judge.labs(judge.amounts(lines)), judge.labs(judge.amounts(more))
    step = colour_difference_ciede2000(before, after)
    dry = one.units * one.step
    return Dose(
        one.paint,
        one.stock,
        one.drops,
        dry / one.stock.paint_share,
        dry,
        float(step.max()),
        direction(after[0] - before[0]),
    )
