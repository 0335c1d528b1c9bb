"""One measured drawdown makes the second coat better, within bounds."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.correction import absorption_that_gives, corrected
from softmend.science.tint.difference import colour_difference_ciede2000
from softmend.science.tint.film import film
from softmend.science.tint.palette import skin_reflectance, with_ground
from softmend.science.tint.ranking import ErrorBudget, ranked
from softmend.science.tint.recipe import Target, all_sets, lab_by_lamp
from tests.science.tint import invented

LAMPS = tuple(invented.lamp(name) for name in ("D65", "LED-B2", "FL11"))
PAINTS, SKIN = invented.palette(), invented.SKIN


def test_the_second_coat_is_off_by_a_third_less_on_the_whole() -> None:
    """Strengths, pulp and the mean coat stay wrong from cup to cup; doses and coats vary anew."""
    rng = np.random.default_rng(5)
    first, second = [], []
    for reflectance in invented.targets(10):
        target = Target(lab_by_lamp(reflectance, LAMPS), LAMPS)
        found = all_sets(target, PAINTS, SKIN)
        recipe = found.amounts[ranked(found, target, PAINTS, SKIN, ErrorBudget()).rows[0]]
        for _ in range(12):
            strength = 1 + 0.05 * rng.standard_normal(13)
            pulp = np.clip(invented.PULP * (1 + 0.01 * rng.standard_normal()), 0, 1)
            coat = 1 + 0.15 * rng.standard_normal()

            def made(
                amounts: np.ndarray,
                strength: np.ndarray = strength,
                pulp: np.ndarray = pulp,
                coat: float = coat,
            ) -> np.ndarray:
                dose = 1 + 0.03 * rng.standard_normal(13)
                again = max(coat * (1 + 0.05 * rng.standard_normal()), 0.3)
                mixture = amounts * strength * dose
                return skin_reflectance(PAINTS, mixture, with_ground(SKIN, pulp), again)

            reading = made(recipe)
            first.append(off(reading, target))
            noisy = np.clip(reading + 0.002 * rng.standard_normal(31), 0, 1)
            better = corrected(noisy, target, PAINTS, SKIN, recipe)
            change = better.solved.amounts[0][recipe > 0] / recipe[recipe > 0]
            assert np.all(np.abs(change - 1) <= 0.3 + 1e-9)
            second.append(off(made(better.solved.amounts[0]), target))
    assert np.mean(second) < 0.75 * np.mean(first)
    assert np.quantile(second, 0.95) < 0.75 * np.quantile(first, 0.95)


def off(reflectance: np.ndarray, target: Target) -> float:
    return float(colour_difference_ciede2000(lab_by_lamp(reflectance, LAMPS), target.labs).max())


def test_a_drawdown_as_predicted_changes_nothing() -> None:
    target = Target(lab_by_lamp(invented.targets()[1], LAMPS), LAMPS)
    found = all_sets(target, PAINTS, SKIN)
    recipe = found.amounts[0]
    again = corrected(skin_reflectance(PAINTS, recipe, SKIN), target, PAINTS, SKIN, recipe)
    assert again.missed == pytest.approx(0, abs=1e-9)
    # What the recipe itself missed may still be sought, but no further than that.
    assert again.solved.worst[0] <= found.worst[0] + 1e-3
    assert again.solved.amounts[0] == pytest.approx(recipe, abs=0.3 * recipe.max())


def test_a_far_too_weak_drawdown_meets_the_bound_and_says_so() -> None:
    target = Target(lab_by_lamp(invented.targets()[1], LAMPS), LAMPS)
    recipe = all_sets(target, PAINTS, SKIN).amounts[0]
    weak = skin_reflectance(PAINTS, 0.4 * recipe, SKIN)
    found = corrected(weak, target, PAINTS, SKIN, recipe)
    assert found.limited
    assert found.missed < -0.3


def test_the_absorption_of_a_film_is_found_from_its_reading() -> None:
    k = np.array([0.0, 1e-4, 0.3, 5.0, 80.0])
    reading = film(k, 0.9, 0.8)
    assert absorption_that_gives(reading, np.full(5, 0.9), np.full(5, 0.8)) == pytest.approx(
        k, rel=1e-6, abs=1e-9
    )
    assert absorption_that_gives(np.array([0.99]), np.array([0.1]), np.array([0.5]))[0] == 0


def test_no_first_mixture_is_refused() -> None:
    target = Target(lab_by_lamp(invented.targets()[1], LAMPS), LAMPS)
    with pytest.raises(InputError, match="holds no paint"):
        corrected(np.full(31, 0.5), target, PAINTS, SKIN, np.zeros(13))
