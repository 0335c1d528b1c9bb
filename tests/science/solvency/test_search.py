"""What comes off with what: singles first, blends that gain, layers spared, winners refused."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solvency.coating import Outcome, drawn
from softmend.science.solvency.search import KeepLayer, Shelf, searched
from softmend.science.solvency.spot import Reading, updated
from softmend.tables.solvency import mixing
from softmend.tables.solvents import solvent, solvents
from tests.science.solvency.classes import classes, liquid, shelf

PRIOR = drawn(classes(), 6000)
ACRYLIC = updated(PRIOR, [Reading(liquid(name), outcome) for name, outcome in
                          (("heptane", Outcome.NONE), ("ethanol", Outcome.NONE),
                           ("acetone", Outcome.DISSOLVES))])  # fmt: skip


def stocked(names: list[str], slowest_pa: float = 100.0) -> Shelf:
    found = [solvent(one) for one in names]
    mixes = np.array([[mixing(a, b).may_be_mixed for b in names] for a in names])
    return Shelf(
        tuple(names),
        np.array([one.position for one in found]),
        np.array([(one.other_positions or (one.position,))[0] for one in found]),
        np.array([one.molar_volume for one in found]),
        np.array([float(one.id == "water") for one in found]),
        np.array([1.0 + 0.1 * at for at in range(len(found))]),
        np.array([one.vapour_pressure >= slowest_pa for one in found]),
        mixes,
    )


def test_the_same_shelf_gives_the_same_answer() -> None:
    one, other = (searched(ACRYLIC, stocked(shelf())) for _ in range(2))
    assert one == other
    assert one.looked_at == 231_441


def test_singles_come_first_and_a_blend_only_where_it_gains() -> None:
    found = searched(ACRYLIC, stocked(shelf()))
    chances = [round(one.dissolves, 2) for one in found.singles]
    assert chances == sorted(chances, reverse=True)
    assert all(len(one.names) == 1 for one in found.singles)
    best = found.singles[0]
    for blend in found.blends:
        gains = blend.dissolves > best.dissolves + 0.05
        spares = blend.air <= best.air / 2 and blend.dissolves >= best.dissolves - 0.05
        assert gains or spares
    assert len({blend.names for blend in found.blends}) == len(found.blends)


def test_a_slow_part_needs_a_named_clearance_step() -> None:
    names = ["acetone", "propylene-carbonate", "ethanol"]
    found = searched(ACRYLIC, stocked(names))
    listed = {name for one in (*found.singles, *found.blends) for name in one.names}
    assert "propylene-carbonate" not in listed
    cleared = searched(ACRYLIC, replace(stocked(names), leaves=np.ones(3, dtype=bool)))
    listed = {name for one in (*cleared.singles, *cleared.blends) for name in one.names}
    assert "propylene-carbonate" in listed


def test_the_immiscible_winner_is_refused_with_the_reason() -> None:
    # Fifty solvents without any rule: the prototype's winner was turpentine, propylene carbonate
    # and propylene glycol, which do not mix.
    open_shelf = [one.id for one in solvents() if one.status in {"ok", "caution"}][:50]
    named = ["turpentine", "propylene-carbonate", "propylene-glycol"]
    assert set(named) <= {one.id for one in solvents()}
    found = searched(ACRYLIC, replace(stocked(named), leaves=np.ones(3, dtype=bool)))
    for blend in found.blends:
        assert not {"turpentine", "propylene-glycol"} <= set(blend.names)
    assert found.refused is not None
    assert len(found.refused.agent.names) > 1
    assert any("are not known to mix" in reason for reason in found.refused.reasons)
    assert len(open_shelf) == 50


def test_a_slow_winner_is_refused_with_the_reason() -> None:
    found = searched(ACRYLIC, stocked(shelf()))
    assert found.refused is not None
    assert any("name a clearance step" in reason for reason in found.refused.reasons)


def test_a_layer_to_be_kept_is_spared() -> None:
    shellac = drawn([one for one in classes() if one.name == "shellac"], 2000)
    kept = KeepLayer("original shellac", shellac)
    found = searched(ACRYLIC, stocked(shelf()), [kept])
    for one in (*found.singles, *found.blends):
        assert one.moves[0] <= 0.10
    assert found.allowed < searched(ACRYLIC, stocked(shelf())).allowed
    assert "ethanol" not in {one.names[0] for one in found.singles}


def test_an_empty_shelf_is_refused() -> None:
    empty = stocked(["acetone"])
    with pytest.raises(InputError, match="The shelf is empty"):
        searched(ACRYLIC, replace(empty, names=()))
