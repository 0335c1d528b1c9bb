"""Recipes: planted ones are found, each set is solved as well as alone, limits are kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.colorimetry import weights
from softmend.science.tint.film import NO_SURFACE
from softmend.science.tint.palette import skin_reflectance, strips, with_ground
from softmend.science.tint.recipe import Target, all_sets, lab_by_lamp, solve_sets
from tests.science.checks import expected
from tests.science.tint import invented
from tests.science.tint.one_by_one import solved_alone

CHECKS = expected("softmend-colour")
LAMPS = tuple(invented.lamp(name) for name in ("D65", "LED-B2", "FL11"))
PAINTS = invented.palette()
SKIN = invented.SKIN


def aim(reflectance: np.ndarray) -> Target:
    return Target(lab_by_lamp(reflectance, LAMPS), LAMPS)


def mixture(**shares: float) -> np.ndarray:
    amounts = np.zeros(13)
    for name, share in shares.items():
        place = 12 if name == "white" else invented.NAMES.index(name.replace("_", " "))
        amounts[place] = share
    return amounts


def test_the_worked_mixture_is_met_to_the_sixth_digit() -> None:
    amounts = mixture(yellow_ochre=0.03, raw_umber=0.01, white=0.05)
    found = skin_reflectance(PAINTS, amounts, SKIN)
    for at in (400, 450, 500, 550, 600, 650, 700):
        CHECKS[f"mixture_{at}"].accept(found[(at - 400) // 10])


@pytest.mark.parametrize("seed", range(8))
def test_a_planted_recipe_is_recovered(seed: int) -> None:
    rng = np.random.default_rng(seed)
    amounts = np.zeros(13)
    count = int(rng.integers(1, 5))
    amounts[rng.choice(12, count, replace=False)] = rng.uniform(0.002, 0.06, count)
    amounts[12] = rng.uniform(0, 0.2)
    assert all_sets(aim(skin_reflectance(PAINTS, amounts, SKIN)), PAINTS, SKIN).worst[0] < 0.05


def test_a_planted_recipe_of_two_paints_is_found_with_its_amounts() -> None:
    planted = mixture(yellow_ochre=0.03, raw_umber=0.01, white=0.05)
    found = solve_sets(aim(skin_reflectance(PAINTS, planted, SKIN)), PAINTS, SKIN, [(0, 1)])
    assert found.amounts[0] == pytest.approx(planted, abs=2e-4)


def test_a_colour_out_of_reach_stays_far_from_every_mixture() -> None:
    violet = 0.05 + 0.5 * np.exp(-(((invented.GRID - 430) / 25) ** 2))
    assert all_sets(aim(violet), PAINTS, SKIN).worst[0] > 5
    lighter_than_pulp = np.full(31, 0.93)
    assert all_sets(aim(lighter_than_pulp), PAINTS, SKIN).worst[0] > 1


@pytest.mark.parametrize("number", range(3))
def test_every_set_is_solved_as_well_as_alone(number: int) -> None:
    """Together or one by one by scipy: no set comes out worse by 0.001."""
    target = aim(invented.targets()[7 * number])
    sets = [one for size in (1, 2, 3, 4) for one in list(combinations(range(12), size))[::45]]
    together = solve_sets(target, PAINTS, SKIN, sets)
    by_paints = {
        tuple(np.flatnonzero(row[:12] > 0)): worst
        for row, worst in zip(together.amounts, together.worst, strict=True)
    }
    for one in sets:
        fitting = [worst for paints, worst in by_paints.items() if set(paints) <= set(one)]
        # The straightened sum of squares is what both make small; 0.001 is of the best of the set.
        assert min(fitting) <= solved_alone(target, PAINTS, SKIN, one) + 1e-3, one


def test_solved_alone_or_among_others_a_set_comes_out_the_same() -> None:
    target = aim(invented.targets()[3])
    sets = list(combinations(range(12), 3))
    together = solve_sets(target, PAINTS, SKIN, sets)
    among = {tuple(row.round(9)): worst for row, worst in
             zip(together.amounts, together.worst, strict=True)}  # fmt: skip
    for one in sets[::20]:
        alone = solve_sets(target, PAINTS, SKIN, [one])
        nearest = min(among, key=lambda row: np.abs(np.array(row) - alone.amounts[0]).max())
        assert among[nearest] == pytest.approx(alone.worst[0], abs=1e-3)


def test_limits_are_kept_and_more_paints_never_do_worse() -> None:
    target = aim(invented.targets()[5])
    found = all_sets(target, PAINTS, SKIN)
    assert found.worst.size == 794
    assert np.all(found.amounts >= 0)
    assert np.all(found.amounts.sum(axis=1) <= SKIN.most_share + 1e-12)
    assert np.all(np.diff(found.worst) >= 0)
    ones = solve_sets(target, PAINTS, SKIN, [(i,) for i in range(12)])
    assert found.worst[0] <= ones.worst[0] + 1e-9
    assert found.counts.max() <= 4


def test_the_same_question_has_the_same_answer() -> None:
    target = aim(invented.targets()[9])
    first, second = all_sets(target, PAINTS, SKIN), all_sets(target, PAINTS, SKIN)
    assert np.array_equal(first.amounts, second.amounts)


def test_paints_without_a_white_and_another_raster_of_wavelengths_do_too() -> None:
    plain = replace(PAINTS, white=None)
    amounts = mixture(red_earth=0.01, raw_umber=0.02)
    made = skin_reflectance(plain, amounts, SKIN)
    assert all_sets(aim(made), plain, SKIN, 2).worst[0] < 0.01
    grid = invented.GRID[::2]
    eye = weights("D65", grid, invented.power_of("D65"), invented.observer(10))
    coarse = replace(
        PAINTS,
        absorption=PAINTS.absorption[:, ::2],
        scattering=PAINTS.scattering[:, ::2],
        binder_absorption=PAINTS.binder_absorption[::2],
        binder_scattering=PAINTS.binder_scattering[::2],
    )
    skin = with_ground(SKIN, SKIN.ground[::2])
    one = skin_reflectance(coarse, mixture(green=0.01, white=0.1), skin)
    assert all_sets(Target(eye.lab(one)[None], (eye,)), coarse, skin, 1).worst[0] < 0.01


def test_a_thicker_coat_is_darker_over_white_pulp() -> None:
    amounts = mixture(yellow_ochre=0.03, white=0.05)
    light = strips(PAINTS, amounts, replace(SKIN, surface=NO_SURFACE), LAMPS, [0.7, 1.0, 1.3])
    assert np.all(np.diff(light[:, :, 0], axis=0) < 0)


def test_what_cannot_be_mixed_is_refused_in_words() -> None:
    target = aim(invented.targets()[0])
    with pytest.raises(InputError, match="1 to 4"):
        all_sets(target, PAINTS, SKIN, 5)
    with pytest.raises(InputError, match="0 or more at every wavelength"):
        all_sets(target, replace(PAINTS, scattering=-PAINTS.scattering), SKIN)
    with pytest.raises(InputError, match="different wavelengths"):
        all_sets(target, replace(PAINTS, scattering=PAINTS.scattering[:, :5]), SKIN)
    with pytest.raises(InputError, match="thickness above 0"):
        all_sets(target, PAINTS, replace(SKIN, thickness=0.0))
    only_white = replace(
        PAINTS, absorption=PAINTS.absorption[12:], scattering=PAINTS.scattering[12:], white=0
    )
    with pytest.raises(InputError, match="no paint to mix"):
        all_sets(target, only_white, SKIN)
