"""All blends on the grid: their number, where they lie, and the table of chances against direct."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solvency.blend import (
    all_blends,
    blend_chances,
    direct_chances,
    glue_chances,
    places,
    thinned,
    weighted_sum,
)
from softmend.science.solvency.coating import Liquid, Outcome, at_least_chances, drawn
from softmend.science.solvency.hansen import blend_molar_volume, blend_position
from softmend.science.solvency.spot import Reading, class_chances, updated
from softmend.tables.solvents import solvent
from tests.science.solvency.classes import classes, liquid, shelf

PRIOR = drawn(classes(), 6000)
SHELF = [solvent(one) for one in shelf()]
AT = places(all_blends(21), [one.position for one in SHELF], [one.molar_volume for one in SHELF])
TESTED = [
    Reading(liquid(name), outcome)
    for name, outcome in (
        ("heptane", Outcome.NONE),
        ("ethanol", Outcome.NONE),
        ("acetone", Outcome.DISSOLVES),
        ("n-butyl-acetate", Outcome.SOFTENS),
        ("propylene-carbonate", Outcome.DISSOLVES),
    )
]


def test_the_shelf_makes_231_441_blends_and_fifty_solvents_3_374_925() -> None:
    assert len(AT) == 21 + 210 * 19 + 1330 * 171 == 231_441
    assert 50 + 1225 * 19 + 19_600 * 171 == len(all_blends(50)) == 3_374_925


def test_every_blend_is_whole_and_stands_once() -> None:
    blends = all_blends(6)
    assert blends.shares.sum(axis=1) == pytest.approx(np.ones(len(blends)), abs=1e-6)
    rows = {
        tuple(sorted((int(m), round(float(s), 2)) for m, s in zip(*row, strict=True) if s > 0))
        for row in zip(blends.members, blends.shares, strict=True)
    }
    assert len(rows) == len(blends)


def test_a_blend_lies_where_its_parts_say() -> None:
    blends = all_blends(21)
    for at in (5, 700, 150_000, 231_440):
        members, shares = blends.members[at], blends.shares[at]
        spots = [SHELF[one].position for one in members]
        sizes = [SHELF[one].molar_volume for one in members]
        assert AT[at, :3] == pytest.approx(blend_position(spots, shares), rel=1e-4, abs=1e-3)
        assert float(AT[at, 3]) == pytest.approx(blend_molar_volume(sizes, shares), rel=1e-4)


def test_direct_chances_are_those_of_the_particles() -> None:
    names = ["acetone", "ethanol", "ws-low"]
    at = np.array([[*solvent(one).position, solvent(one).molar_volume] for one in names],
                  dtype=np.float32)  # fmt: skip
    for level in (Outcome.SWELLS, Outcome.SOFTENS, Outcome.DISSOLVES):
        found = direct_chances(PRIOR, at, level)
        for name, value in zip(names, found, strict=True):
            each = at_least_chances(PRIOR, liquid(name))[level - 1]
            known = float((each * ~PRIOR.water_only) @ PRIOR.weight)
            assert float(value) == pytest.approx(known, abs=2e-4)


@pytest.mark.parametrize("readings", [[], TESTED], ids=["before any test", "after five tests"])
def test_the_table_is_within_0_005_rms_of_direct(readings: list[Reading]) -> None:
    some = thinned(updated(PRIOR, readings))
    table = blend_chances(some, AT, Outcome.DISSOLVES)
    chosen = np.random.default_rng(0).choice(len(AT), 4000, replace=False)
    apart = table[chosen] - direct_chances(some, AT[chosen], Outcome.DISSOLVES)
    assert float(np.sqrt(np.mean(apart**2))) <= 0.005
    assert float(np.abs(apart).max()) <= 0.017
    assert np.array_equal(table, blend_chances(some, AT, Outcome.DISSOLVES))


def test_fewer_particles_say_nearly_the_same() -> None:
    full = updated(PRIOR, TESTED)
    few = thinned(full, 2000)
    for group, chance in class_chances(full).items():
        assert class_chances(few)[group] == pytest.approx(chance, abs=0.005)


def test_water_is_what_moves_a_glue() -> None:
    found = glue_chances(PRIOR, np.array([0.0, 0.5, 1.0]), Outcome.SWELLS)
    wet = at_least_chances(PRIOR, Liquid((15.5, 16, 42.3), 18e-6, 1.0))[0]
    assert found[2] == pytest.approx(float((wet * PRIOR.water_only) @ PRIOR.weight), abs=1e-6)
    assert found[0] < found[1] <= found[2] + 1e-9


def test_a_linear_property_is_its_mean_by_volume() -> None:
    found = weighted_sum(all_blends(3), [1.0, 2.0, 4.0])
    assert found[:3].tolist() == [1.0, 2.0, 4.0]
    assert found.min() >= 1
    assert found.max() <= 4


@pytest.mark.parametrize("solvents", [0, 61])
def test_too_few_or_too_many_solvents_are_refused(solvents: int) -> None:
    with pytest.raises(InputError, match="The number of solvents is out of range"):
        all_blends(solvents)
