"""Rectified views against OpenCV's homography and a pinhole camera written here."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.photo.polygon import line_length, measured_length
from softmend.science.photo.rectangle import rectangle_view, tilt_deg, unit_square_to_quad
from softmend.science.photo.surface import Standoff
from softmend.science.uncertain import Uncertain
from tests.science.checks import expected

IN_PLANE = Standoff(Uncertain.exact(0.0), Uncertain.exact(0.5))
SIZE = Uncertain.exact(0.08), Uncertain.exact(0.06)
CORNERS_M = np.array([[0.0, 0.0], [0.08, 0.0], [0.08, 0.06], [0.0, 0.06]])


def photographed(points_m: np.ndarray, tilt: float, focal_px: float = 4000.0) -> np.ndarray:
    """Project points of a plane 0.5 m off, tilted about the picture's upright, by a pinhole."""
    angle = np.radians(tilt)
    x, y = points_m[:, 0] - 0.04, points_m[:, 1] - 0.03
    depth = 0.5 + x * np.sin(angle)
    return 2000.0 + focal_px * np.column_stack([x * np.cos(angle), y]) / depth[:, None]


def view_of(corners_px: np.ndarray, standoff: Standoff = IN_PLANE):
    return rectangle_view([[c] for c in corners_px], *SIZE, 1.0, standoff)


def test_the_matrix_is_that_of_opencv() -> None:
    rng = np.random.default_rng(1)
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], dtype=np.float32)
    for _ in range(20):
        quad = (square * 500 + rng.normal(0, 40, (4, 2))).astype(np.float32)
        theirs = cv2.getPerspectiveTransform(square, quad)
        ours = unit_square_to_quad(quad[None].astype(float))[0]
        np.testing.assert_allclose(ours / ours[2, 2], theirs, rtol=1e-4, atol=1e-4)


@pytest.mark.parametrize("tilt", [0, 20, 40, 60])
def test_a_tilted_plane_gives_back_true_lengths(tilt: float) -> None:
    view = view_of(photographed(CORNERS_M, tilt))
    line = photographed(np.array([[0.02, 0.03], [0.06, 0.03]]), tilt)
    assert line_length(view, line) == pytest.approx(0.04, rel=1e-9)
    assert view.tilt_deg == pytest.approx(tilt, abs=2.5)


@pytest.mark.parametrize("px_per_mm", [5, 10, 20])
def test_one_pixel_corners_give_the_simulated_spread(px_per_mm: int) -> None:
    view = view_of(CORNERS_M * 1000 * px_per_mm)
    line = np.array([[20.0, 30.0], [60.0, 30.0]]) * px_per_mm
    found = measured_length(view, line, click_sd_px=1.0, n=20_000)
    check = expected("softmend-imaging")[f"rectangle_{px_per_mm}_px_per_mm"]
    check.accept(found.sd / 0.04)


def test_a_surface_behind_the_rectangle_is_read_too_small_by_h_over_z() -> None:
    corners = photographed(CORNERS_M, 0)
    behind = Standoff(Uncertain.exact(0.01), Uncertain.exact(0.51))
    line = np.array([[1900.0, 2000.0], [2100.0, 2000.0]])
    flat = line_length(view_of(corners), line)
    # The true length on a plane 10 mm further off, by the pinhole itself.
    assert line_length(view_of(corners, behind), line) == pytest.approx(200 * 0.51 / 4000)
    assert flat == pytest.approx(200 * 0.50 / 4000)


def test_repeated_clicks_report_their_scatter() -> None:
    corners = CORNERS_M * 10_000
    rng = np.random.default_rng(3)
    clicks = [corner + rng.normal(0, 2.0, (200, 2)) for corner in corners]
    view = rectangle_view(clicks, *SIZE)
    assert view.click_scatter_px == pytest.approx(2.0, rel=0.1)
    assert view_of(corners).click_scatter_px is None


def test_local_scale_falls_away_from_the_near_edge() -> None:
    view = view_of(photographed(CORNERS_M, 40))
    near, near_sd = view.local_px_per_m(photographed(CORNERS_M[:1], 40)[0])
    far, _ = view.local_px_per_m(photographed(CORNERS_M[1:2], 40)[0])
    assert near > far
    assert 0 < near_sd < 0.02


def test_a_squeezed_square_is_tilted_by_the_arc_cosine() -> None:
    quad = np.array([[0.0, 0], [100, 0], [100, 100 * np.cos(np.radians(35))], [0, 0]])
    quad[3] = [0, quad[2, 1]]
    assert tilt_deg(quad, 1.0, 1.0) == pytest.approx(35.0)


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        (
            [[0, 0], [800, 600], [800, 0], [0, 600]],
            "The four corners do not go round a rectangle; allowed: top left, top right, bottom "
            "right, bottom left; Click the corners again in that order.",
        ),
        (
            [[0, 0], [8, 0], [800, 600], [0, 600]],
            "A side of the rectangle is too short in the picture; got 8.0 px; "
            "allowed: at least 20 px.",
        ),
        ([[0, 0], [1, 1], [2, 2]], "A rectangle needs its four corners; got 3; allowed: 4."),
    ],
)
def test_corners_that_are_no_rectangle_are_refused(corners, words: str) -> None:
    with pytest.raises(InputError) as refused:
        rectangle_view([[c] for c in corners], *SIZE)
    assert str(refused.value) == words


def test_a_point_beyond_the_horizon_of_the_plane_is_refused() -> None:
    view = view_of(photographed(CORNERS_M, 60))
    with pytest.raises(InputError, match="A point lies too far from the rectangle: its plane"):
        line_length(view, [[2000.0, 2000.0], [9000.0, 2000.0]])
