"""The copy for the eye, stills without perspective, and picks taken to the measuring mesh."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.display import display_copy, frame_of_look, look_at, look_facing
from softmend.science.solid.mesh import Mesh
from softmend.science.solid.painted import painted_look
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


def test_a_painted_look_shows_the_distance_of_the_face_that_is_seen() -> None:
    body = ball(1.0)
    frame = frame_of_look([0, 0, -1], [0, 1, 0])
    bright, told = painted_look(body, body.points[:, 0], frame, [0, 0, 0], 4.0, (400, 300))
    assert (bright > 0).tolist() == (look_at(body, frame, [0, 0, 0], 4.0, (400, 300)) > 0).tolist()
    # Seen from above, the distance painted on was the place across the picture.
    across = (np.arange(400) + 0.5 - 200) / 100
    on_it = bright > 0
    assert np.abs(told - across)[on_it].max() < 0.1
    assert not told[~on_it].any()
    with pytest.raises(InputError, match="not of this copy"):
        painted_look(body, [0.0], frame, [0, 0, 0], 4.0, (400, 300))


def test_a_look_faces_the_surface_at_a_place_upright_or_with_the_longest_side_across() -> None:
    toward, up = look_facing(ball(1.0), [0.0, -1.0, 0.0], [-1, 0, 0])
    assert toward == pytest.approx([0, 1, 0], abs=0.05)
    assert up.tolist() == [1, 0, 0]
    _toward, across = look_facing(BONE, [0.0, -0.015, 0.17], [0, 1, 0])
    assert abs(across[2]) < 0.5
    with pytest.raises(InputError, match="no direction"):
        look_facing(BONE, [0.0, 0.0, 0.0], [0, 0, 0])


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
