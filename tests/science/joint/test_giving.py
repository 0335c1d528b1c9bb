"""First to give: bands of the reference, single solutions, seeds, and what drives the spread."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.joint.criteria import Bond, Climate, Line, Movement, Part, Square, loads_of
from softmend.science.joint.giving import borne, chance_of_year, first_to_give, net
from softmend.science.joint.sharing import Elastic, Gap, load_sharing
from softmend.science.propagation import variance_share
from softmend.science.uncertain import Band, Uncertain
from tests.science.checks import expected
from tests.science.joint.joints import FILLINGS, certain, exact, log_normal, w1

CHECKS = expected("softmend-mechanics-joint")
LOG2 = 14


def bands(name: str) -> tuple[Band, Band, Band]:
    """Return energy over the object's, tip and open tip over its toughness."""
    joint = w1(name)
    draws = net(joint.values(), 17, 0)
    loads = loads_of(joint, draws)
    tough = draws["toughness of the object"]
    return (
        Band.of(loads.energy.at_full() / loads.lip_energy),
        Band.of(loads.tip.at_full() / tough),
        Band.of(loads.tip_open.at_full() / tough),
    )


@pytest.mark.parametrize("name", FILLINGS)
def test_the_bands_of_the_reference(name: str) -> None:
    energy, tip, open_tip = bands(name)
    for point in ("low", "typical", "high"):
        CHECKS[f"mc_{name}_energy_{point}"].accept(getattr(energy, point))
        CHECKS[f"mc_unfilled_tip_{point}"].accept(getattr(open_tip, point))
        if name == "pulp_eva":
            CHECKS[f"mc_pulp_eva_tip_{point}"].accept(getattr(tip, point))


def test_the_drivers_of_the_reference() -> None:
    joint = w1("polyester")
    draws = net(joint.values(), 13, 0)
    loads = loads_of(joint, draws)
    result = loads.energy.at_full() / loads.lip_energy
    for check, name in (
        ("movement", "movement of the crack with humidity"),
        ("toughness", "toughness of the object"),
        ("relaxation", "relaxation of the object"),
        ("stiffness", "stiffness of the object"),
    ):
        CHECKS[f"driver_{check}"].accept(variance_share(draws[name], result))
    assert variance_share(draws["stiffness of the fill"], result) < 0.01
    found = first_to_give(joint, LOG2)
    assert found.drivers_of_object[0].name == "movement of the crack with humidity"


@pytest.mark.parametrize("name", FILLINGS)
def test_without_spread_it_is_the_single_solution(name: str) -> None:
    joint = certain(w1(name))
    draws = net(joint.values(), 10, 0)
    loads = loads_of(joint, draws)
    modulus, _, nu, *_ = FILLINGS[name]
    one = load_sharing(
        Gap(joint.opening.body, 0.05, 0.02, 0.002), Elastic(8e9 * 0.55, 0.3),
        Elastic(modulus, nu), 0.0015,
    )  # fmt: skip
    for found, truth in (
        (loads.traction.at_full(), one.traction_pa),
        (loads.strain.at_full(), one.fill_strain),
        (loads.energy.at_full(), one.released_j_m2),
        (loads.tip.at_full(), one.tip_pa_m05),
        (loads.tip_open.at_full(), one.free_tip_pa_m05),
        (loads.opening_m, one.free_opening_m),
        (loads.stiffness_ratio, one.stiffness_ratio),
    ):
        assert found == pytest.approx(truth, rel=2e-3)


def test_shrinkage_and_swelling_are_the_single_solution_too() -> None:
    joint = certain(w1("microballoon"))
    filling = replace(
        joint.filling, shrinkage=exact(0.024), after_setting=exact(0.5), swelling=exact(1e-4)
    )
    loads = loads_of(
        replace(joint, filling=filling), net(replace(joint, filling=filling).values(), 10, 0)
    )
    gap, body = Gap(joint.opening.body, 0.05, 0.02, 0.002), Elastic(8e9 * 0.55, 0.3)
    at_rest = load_sharing(gap, body, Elastic(0.4e9, 0.3), 0.0, own_strain=-0.004)
    at_full = load_sharing(gap, body, Elastic(0.4e9, 0.3), 0.0015, own_strain=-0.005)
    assert loads.traction.rest == pytest.approx(at_rest.traction_pa, rel=2e-3)
    assert loads.traction.at_full() == pytest.approx(at_full.traction_pa, rel=2e-3)
    assert loads.energy.rest == pytest.approx(at_rest.released_j_m2, rel=2e-3)
    assert loads.energy.at_full() == pytest.approx(at_full.released_j_m2, rel=2e-3)


def test_a_measured_opening_is_the_same_as_the_mismatch_that_makes_it() -> None:
    joint = certain(w1("pulp_eva"))
    one = load_sharing(
        Gap(joint.opening.body, 0.05, 0.02, 0.002), Elastic(8e9, 0.3), Elastic(0.0, 0.3), 1.5e-4
    )
    measured = replace(joint, movement=Movement(measured=exact(one.free_mouth_m)))
    modelled, used = first_to_give(joint, 10), first_to_give(measured, 10)
    assert used.traction.typical == pytest.approx(modelled.traction.typical, rel=1e-4)


def test_a_measurement_narrows_the_result() -> None:
    unsure = replace(w1("pulp_eva"), movement=Movement(mismatch=Uncertain.random_sign(1.5e-4, 0.6)))
    measured = replace(unsure, movement=Movement(measured=log_normal(1.24e-5, 0.05)))
    wide, narrow = first_to_give(unsure, LOG2), first_to_give(measured, LOG2)
    assert wide.opens == pytest.approx(0.5, abs=0.01)
    assert narrow.opens == 1
    ratio = wide.opening.high / max(wide.opening.typical, 1e-12)
    assert narrow.opening.high / narrow.opening.low < 2 < ratio


def test_a_sign_that_is_not_known_is_a_fair_coin_and_rises_open_the_other_half() -> None:
    joint = replace(w1("pulp_eva"), movement=Movement(mismatch=Uncertain.random_sign(1.5e-4, 0.6)))
    both = replace(joint, climate=Climate(exact(10.0), exact(10.0)))
    assert first_to_give(joint, LOG2).any_mean == pytest.approx(
        first_to_give(both, LOG2).any_mean / 2, rel=0.05
    )


@pytest.mark.parametrize("name", FILLINGS)
def test_bands_hold_between_seeds_and_a_seed_repeats(name: str) -> None:
    first, second = (first_to_give(w1(name), seed=seed) for seed in (0, 1))
    assert first_to_give(w1(name), seed=0) == first
    for part in Part:
        for point in ("low", "typical", "high"):
            one, two = (getattr(found.parts[part].demand, point) for found in (first, second))
            assert one == pytest.approx(two, rel=0.02)
        assert first.parts[part].first_mean == pytest.approx(
            second.parts[part].first_mean, abs=2e-3
        )
    assert first.any_mean == pytest.approx(second.any_mean, rel=0.02)


@pytest.mark.parametrize("name", FILLINGS)
def test_chances_add_up(name: str) -> None:
    found = first_to_give(w1(name), LOG2)
    assert sum(one.first_mean for one in found.parts.values()) == pytest.approx(found.any_mean)
    assert sum(one.first_if_any for one in found.parts.values()) == pytest.approx(1)
    for one in found.parts.values():
        assert one.first_mean <= one.alone_mean + 1e-12 <= found.any_mean + 2e-12


def test_a_hard_fill_breaks_the_bond_or_the_walls_and_a_soft_one_leaves_the_tip() -> None:
    hard, soft = (first_to_give(w1(name), LOG2) for name in ("polyester", "pulp_eva"))
    assert hard.parts[Part.FILL].first_if_any < 0.01
    assert hard.parts[Part.LIPS].demand.typical > soft.parts[Part.LIPS].demand.typical
    assert hard.parts[Part.TIP].demand.typical < soft.parts[Part.TIP].demand.typical
    assert soft.parts[Part.TIP].demand.typical < soft.open_tip.typical


def test_larger_swings_never_make_it_safer() -> None:
    joint = w1("pulp_eva")
    means = [
        first_to_give(replace(joint, climate=Climate(exact(fall), exact(0.0))), LOG2).any_mean
        for fall in (0.0, 5.0, 10.0, 20.0)
    ]
    assert means[0] == 0
    assert means == sorted(means)


def test_a_bond_below_a_quarter_of_the_object_keeps_the_crack() -> None:
    weak, strong = (
        first_to_give(replace(w1("pulp_eva"), bond=Bond(energy=exact(value))), LOG2)
        for value in (1.0, 1e5)
    )
    assert weak.bond_holds_in_bond > 0.99
    assert strong.bond_holds_in_bond < 0.01


def test_the_net_has_the_moments_of_its_values() -> None:
    values = {"a": log_normal(2.0, 0.5), "b": Uncertain.normal(5, 1), "c": exact(3)}
    drawn = net(values, 13, 7)
    for name, value in values.items():
        assert drawn[name].mean() == pytest.approx(value.mean, rel=2e-3)
        assert drawn[name].std() == pytest.approx(value.sd, rel=0.02, abs=1e-12)
    assert abs(np.corrcoef(drawn["a"], drawn["b"])[0, 1]) < 0.01


def test_crossings_are_the_roots() -> None:
    rest, growth, square = (
        np.array([0.2, 0.0, 0.0, 2.0]),
        np.array([1.0, 0, -1, 0]),
        np.array([3.0, 0, 2, 0]),
    )
    found = Square(rest, growth, square).crossing(np.ones(4))
    for i in (0, 2):
        assert rest[i] + growth[i] * found[i] + square[i] * found[i] ** 2 == pytest.approx(1)
    assert found[1] == np.inf
    assert found[3] == 0
    line = Line(np.array([0.5, 2.0, 0.0]), np.array([1.0, 1.0, -1.0])).crossing(np.ones(3))
    assert line.tolist() == [0.5, 0.0, np.inf]


def test_the_chance_of_a_year_is_the_share_of_years() -> None:
    rng = np.random.default_rng(0)
    years = np.exp(rng.normal(0, np.sqrt(np.log1p(0.3**2)), 200_000))
    for share in (0.7, 1.0, 1.5):
        found = float(chance_of_year(np.array(share), 0.3))
        assert found == pytest.approx(np.mean(years >= share), abs=0.005)
    assert chance_of_year(np.array([0.9, 1.1]), 0.0).tolist() == [1.0, 0.0]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: first_to_give(replace(w1("pulp_eva"), bond=Bond())),
            "It is not known what the bond stands; allowed: a strength or an energy of parting.",
        ),
        (
            lambda: first_to_give(replace(w1("pulp_eva"), movement=Movement())),
            "It is not known how the crack moves with humidity; allowed: a measured opening, or "
            "the mismatch of free strains.",
        ),
        (
            lambda: first_to_give(w1("pulp_eva"), 30),
            "The power of two of the draws is out of range; got 30; allowed: 10 to 20.",
        ),
        (
            lambda: chance_of_year(np.ones(1), 3.0),
            "The variation between years is out of range; got 3.0; allowed: 0 to 2.",
        ),
    ],
)
def test_what_cannot_be_told_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words


@pytest.mark.parametrize("name", FILLINGS)
def test_what_is_borne_is_what_first_to_give_bears_and_asks_for_no_limit(name: str) -> None:
    joint = w1(name)
    given, bears = first_to_give(joint, 12, 3), borne(joint, 12, 3)
    for one in ("traction", "opening", "released", "tip", "stiffness_ratio", "opens", "too_deep"):
        assert getattr(bears, one) == getattr(given, one), one
    bare = replace(joint, bond=Bond(), filling=replace(joint.filling, strength=None,
                                                       elongation=None))  # fmt: skip
    assert borne(bare, 12, 3).traction.typical == pytest.approx(bears.traction.typical, rel=0.02)
    with pytest.raises(InputError, match="The power of two of the draws is out of range; got 3"):
        borne(joint, 3)
