"""Sections along a tusk, and what is a beam."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.science.solid.beam import beam_of
from softmend.science.solid.section import plane_section
from tests.science.solid.bodies import sphere, tusk

TUSK = tusk(along=160, around=48)


def test_the_middle_line_of_a_hollow_tusk_follows_its_arc() -> None:
    beam = beam_of(TUSK)
    assert beam.is_beam
    assert beam.length == pytest.approx(1.44, rel=0.005)
    assert np.abs(np.hypot(*beam.points[:, :2].T) - 0.9).max() < 5e-4
    angle = np.arctan2(beam.points[:, 1], beam.points[:, 0])
    assert beam.radii[3:-3] == pytest.approx(0.06 - 0.052 * angle[3:-3] / 1.6, rel=0.005)
    assert beam.radii[0] > beam.radii[-1]


def test_a_plane_that_cuts_twice_keeps_the_loop_at_the_point() -> None:
    frame = np.array([[0, 0, 1.0], [1, 0, 0], [0, 1, 0]])
    found = plane_section(TUSK, np.array([0.9 * np.cos(0.3), 0.9 * np.sin(0.3), 0]), frame)
    assert found is not None
    assert found.is_closed
    # The cavity is a hole of the section.
    assert found.empty is not None
    assert found.net.area == pytest.approx(found.whole.area - found.empty.area)


def test_a_ball_is_not_a_beam() -> None:
    beam = beam_of(sphere(0.05, 0.005))
    assert not beam.is_beam
    assert "diameters long" in beam.reasons[0]
