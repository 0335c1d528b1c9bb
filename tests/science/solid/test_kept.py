"""A checked scan and a beam come back from plain arrays as they were."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.beam import beam_of
from softmend.science.solid.bending import Supports, bending_stress
from softmend.science.solid.check import checked_shape
from softmend.science.solid.footing import flat_footing
from softmend.science.solid.kept import (
    beam_as_arrays,
    beam_from_arrays,
    shape_as_arrays,
    shape_from_arrays,
    undersides_as_arrays,
    undersides_from_arrays,
)
from softmend.science.solid.underside import underside_of
from softmend.science.solid.volume import solid_volume
from tests.science.solid.bodies import bone

BONE = bone(60, 24)


def test_a_scan_with_a_hole_has_the_same_state_and_volume_from_its_arrays() -> None:
    open_ = BONE.part(BONE.centres[:, 2] < 0.323)
    shape = checked_shape(open_.points, open_.faces)
    again = shape_from_arrays(shape_as_arrays(shape))
    assert again.states == shape.states
    assert [rim.edges for rim in again.rims] == [rim.edges for rim in shape.rims]
    assert again.rims[0].centre == pytest.approx(shape.rims[0].centre)
    assert [one.role for one in again.shells] == [one.role for one in shape.shells]
    before, after = solid_volume(shape), solid_volume(again)
    assert (after.low, after.typical, after.high) == (before.low, before.typical, before.high)


def test_a_beam_has_the_same_stress_from_its_arrays() -> None:
    beam = beam_of(BONE)
    again = beam_from_arrays(beam_as_arrays(beam))
    supports = Supports(np.array([0.05, 0.28]), np.array([3.5, 3.5]), np.full(2, 0.03))
    down = np.array([0.0, 1.0, 0.0])
    before = bending_stress(beam, supports, 7.0, down)
    assert bending_stress(again, supports, 7.0, down).largest == before.largest


def test_an_underside_presses_the_same_from_its_arrays() -> None:
    under = (underside_of(BONE, beam_of(BONE), np.array([0.0, 1.0, 0.0])),)
    kept = undersides_as_arrays(under)
    (again,) = undersides_from_arrays(kept)
    one, other = (flat_footing(each, 0.17, 0.03, 6e6) for each in (under[0], again))
    assert other.peak(3.0) == one.peak(3.0)
    assert again.edge == under[0].edge
    with pytest.raises(InputError, match="No underside was kept"):
        undersides_from_arrays({})


def test_arrays_of_another_version_are_refused() -> None:
    kept = shape_as_arrays(checked_shape(BONE.points, BONE.faces))
    kept["counts"][0] = 99
    with pytest.raises(InputError, match="another version"):
        shape_from_arrays(kept)
