"""A mixture in drops and grams: the nearest whole drops, what one more does, and what adds up."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.difference import colour_difference_ciede2000
from softmend.science.tint.dose import Making, Stock, batch, batch_differences
from softmend.science.tint.palette import skin_reflectance
from softmend.science.tint.ranking import ErrorBudget, ranked
from softmend.science.tint.recipe import Target, all_sets, lab_by_lamp
from tests.science.tint import invented

LAMPS = tuple(invented.lamp(name) for name in ("D65", "LED-B2", "FL11"))
PAINTS, SKIN = invented.palette(), invented.SKIN
BOTTLES = [Stock("neat", 0.5, 0.0, 4e-5), Stock("1:10", 0.05, 0.15, 3.5e-5),
           Stock("1:50", 0.01, 0.19, 3.5e-5)]  # fmt: skip
STOCKS = [BOTTLES] * 12 + [[Stock("white", 0.5)]]
MAKING = Making(batch=0.005, solids=0.2, binder_solids=0.5)


def recipe(number: int) -> tuple[Target, np.ndarray]:
    target = Target(lab_by_lamp(invented.targets()[number], LAMPS), LAMPS)
    found = all_sets(target, PAINTS, SKIN)
    return target, found.amounts[ranked(found, target, PAINTS, SKIN, ErrorBudget()).rows[0]]


@pytest.mark.parametrize("number", [0, 8, 21])
def test_no_other_whole_drops_nearby_come_nearer(number: int) -> None:
    target, amounts = recipe(number)
    made = batch(amounts, STOCKS, MAKING, target, PAINTS, SKIN)
    dry = MAKING.batch * MAKING.solids
    counted = [one for one in made.doses if one.drops is not None]
    for move in product((-1, 0, 1), repeat=len(counted)):
        tried = made.amounts.copy()
        for one, by in zip(counted, move, strict=True):
            if abs(one.drops + by - amounts[one.paint] * dry / (one.dry / one.drops)) < 1:
                tried[one.paint] += by * one.dry / one.drops / dry
        worst = batch_differences(tried, target, PAINTS, SKIN).max()
        assert made.by_lamp.max() <= worst + 1e-9


def test_what_one_more_drop_does_is_what_the_film_then_is() -> None:
    target, amounts = recipe(3)
    made = batch(amounts, STOCKS, MAKING, target, PAINTS, SKIN)
    dry = MAKING.batch * MAKING.solids
    now = lab_by_lamp(skin_reflectance(PAINTS, made.amounts, SKIN), LAMPS)
    for one in made.doses:
        more = made.amounts.copy()
        more[one.paint] += (
            one.dry / one.drops if one.drops else 1e-5 * one.stock.paint_share
        ) / dry
        then = lab_by_lamp(skin_reflectance(PAINTS, more, SKIN), LAMPS)
        assert one.one_more == pytest.approx(
            colour_difference_ciede2000(now, then).max(), abs=1e-12
        )
        assert one.toward != "nowhere"


def test_drops_stay_countable_steps_small_and_the_cup_adds_up() -> None:
    after, steps = [], []
    for number in range(0, 40, 4):
        target, amounts = recipe(number)
        made = batch(amounts, STOCKS, MAKING, target, PAINTS, SKIN)
        after.append(made.by_lamp.max())
        steps += [one.one_more for one in made.doses]
        for one in made.doses:
            assert one.drops is None or 1 <= one.drops <= 31
            assert one.drops is not None or one.mass == pytest.approx(round(one.mass, 5), abs=1e-12)
        poured = sum(one.mass for one in made.doses) + made.binder + made.water
        assert poured == pytest.approx(MAKING.batch)
    assert np.median(after) < 0.3
    assert np.quantile(steps, 0.9) <= 0.35


def test_a_thin_stock_never_overfills_the_cup_while_a_stronger_one_is_there() -> None:
    neat, thin = Stock("neat", 0.3, 0.2, 4e-5), Stock("1:50", 0.01, 0.19, 3.5e-5)
    for number in range(0, 40, 4):
        target, amounts = recipe(number)
        made = batch(amounts, [[neat, thin]] * 13, MAKING, target, PAINTS, SKIN)
        assert made.water > 0
        assert max(one.mass for one in made.doses) <= 0.4 * MAKING.batch + 1e-5


def test_a_bottle_that_cannot_be_and_a_missing_one_are_refused() -> None:
    with pytest.raises(InputError, match="at most the whole"):
        Stock("mud", 0.8, 0.5)
    with pytest.raises(InputError, match="Weigh 20 drops"):
        Stock("1:10", 0.05, 0.1, 0.035)
    with pytest.raises(InputError, match="The batch is out of range"):
        Making(5.0e3, 0.2, 0.5)
    with pytest.raises(InputError, match="dry matter of the binder"):
        Making(0.005, 0.2, 0.0)
    target, amounts = recipe(0)
    with pytest.raises(InputError, match="no stock to dose from"):
        batch(amounts, [[]] * 13, MAKING, target, PAINTS, SKIN)
