"""Of many equal matches the one that forgives most is offered, and the one with fewest paints."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.difference import colour_difference_ciede2000
from softmend.science.tint.palette import skin_reflectance, with_ground
from softmend.science.tint.ranking import ErrorBudget, delivered, fewest_paints, ranked
from softmend.science.tint.recipe import Target, all_sets, lab_by_lamp
from tests.science.tint import invented

LAMPS = tuple(invented.lamp(name) for name in ("D65", "LED-B2", "FL11"))
PAINTS, SKIN, BUDGET = invented.palette(), invented.SKIN, ErrorBudget()
# Mean and 95 % point of a first coat in the colour review, all errors together: robust pick.
REVIEW_MEAN, REVIEW_HIGH = 1.01, 2.3


def mixed_for_real(amounts: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Return what a bench that errs as the budget says reads on its dry skin; one by one."""
    strength, dose = (1 + spread * rng.standard_normal(13) for spread in (0.05, 0.03))
    pulp = np.clip(invented.PULP * (1 + 0.01 * rng.standard_normal()), 0, 1)
    coat = max(1 + 0.15 * rng.standard_normal(), 0.2)
    read = skin_reflectance(PAINTS, amounts * strength * dose, with_ground(SKIN, pulp), coat)
    noise = 0.003 / 2**0.5 * (rng.standard_normal(31) + rng.standard_normal())
    return np.clip(read + noise, 0, 1)


def test_the_robust_pick_delivers_no_worse_than_the_review_and_better_than_the_best() -> None:
    rng = np.random.default_rng(11)
    best, robust = [], []
    for reflectance in invented.targets(12):
        target = Target(lab_by_lamp(reflectance, LAMPS), LAMPS)
        found = all_sets(target, PAINTS, SKIN)
        pick = ranked(found, target, PAINTS, SKIN, BUDGET).rows[0]
        for row, into in ((0, best), (pick, robust)):
            made = np.array([mixed_for_real(found.amounts[row], rng) for _ in range(60)])
            labs = lab_by_lamp(made, LAMPS)
            into.append(colour_difference_ciede2000(labs, target.labs).max(axis=1))
    assert np.mean(robust) <= REVIEW_MEAN
    assert np.quantile(robust, 0.95) <= REVIEW_HIGH
    assert np.mean(robust) < 0.9 * np.mean(best)


def test_only_mixtures_within_0_3_of_the_best_are_offered_the_surest_first() -> None:
    target = Target(lab_by_lamp(invented.targets()[2], LAMPS), LAMPS)
    found = all_sets(target, PAINTS, SKIN)
    order = ranked(found, target, PAINTS, SKIN, BUDGET)
    assert np.all(found.worst[list(order.rows)] <= found.worst[0] + 0.3)
    assert np.all(np.diff(order.mean) >= 0)
    assert np.all(order.high > order.mean)
    few = order.rows[fewest_paints(order, found)]
    within = found.worst <= found.worst[0] + 0.3
    assert found.counts[few] == found.counts[within].min()


def test_the_same_seed_gives_the_same_order_and_a_sure_bench_has_no_spread() -> None:
    target = Target(lab_by_lamp(invented.targets()[4], LAMPS), LAMPS)
    found = all_sets(target, PAINTS, SKIN)
    one, two = (ranked(found, target, PAINTS, SKIN, BUDGET, seed=5) for _ in range(2))
    assert one.rows == two.rows
    sure = ErrorBudget(0, 0, 0, 0, 0)
    mean, high = delivered(found.amounts[:3], target, PAINTS, SKIN, sure, 0, 4)
    assert mean == pytest.approx(found.worst[:3], abs=1e-9)
    assert high == pytest.approx(mean)


def test_thickness_is_what_costs_most() -> None:
    target = Target(lab_by_lamp(invented.targets()[6], LAMPS), LAMPS)
    found = all_sets(target, PAINTS, SKIN)
    row = found.amounts[:1]
    coat, rest = (
        delivered(row, target, PAINTS, SKIN, budget, 1, 200)[0][0]
        for budget in (ErrorBudget(0.15, 0, 0, 0, 0), ErrorBudget(0, 0.05, 0.03, 0.01, 0.003))
    )
    assert coat > rest


def test_a_budget_that_is_no_spread_is_refused() -> None:
    with pytest.raises(InputError, match="error budget's coat is out of range"):
        ErrorBudget(coat=15)
