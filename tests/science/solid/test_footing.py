"""Supports on the real lower surface press as exact ones do, and say what is wrong with it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from softmend.errors import InputError
from softmend.science.solid.beam import beam_of
from softmend.science.solid.contact import (
    flat_pad_pressure,
    foundation_contact,
    saddle_pressure,
    v_block_pressure,
)
from softmend.science.solid.footing import flat_footing, saddle_footing, v_footing
from softmend.science.solid.holding import together
from softmend.science.solid.mesh import Mesh
from softmend.science.solid.placement import Candidates, Saddle
from softmend.science.solid.underside import lowest, underside_of
from softmend.science.solid.volume import capped_volume
from tests.science.checks import expected
from tests.science.solid.bodies import path, turned
from tests.science.solid.bodies import together as meshes

CHECKS = expected("softmend-solids")
BEDDING = 0.15e6 / 0.025
DOWN = np.array([0, 0, -1.0])


def rod(top: float = 0.05, wide: float = 1.0) -> Mesh:
    """Return a rod 0.8 m long along x, round or oval, from 50 mm radius to another."""
    upright = turned(path([(0, 0), (0.05, 0), (top, 0.8), (0, 0.8)], 0.02), 360)
    return Mesh(upright.points[:, [2, 0, 1]] * [1, wide, 1], upright.faces)


ROD = rod()
BEAM = beam_of(ROD)
UNDER = underside_of(ROD, BEAM, DOWN)


def test_a_flat_pad_under_a_cylinder_presses_as_the_exact_one() -> None:
    found = flat_footing(UNDER, 0.4, 0.2, BEDDING)
    CHECKS["cylinder_on_foam"].accept(float(found.peak(50.0)))
    assert found.low[2] == pytest.approx(-0.05, abs=1e-5)
    half = (3 * 250 * 0.05 / (2 * BEDDING)) ** (1 / 3)
    assert found.touched(50.0)[1] == pytest.approx(2 * half * 0.2, rel=0.03)


def test_foundation_and_pads_one_by_one_agree_where_nothing_rolls() -> None:
    feet = [flat_footing(UNDER, at, 0.1, BEDDING) for at in (0.2, 0.6)]
    gaps, places, areas, pads = together([foot.beds[0] for foot in feet])
    settled = foundation_contact(
        gaps, places[:, :2], pads, areas, BEDDING, 60.0, np.array([0.4, 0.0])
    )
    assert settled.holds
    assert settled.forces == pytest.approx([30, 30], rel=0.01)
    assert settled.peak == pytest.approx(float(feet[0].peak(30.0)), rel=0.01)


@pytest.mark.parametrize("degrees", [30, 45, 70])
def test_a_saddle_and_a_v_press_as_on_a_round_bar(degrees: float) -> None:
    half = np.radians(degrees)
    saddle = saddle_footing(UNDER, 0.4, 0.06, half, BEDDING)
    assert saddle.peak(40.0) == pytest.approx(saddle_pressure(40, 0.06, 0.05, half).peak, rel=0.01)
    lean = np.pi / 2 - half
    flanks = (underside_of(ROD, BEAM, DOWN, lean), underside_of(ROD, BEAM, DOWN, -lean))
    block = v_footing(flanks, 0.4, 0.2, half, BEDDING)
    wanted = v_block_pressure(50, 0.2, 0.05, BEDDING, half)
    assert block.peak(50.0) == pytest.approx(wanted, rel=0.01)
    # The flanks meet where both touch the round: r / sin of half the opening below its middle.
    assert block.apex[2] == pytest.approx(-0.05 / np.sin(half), rel=1e-3)
    flank = flat_pad_pressure(25 / np.sin(half), 0.2, 0.05, BEDDING) / BEDDING
    assert block.sink(50.0) == pytest.approx(flank / np.sin(half), rel=0.01)


def test_a_saddle_under_an_oval_carries_what_the_integral_says() -> None:
    oval = rod(wide=2.0)
    under = underside_of(oval, beam_of(oval), DOWN)
    found = saddle_footing(under, 0.4, 0.06, np.radians(45), BEDDING)

    def upward(y: float) -> float:
        slope = 0.05 * y / (0.1**2 * np.sqrt(1 - (y / 0.1) ** 2))
        return float(1 / np.hypot(1, slope))

    # The oval's slope is 45 degrees where y = a^2 / sqrt(a^2 + b^2).
    edge = 0.1**2 / np.hypot(0.1, 0.05)
    bearing = 2 * 0.06 * quad(upward, 0, edge)[0]
    assert found.peak(40.0) == pytest.approx(40 / bearing, rel=0.01)


def test_a_taper_sets_the_pads_at_their_own_heights_and_slopes() -> None:
    cone = rod(top=0.03)
    beam = beam_of(cone)
    under = underside_of(cone, beam, DOWN)
    thick, thin = (saddle_footing(under, at, 0.04, np.pi / 4, BEDDING) for at in (0.2, 0.6))
    assert (thin.low - thick.low)[2] == pytest.approx(0.4 * 0.02 / 0.8, rel=0.02)
    assert abs(np.degrees(thick.slope)) == pytest.approx(np.degrees(np.arctan(0.02 / 0.8)), abs=0.1)
    assert thick.uneven < 2e-4


def test_a_groove_a_hole_and_a_part_that_hangs_lower_are_told() -> None:
    points = ROD.points.copy()
    groove = (np.abs(points[:, 1] - 0.005) < 0.0015) & (points[:, 2] < 0)
    points[groove, 2] += 0.004
    grooved = underside_of(Mesh(points, ROD.faces), BEAM, DOWN)
    found = saddle_footing(grooved, 0.4, 0.06, np.pi / 4, BEDDING)
    assert found.dip == pytest.approx(0.004, rel=0.15)
    assert found.dip_place[1] == pytest.approx(0.005, abs=0.002)
    below = (np.abs(ROD.centres[:, 0] - 0.4) < 0.03) & (np.abs(ROD.centres[:, 1]) < 0.01)
    open_ = ROD.part(~(below & (ROD.centres[:, 2] < 0)))
    holed = saddle_footing(underside_of(open_, BEAM, DOWN), 0.4, 0.06, np.pi / 4, BEDDING)
    assert holed.unseen > 0.1
    tine = Mesh(ROD.points * [0.1, 0.3, 0.3] + [0.36, 0, -0.1], ROD.faces)
    hung = underside_of(meshes(ROD, tine), BEAM, DOWN)
    found = saddle_footing(hung, 0.4, 0.06, np.pi / 4, BEDDING)
    assert found.other > 0.1
    with pytest.raises(InputError, match="no lower surface over a pad"):
        flat_footing(hung, 0.4, 0.01, BEDDING, 0.005)


def test_the_placement_presses_as_each_support_does() -> None:
    at = (np.arange(20) + 0.5) / 20 * BEAM.length
    feet = tuple(flat_footing(UNDER, float(one), 0.06, BEDDING) for one in at[1:-1])
    saddle = Saddle(0.06, np.pi / 4)
    centre = capped_volume(ROD)[1]
    found = Candidates(BEAM, at[1:-1], saddle, 80.0, DOWN, centre, 0.0, feet).layouts(2)
    k = int(found.stress.argmin())
    wanted = max(float(flat_pad_pressure(force, 0.06, 0.05, BEDDING)) for force in found.forces[k])
    assert found.pressure[k] == pytest.approx(wanted, rel=0.02)


def test_a_place_beside_the_object_meets_nothing() -> None:
    far, is_open = lowest(ROD, np.array([[0.4, 0.2, 0.0]]), DOWN[None])
    assert np.isnan(far).all()
    assert not is_open.any()
