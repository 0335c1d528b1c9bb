"""The pull that reaches the walls: against single solutions with the swing raised step by step."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.joint.criteria import Bond, Joint, loads_of
from softmend.science.joint.giving import first_to_give, net
from softmend.science.joint.reaching import reaching_walls
from softmend.science.joint.sharing import Elastic, Gap, Sharing, load_sharing
from softmend.science.uncertain import Band
from tests.science.joint.joints import FILLINGS, exact, log_normal, w1

STEPS, LOOKED_AT = 14, 24


def truth_of(joint: Joint, draws: dict[str, np.ndarray], at: int) -> float:
    """Return the pull at which one draw's fill or bond lets go, or of its full swing.

    The fill first dries, then the object does: each in its own ramp, halved until the moment is
    found. One solution of the crack a step; nothing of the chart or of the crossings is used.
    """
    one = {name: float(column[at]) for name, column in draws.items()}
    gap = Gap(
        joint.opening.body, one["radius of the object"], one["depth of the crack"],
        one["width of the crack"], joint.opening.section,
    )  # fmt: skip
    # The draws are of a season: what relaxation leaves is left.
    held_by = Elastic(
        one["stiffness of the object"] * min(1.0, one["relaxation of the object"]),
        one["Poisson's ratio of the object"],
    )
    fill = Elastic(one["stiffness of the fill"], one["Poisson's ratio of the fill"])
    mismatch = one["movement of the crack with humidity"] * one["fall of humidity"]
    shrunk = one.get("shrinkage of the fill", 0.0) / 3

    def after(ramp: float) -> Sharing:
        dried, swung = min(ramp, 1.0), max(0.0, ramp - 1.0)
        return load_sharing(gap, held_by, fill, mismatch * swung, -shrunk * dried)

    def holds(found: Sharing) -> bool:
        return (
            found.traction_pa <= one.get("strength of the fill", np.inf)
            and found.fill_strain <= one.get("elongation of the fill", np.inf)
            and found.traction_pa <= one.get("strength of the bond", np.inf)
            and found.released_j_m2 <= one.get("energy of the bond", np.inf)
        )

    if holds(after(2.0)):
        return after(2.0).traction_pa
    low, high = 0.0, 2.0
    for _ in range(STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(after(middle)) else (low, middle)
    return after(low).traction_pa


@pytest.mark.parametrize("shrinkage", [0.0, 0.03])
@pytest.mark.parametrize("name", FILLINGS)
def test_it_is_what_single_solutions_find_when_the_swing_is_raised(
    name: str, shrinkage: float
) -> None:
    joint = w1(name)
    if shrinkage:
        filling = replace(joint.filling, shrinkage=log_normal(shrinkage, 0.35))
        joint = replace(joint, filling=filling, bond=Bond(log_normal(2e6, 0.4), exact(100)))
    draws = net(joint.values(), 10, 5)
    found = reaching_walls(loads_of(joint, draws), draws)
    for at in range(LOOKED_AT):
        assert found[at] == pytest.approx(truth_of(joint, draws, at), rel=1e-2), at


@pytest.mark.parametrize("name", FILLINGS)
def test_it_never_passes_the_pull_if_the_fill_held_nor_what_fill_and_bond_stand(name: str) -> None:
    joint = replace(w1(name), bond=Bond(log_normal(1e6, 0.4)))
    draws = net(joint.values(), 12, 0)
    loads = loads_of(joint, draws)
    found = reaching_walls(loads, draws)
    for most in ("strength of the fill", "strength of the bond"):
        assert (found <= draws[most]).all()
    assert (found <= loads.traction.at_full()).all()
    given = first_to_give(joint, 12)
    assert given.reached == Band.of(found)
    assert given.reached.high <= given.traction.high


def test_a_soft_weak_fill_spares_the_walls_that_a_hard_one_loads() -> None:
    hard, soft = (
        first_to_give(replace(w1(name), bond=Bond(exact(20e6))), 12)
        for name in ("polyester", "pulp_eva")
    )
    weak = replace(w1("pulp_eva"), bond=Bond(exact(20e6)))
    weak = replace(weak, filling=replace(weak.filling, strength=exact(0.2e6)))
    fused = first_to_give(weak, 12)
    assert hard.lets_go < 0.05
    assert hard.reached.typical > soft.reached.typical > fused.reached.typical
    assert fused.reached.typical == pytest.approx(0.2e6)
    assert fused.traction.typical == pytest.approx(soft.traction.typical, rel=0.02)
    assert fused.lets_go > 0.95


def test_without_any_limit_it_cannot_be_told() -> None:
    joint = w1("pulp_eva")
    joint = replace(joint, bond=Bond(), filling=replace(joint.filling, strength=None,
                                                        elongation=None))  # fmt: skip
    draws = net(joint.values(), 10, 0)
    with pytest.raises(InputError, match="It is not known what fill and bond stand"):
        reaching_walls(loads_of(joint, draws), draws)
