"""A shaft that bends, against a tube of known bend seen by a known camera."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.photo.bend import local_edges, outline_share
from softmend.science.photo.cylinder import cylinder_from_outline
from softmend.science.photo.polygon import measured_length
from softmend.science.uncertain import Uncertain

# A tube of radius 30 mm whose axis is an arc of radius 1.2 m in the plane square to the view, seen
# by a pinhole camera 1.5 m from that plane: everything below follows from these numbers alone.
RADIUS, BEND, AWAY, FOCAL = 0.030, 1.2, 1.5, 6800.0
CENTRE = np.array([2000.0, 1000.0])


def tube(turn: np.ndarray, phi: np.ndarray) -> np.ndarray:
    """Return points of the tube: `turn` along the bend, `phi` round it from the front [rad]."""
    reach = BEND + RADIUS * np.sin(phi)
    x, y = reach * np.sin(turn), reach * np.cos(turn) - BEND
    return np.stack([x, y, RADIUS * np.cos(phi) + 0 * turn], axis=-1)


def seen(points: np.ndarray) -> np.ndarray:
    depth = AWAY - points[..., 2]
    return CENTRE + FOCAL * points[..., :2] * np.array([1.0, -1.0]) / depth[..., None]


def edges(turns: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the outline at some places along: the outermost point of each ring of the tube."""
    phi = np.linspace(-np.pi, np.pi, 20001)
    found = []
    for turn in turns:
        ring = seen(tube(np.full_like(phi, turn), phi))
        across = (ring - CENTRE) @ np.array([np.sin(turn), -np.cos(turn)])
        found.append(ring[[int(across.argmin()), int(across.argmax())]])
    one, other = np.swapaxes(np.array(found), 0, 1)
    return one, other


@pytest.mark.parametrize("phi_deg", [-40.0, 0.0, 25.0, 40.0])
def test_a_line_along_a_bent_tube_is_measured_to_one_percent(phi_deg: float) -> None:
    phi = np.radians(phi_deg)
    turns = np.linspace(-0.2, 0.2, 9)
    part = np.linspace(-0.03, 0.11, 40)
    line = tube(part, np.full_like(part, phi))
    true = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    left, right, width = local_edges(*edges(turns), seen(line))
    view = cylinder_from_outline(
        left,
        right,
        Uncertain.exact(2 * RADIUS * width),
        Uncertain.exact(AWAY - RADIUS),
        [2000.0, 1000.0],
    )
    assert measured_length(view, seen(line)).mean == pytest.approx(true, rel=0.01)


def test_one_straight_shaft_for_the_whole_bend_would_misread_across_it() -> None:
    turns = np.linspace(-0.2, 0.2, 9)
    phi = np.linspace(-0.6, 0.6, 40)
    ring = tube(np.zeros_like(phi), phi)
    true = RADIUS * 1.2
    one, other = edges(turns)
    whole = cylinder_from_outline(
        one[[0, -1]],
        other[[0, -1]],
        Uncertain.exact(2 * RADIUS),
        Uncertain.exact(AWAY - RADIUS),
        [2000.0, 1000.0],
    )
    with pytest.raises(InputError, match="outline of the shaft"):
        measured_length(whole, seen(ring))
    left, right, width = local_edges(one, other, seen(ring))
    local = cylinder_from_outline(
        left,
        right,
        Uncertain.exact(2 * RADIUS * width),
        Uncertain.exact(AWAY - RADIUS),
        [2000.0, 1000.0],
    )
    assert measured_length(local, seen(ring)).mean == pytest.approx(true, rel=0.02)


@pytest.mark.parametrize("angle_deg", [10.0, 30.0, 45.0, 60.0])
def test_the_share_of_the_outline_is_where_a_ray_meets_the_shaft(angle_deg: float) -> None:
    angle = np.radians(angle_deg)
    picture = RADIUS * np.sin(angle) / (AWAY - RADIUS * np.cos(angle))
    outline = np.tan(np.arcsin(RADIUS / AWAY))
    assert outline_share(angle_deg, AWAY / RADIUS) == pytest.approx(picture / outline)


def test_edges_of_different_length_are_refused() -> None:
    with pytest.raises(InputError, match="as many points each; got 2 and 3"):
        local_edges([[0, 0], [9, 0]], [[0, 9], [5, 9], [9, 9]], [[1, 1]])


@pytest.mark.parametrize(("angle", "away"), [(90.0, 5.0), (60.0, 1.5), (-1.0, 5.0)])
def test_an_angle_that_is_not_seen_is_refused(angle: float, away: float) -> None:
    with pytest.raises(InputError):
        outline_share(angle, away)
