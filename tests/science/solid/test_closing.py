"""Open rims are followed and closed straight across."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.science.solid.beam import beam_of
from softmend.science.solid.closing import closed_over, rim_loops
from softmend.science.solid.surface import surface_length
from softmend.science.solid.volume import capped_volume
from tests.science.solid.bodies import bone, holed, path, turned

BONE = bone()
HOLES = holed(BONE, BONE.centres[[2000, 6000, 9000]], 0.005)


def test_each_opening_is_one_loop_and_is_closed() -> None:
    assert len(rim_loops(HOLES)) == 3
    closed = closed_over(HOLES)
    assert len(closed.rim) == 0
    assert capped_volume(closed)[0] == pytest.approx(capped_volume(HOLES)[0], rel=1e-6)
    assert closed_over(BONE) is BONE


def test_openings_that_touch_in_a_corner_are_closed_apart() -> None:
    corner = BONE.faces[5000, 0]
    there = np.flatnonzero((BONE.faces == corner).any(axis=1))
    gone = np.zeros(len(BONE.faces), dtype=bool)
    common = [len(set(BONE.faces[there[0]]) & set(BONE.faces[one])) for one in there]
    gone[[there[0], there[common.index(1)]]] = True
    riddled = BONE.part(~gone)
    assert [len(loop) for loop in rim_loops(riddled)] == [3, 3]
    assert len(closed_over(riddled).rim) == 0


def test_a_scan_with_holes_is_still_a_beam_and_has_lengths() -> None:
    random = np.random.default_rng(3).random(len(BONE.faces))
    riddled = BONE.part(random > 0.03)
    whole = beam_of(BONE)
    assert beam_of(HOLES).is_beam
    found = beam_of(riddled)
    assert found.is_beam
    assert found.length == pytest.approx(whole.length, rel=0.01)
    ends = [BONE.points[1000], BONE.points[3500]]
    length = surface_length(riddled, ends).length
    assert length == pytest.approx(surface_length(BONE, ends).length, rel=0.01)


def test_half_a_scan_is_no_beam() -> None:
    half = BONE.part(BONE.centres[:, 1] > -0.004)
    assert any("was not scanned" in why for why in beam_of(half).reasons)


def test_an_edge_of_three_faces_does_not_stop_a_length() -> None:
    bar = turned(path([(0, 0), (0.02, 0), (0.02, 0.2), (0, 0.2)], 0.004), 32)
    there = int(np.linalg.norm(bar.centres - [0.02, 0, 0.1], axis=1).argmin())
    a, b, _ = bar.faces[there]
    points = np.concatenate([bar.points, [[0.03, 0, 0.1]]])
    fin = type(bar)(points, np.concatenate([bar.faces, [[a, b, len(bar.points)]]]))
    ends = [[0.02, 0, 0.05], [0.02, 0.0, 0.15]]
    assert surface_length(fin, ends).length == pytest.approx(0.1, rel=0.02)
