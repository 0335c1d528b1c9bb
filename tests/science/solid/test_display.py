"""The copy for the eye, stills without perspective, and picks taken to the measuring mesh."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.display import display_copy, frame_of_look, look_at
from softmend.science.solid.mesh import Mesh
from softmend.science.solid.snap import Snapping
from tests.science.solid.bodies import bone, turned

BONE = bone(120, 48)


def ball(radius: float, rings: int = 60) -> Mesh:
    angle = np.linspace(-np.pi / 2, np.pi / 2, rings)
    profile = radius * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    profile[[0, -1], 0] = 0.0
    return turned(profile)


def test_a_copy_for_the_eye_keeps_to_its_bound_and_near_the_surface() -> None:
    fine = bone(240, 96)
    copy = display_copy(fine, 24_000)
    assert len(copy.faces) <= 24_000
    # softmend-solids, section 3: largest deviation 0.12 mm on a bone of 343 mm, at 50 000 faces.
    assert float(fine.nearest_points(copy.points)[0].max()) < 0.12e-3
    assert display_copy(fine, 1_000_000) is fine


def test_a_still_of_a_ball_covers_the_area_of_its_circle() -> None:
    frame = frame_of_look([1, 2, -0.5], [0, 0, 1])
    seen = look_at(ball(1.0), frame, [0, 0, 0], 4.0, (400, 300))
    # pi r^2 over the area of the picture, 4 by 3; the ball has 96 sides.
    assert (seen > 0).mean() == pytest.approx(np.pi / 12, rel=0.01)
    assert seen.max() <= 1.0


def test_a_frame_is_a_rotation_and_needs_two_directions() -> None:
    frame = frame_of_look([1, 2, -0.5], [0, 0.1, 1])
    assert frame @ frame.T == pytest.approx(np.eye(3))
    assert np.linalg.det(frame) == pytest.approx(1)
    with pytest.raises(InputError, match="another one upward"):
        frame_of_look([0, 0, 1], [0, 0, -2])


def test_a_pick_on_the_copy_is_taken_to_the_measuring_mesh() -> None:
    copy = display_copy(BONE, 3000)
    found = Snapping(BONE).snapped(copy.centres[:50])
    exact = BONE.nearest_points(copy.centres[:50])[2]
    assert found == pytest.approx(exact)


def test_a_pick_off_the_scan_is_refused() -> None:
    with pytest.raises(InputError, match="far from the scan"):
        Snapping(BONE).snapped([[0.5, 0.5, 0.5]])
