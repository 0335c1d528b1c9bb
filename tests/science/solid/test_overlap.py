"""Two rims on one surface: the same opening, a part of it, or another one."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.overlap import TOUCHING, rims_overlap
from softmend.science.uncertain import Array

TURN = np.linspace(0, 2 * np.pi, 120, endpoint=False)


def ring(radius: float, across: float = 0.0, high: float = 0.0) -> Array:
    return np.stack(
        [radius * np.cos(TURN) + across, radius * np.sin(TURN), np.full(120, high)], axis=1
    )


def test_a_rim_picked_twice_a_little_off_overlaps() -> None:
    assert rims_overlap(ring(10), ring(9.5, 0.3)) == 1.0
    assert rims_overlap(ring(10), ring(10, 1.0)) > TOUCHING


def test_half_of_a_circle_through_the_middle_of_its_like_lies_within_a_third_of_it() -> None:
    # Two circles of one radius, the middle of each on the other: an arc of 120 degrees is inside.
    assert rims_overlap(ring(10), ring(10, 10.0)) == pytest.approx(1 / 3, abs=0.02)


def test_neighbours_and_the_far_side_of_a_shaft_do_not() -> None:
    assert rims_overlap(ring(10), ring(10, 20.5)) == 0.0
    assert rims_overlap(ring(10), ring(10, 0.0, 45.0)) == 0.0


def test_a_rim_of_two_places_is_refused() -> None:
    with pytest.raises(InputError, match="three places or more"):
        rims_overlap([[0, 0, 0], [1, 0, 0]], ring(1))
