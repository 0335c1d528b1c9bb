"""Spot tests: outcomes, updates, classes, misfit, two layers; calibrated on simulated coatings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solvency.coating import (
    LARGEST_KAPPA,
    Liquid,
    Outcome,
    Particles,
    at_least_chances,
    drawn,
    effective_distance,
    outcome_chances,
)
from softmend.science.solvency.hansen import relative_distance
from softmend.science.solvency.spot import (
    Reading,
    class_chances,
    class_spread,
    effect_chances,
    effective,
    information,
    likelihood,
    misfit,
    updated,
)
from tests.science.solvency.classes import classes, liquid, shelf

PRIOR = drawn(classes(), 6000)
NONE, SWELLS, SOFTENS, DISSOLVES = Outcome


def read(*tests: tuple[str, Outcome]) -> list[Reading]:
    return [Reading(liquid(name), outcome) for name, outcome in tests]


def test_the_weights_before_a_test_are_those_of_the_table() -> None:
    found = class_chances(PRIOR)
    assert sum(found.values()) == pytest.approx(1)
    assert found["acrylic"] == pytest.approx(0.20)
    # The entropy that the prototype's classes had, 2.48 nat.
    assert -sum(one * np.log(one) for one in found.values()) == pytest.approx(2.48, abs=0.02)


def test_the_same_seed_draws_the_same_coatings() -> None:
    again, other = drawn(classes(), 6000), drawn(classes(), 6000, seed=1)
    assert np.array_equal(PRIOR.centre, again.centre)
    assert not np.array_equal(PRIOR.centre, other.centre)


def test_a_small_molecule_meets_a_sphere_at_its_plain_distance() -> None:
    acetone = liquid("acetone")
    plain = relative_distance(acetone.position, PRIOR.centre, PRIOR.radius)
    found = effective_distance(PRIOR, acetone)
    assert found[~PRIOR.water_only] == pytest.approx(plain[~PRIOR.water_only], rel=1e-4)
    large = effective_distance(PRIOR, replace(acetone, molar_volume=190e-6))
    assert np.all(large >= found - 1e-6)
    assert float((large - found).max()) <= LARGEST_KAPPA + 1e-5


def test_chances_of_outcomes_sum_to_one_and_fall_with_strength() -> None:
    for name in ("heptane", "acetone", "water"):
        each = outcome_chances(PRIOR, liquid(name))
        assert each.sum(axis=0) == pytest.approx(np.ones(each.shape[1]), abs=1e-5)
        assert each.min() > 0
        swells, softens, dissolves = at_least_chances(PRIOR, liquid(name))
        assert np.all(swells >= softens)
        assert np.all(softens >= dissolves)


def test_what_is_crosslinked_never_dissolves() -> None:
    for name in shelf():
        assert at_least_chances(PRIOR, liquid(name))[2][PRIOR.swells_only].max() == 0


def test_the_interval_of_a_class_holds_what_other_draws_give() -> None:
    # Prototype, section 5.1: after five tests the spread over seeds is 0.05 at 1000 particles,
    # 0.017 at 4000 and 0.010 at 20 000.
    told = [Reading(liquid(name), outcome) for name, outcome in (
        ("heptane", Outcome.NONE), ("acetone", Outcome.DISSOLVES), ("ethanol", Outcome.SWELLS),
        ("toluene", Outcome.SOFTENS), ("ethyl-acetate", Outcome.DISSOLVES))]  # fmt: skip
    widths = {}
    for n in (1000, 4000, 16_000):
        before = drawn(classes(), n, seed=1)
        widths[n] = max(class_spread(before, told).values())
    assert widths[1000] > widths[4000] > widths[16_000] > 0
    assert widths[16_000] == pytest.approx(widths[4000] / 2, rel=0.35)
    before = drawn(classes(), 4000, seed=1)
    mine, spread = class_chances(updated(before, told)), class_spread(before, told)
    inside = 0
    seeds = range(2, 12)
    for seed in seeds:
        other = class_chances(updated(drawn(classes(), 16_000, seed=seed), told))
        best = max(mine, key=lambda name: mine[name])
        inside += abs(other[best] - mine[best]) <= 1.5 * spread[best]
    assert inside >= 8


def test_only_water_moves_animal_glue() -> None:
    glue = PRIOR.water_only
    for name in shelf():
        assert at_least_chances(PRIOR, liquid(name))[0][glue].max() < 0.01
    assert at_least_chances(PRIOR, liquid("water"))[0][glue].min() > 0.9


def test_a_liquid_whose_sources_disagree_has_a_blunter_edge() -> None:
    sure = outcome_chances(PRIOR, liquid("dimethyl-carbonate"))
    unsure = outcome_chances(PRIOR, replace(liquid("dimethyl-carbonate"), doubt=4.7))
    assert unsure.max(axis=0).mean() < sure.max(axis=0).mean()


def test_a_short_dwell_counts_as_at_least() -> None:
    acetone = liquid("acetone")
    table = outcome_chances(PRIOR, acetone)
    assert likelihood(PRIOR, Reading(acetone, SWELLS, at_least=True)) == pytest.approx(
        table[1:].sum(axis=0), abs=1e-6
    )


def test_the_update_is_bayes_rule() -> None:
    tests = read(("heptane", NONE), ("acetone", DISSOLVES))
    weight = PRIOR.weight.copy()
    for one in tests:
        weight = weight * outcome_chances(PRIOR, one.liquid)[one.outcome]
    found = updated(PRIOR, tests)
    assert found.weight == pytest.approx(weight / weight.sum(), rel=1e-6)
    assert class_chances(updated(PRIOR, tests[::-1])) == pytest.approx(class_chances(found))


@pytest.mark.parametrize(
    ("tests", "group"),
    [
        ([("heptane", NONE), ("ethanol", NONE), ("acetone", DISSOLVES),
          ("n-butyl-acetate", DISSOLVES), ("propylene-carbonate", DISSOLVES)], "acrylic"),
        ([("heptane", SOFTENS), ("acetone", NONE), ("ethanol", NONE)], "wax"),
        ([("ethanol", DISSOLVES), ("acetone", SWELLS), ("heptane", NONE),
          ("ethyl-acetate", NONE)], "shellac"),
        ([("water", SOFTENS), ("acetone", NONE), ("ethanol", NONE)], "animal glue"),
    ],
)  # fmt: skip
def test_plain_cases_behave_like_what_a_conservator_would_say(
    tests: list[tuple[str, Outcome]], group: str
) -> None:
    assert next(iter(class_chances(updated(PRIOR, read(*tests))))) == group


def test_a_liquid_that_moves_nothing_and_a_class_alone_tell_nothing() -> None:
    told = information(PRIOR, [outcome_chances(PRIOR, liquid(one)) for one in shelf()])
    entropy = 2.49
    assert np.all(told >= 0)
    assert np.all(told < entropy)
    # The prototype found 0.52 for propylene carbonate and 0.50 for acetone.
    found = dict(zip(shelf(), told, strict=True))
    assert found["propylene-carbonate"] == pytest.approx(0.52, abs=0.06)
    assert found["acetone"] == pytest.approx(0.50, abs=0.06)


def test_few_effective_particles_are_drawn_anew_and_the_answer_stays() -> None:
    tests = read(("heptane", NONE), ("acetone", DISSOLVES), ("ethanol", NONE),
                 ("n-butyl-acetate", DISSOLVES), ("ethyl-acetate", DISSOLVES),
                 ("propan-2-ol", NONE), ("methylcyclohexane", SWELLS),
                 ("pma", SOFTENS))  # fmt: skip
    few = updated(drawn(classes(), 2000), tests)
    many = updated(drawn(classes(), 100_000), tests)
    assert effective(few.weight) >= 300
    for group, chance in class_chances(many).items():
        assert class_chances(few)[group] == pytest.approx(chance, abs=0.12)


def test_what_fits_no_class_is_flagged_and_what_fits_is_not() -> None:
    odd = read(("heptane", DISSOLVES), ("acetone", NONE), ("ethanol", DISSOLVES),
               ("propylene-carbonate", DISSOLVES), ("ethyl-acetate", NONE))  # fmt: skip
    found = misfit(PRIOR, odd)
    assert found.is_flagged, found
    plain = read(("heptane", NONE), ("acetone", DISSOLVES), ("ethanol", NONE))
    assert not misfit(PRIOR, plain).is_flagged
    with pytest.raises(InputError, match="There is no test to fit"):
        misfit(PRIOR, [])


def test_the_flag_is_seldom_raised_over_coatings_of_the_classes_themselves() -> None:
    rng = np.random.default_rng(3)
    names = ["heptane", "ethyl-acetate", "acetone", "ethanol", "propan-2-ol"]
    tables = [outcome_chances(PRIOR, liquid(name)).astype(float) for name in names]
    flagged = 0
    for truth in rng.choice(PRIOR.weight.size, 60, p=PRIOR.weight):
        told = [Outcome(int(rng.choice(4, p=one[:, truth] / one[:, truth].sum())))
                for one in tables]  # fmt: skip
        flagged += misfit(PRIOR, read(*zip(names, told, strict=True))).is_flagged
    assert flagged <= 6


def test_a_new_layer_starts_anew() -> None:
    first = updated(PRIOR, read(("heptane", SOFTENS), ("acetone", NONE)))
    assert next(iter(class_chances(first))) == "wax"
    # The tests of the second layer are read against what was known before any test.
    second = updated(PRIOR, read(("heptane", NONE), ("acetone", DISSOLVES)))
    assert class_chances(second)["wax"] < 0.01


def test_what_is_said_is_as_often_right() -> None:
    """Two hundred coatings drawn from the classes, five mild swabs each; the benchmark has more."""
    truths = drawn(classes(), 6000, seed=99)
    names = ["heptane", "acetone", "ethyl-acetate", "ethanol", "propan-2-ol"]
    mine = [outcome_chances(PRIOR, liquid(name)) for name in names]
    theirs = [outcome_chances(truths, liquid(name)).astype(float) for name in names]
    rng = np.random.default_rng(5)
    said, right, sure_and_wrong = [], [], 0
    for truth in rng.choice(truths.weight.size, 200, p=truths.weight):
        weight = PRIOR.weight.copy()
        for table, real in zip(mine, theirs, strict=True):
            weight *= table[rng.choice(4, p=real[:, truth] / real[:, truth].sum())]
        chances = class_chances(replace(PRIOR, weight=weight / weight.sum()))
        group, chance = next(iter(chances.items()))
        said.append(chance)
        right.append(group == truths.groups[truths.group[truth]])
        sure_and_wrong += chance > 0.9 and not right[-1]
    # Two standard errors of 200 draws are 0.07.
    assert np.mean(right) == pytest.approx(np.mean(said), abs=0.07)
    assert sure_and_wrong <= 4


def test_the_chance_of_an_effect_is_the_weighted_mean() -> None:
    found = effect_chances(PRIOR, [liquid("acetone"), liquid("heptane")])
    assert found.shape == (2, 3)
    assert found[0, 2] == pytest.approx(
        float(at_least_chances(PRIOR, liquid("acetone"))[2] @ PRIOR.weight), abs=1e-6
    )
    with pytest.raises(InputError, match="No liquid was named"):
        effect_chances(PRIOR, [])


@pytest.mark.parametrize("n", [10, 10_000_000])
def test_too_few_or_too_many_particles_are_refused(n: int) -> None:
    with pytest.raises(InputError, match="The number of particles is out of range"):
        drawn(classes(), n)


def test_classes_without_a_weight_are_refused() -> None:
    with pytest.raises(InputError, match="No class has a weight"):
        drawn([replace(one, weight=0.0) for one in classes()])


def test_particles_are_plain_arrays_of_one_length() -> None:
    assert isinstance(PRIOR, Particles)
    assert {len(getattr(PRIOR, name)) for name in ("group", "centre", "radius", "weight")} == {
        len(PRIOR.weight)
    }
    assert Liquid((1, 2, 3), 1e-4).doubt == 0
