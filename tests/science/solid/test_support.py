"""Reactions, their worst case, tipping, resting poses and all triples at once."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog

from softmend.errors import InputError
from softmend.science.solid.beam import beam_of
from softmend.science.solid.placement import Candidates, Saddle
from softmend.science.solid.poses import resting_poses
from softmend.science.solid.support import reactions, tipping
from softmend.science.solid.volume import capped_volume
from tests.science.checks import expected
from tests.science.solid.bodies import tusk

CHECKS = expected("softmend-solids")
SQUARE = [[0, 0], [1, 0], [1, 1], [0, 1]]


def test_a_load_near_a_corner_lifts_the_far_pad_off() -> None:
    found = reactions(SQUARE, [0.95, 0.90], 1.0)
    assert found.forces == pytest.approx([0, 0.10, 0.85, 0.05], abs=1e-6)


def test_three_pads_in_line_leave_a_range() -> None:
    found = reactions([[0, 0], [0.5, 0], [1, 0]], [0.5, 0], 1.0)
    assert found.low == pytest.approx([0, 0, 0])
    assert found.high == pytest.approx([0.5, 1.0, 0.5])


def test_saddles_under_a_bowed_object_hold_its_sides_and_share_along_the_line() -> None:
    bowed = [[0, 0], [0.3, 0.012], [0.6, 0]]
    found = reactions(bowed, [0.4, 0.02], 1.0, reach=0.025)
    # Equal springs along a line, by hand: 1/3 + x x0 / sum x2 from the middle.
    assert found.forces == pytest.approx([1 / 6, 1 / 3, 1 / 2], abs=1e-3)
    assert found.high == pytest.approx([1 / 3, 2 / 3, 2 / 3], abs=1e-3)
    assert not reactions(bowed, [0.4, 0.02], 1.0, reach=0.005).stands


def test_the_range_is_that_of_linear_programmes() -> None:
    rng = np.random.default_rng(4)
    pads = rng.random((6, 2))
    centre = pads.mean(axis=0)
    found = reactions(pads, centre, 1.0)
    terms = np.concatenate([np.ones((1, 6)), pads.T])
    for k in range(6):
        for sign, bound in ((1, found.low), (-1, found.high)):
            cost = np.zeros(6)
            cost[k] = sign
            best = linprog(cost, A_eq=terms, b_eq=[1, *centre]).fun
            assert sign * best == pytest.approx(bound[k], abs=1e-7)


def test_a_centre_outside_the_supports_tips() -> None:
    assert not reactions([[0, 0], [0.3, 0]], [0.5, 0], 1.0).stands
    with pytest.raises(InputError, match="number of pads"):
        reactions([], [0, 0], 1.0)


def test_tipping_is_d_over_h() -> None:
    CHECKS["tip_cube_top"].accept(tipping(SQUARE, [0.5, 0.5], 0.5, 1.0).least)
    flat = tipping([[0, 0], [2, 0], [2, 4], [0, 4]], [1, 2], 0.5, 0.5)
    CHECKS["tip_brick_flat"].accept(flat.tilt_deg)
    side = tipping([[0, 0], [1, 0], [1, 4], [0, 4]], [0.5, 2], 1.0, 1.0)
    CHECKS["tip_brick_side"].accept(side.tilt_deg)
    angle = 2 * np.pi * np.arange(144) / 144
    cone = tipping(np.stack([np.cos(angle), np.sin(angle)], axis=-1), [0, 0], 1.0, 1.0)
    CHECKS["tip_cone"].accept(cone.least)
    CHECKS["tip_cone_tilt"].accept(cone.tilt_deg)
    assert tipping(SQUARE, [0.5, 0.5], 0.5, 1.0, 0.1).least == pytest.approx(0.4)


def test_a_cube_rests_on_six_faces() -> None:
    cube = [[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]
    poses = resting_poses(cube, [0, 0, 0])
    assert len(poses) == 6
    for pose in poses:
        CHECKS["cube_pose"].accept(pose.share)


def test_all_triples_give_the_trade_off_of_a_tusk() -> None:
    mesh = tusk(along=120, around=48)
    beam = beam_of(mesh, 40)
    at = (np.arange(60) + 0.5) / 60 * beam.length
    down = np.array([0, 0, -1.0])
    candidates = Candidates(
        beam, at, Saddle(0.06, np.pi / 4), 8.84 * 9.80665, down, capped_volume(mesh)[1], 0.0
    )
    found = candidates.layouts(3)
    tight, loose = found.best(10e3, 0.3), found.best(13e3, 0.3)
    assert tight is not None
    assert loose is not None
    # The prototype found 0.070 and 0.041 MPa on a like tusk.
    assert found.stress[tight] == pytest.approx(0.070e6, rel=0.15)
    assert found.stress[loose] == pytest.approx(0.041e6, rel=0.15)
    assert found.forces[loose].sum() == pytest.approx(8.84 * 9.80665)
    # Each pad alone is reckoned as all layouts at once are.
    for k in range(0, len(found.at), 997):
        places = candidates.plan[[int(np.abs(at - one).argmin()) for one in found.at[k]]]
        reach = float(np.interp(found.at[k], beam.at, beam.radii).min() * np.sin(np.pi / 4))
        alone = reactions(places, [0, 0], 8.84 * 9.80665, reach=reach)
        assert found.forces[k] == pytest.approx(alone.forces, rel=0.01, abs=0.1)
    curve = found.trade_off(0.3)
    assert np.all(np.diff(found.stress[curve]) <= 0)
    assert np.all(np.diff(found.pressure[curve]) >= 0)
    assert found.best(100.0, 0.3) is None
