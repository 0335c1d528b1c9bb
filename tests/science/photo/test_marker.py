"""Markers drawn here with known corners, blurred, and found again."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.photo.marker import Marker, detect_markers, scale_by_centres, scale_by_sides
from softmend.science.photo.surface import Standoff
from softmend.science.uncertain import Uncertain

IN_PLANE = Standoff(Uncertain.exact(0.0), Uncertain.exact(0.5))


def picture_with(markers: dict[int, tuple[float, float, float]], size=(900, 1600)) -> np.ndarray:
    """Draw markers (number: left, top, side in px from the picture's corner), blurred as a lens."""
    fine = 4
    paper = np.full((size[0] * fine, size[1] * fine), 230, dtype=np.uint8)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_250)
    for number, (left, top, side) in markers.items():
        drawn = cv2.aruco.generateImageMarker(dictionary, number, int(side * fine))
        x, y = int(left * fine), int(top * fine)
        paper[y : y + drawn.shape[0], x : x + drawn.shape[1]] = np.maximum(drawn, 25)
    coarse = cv2.resize(paper, None, fx=1 / fine, fy=1 / fine, interpolation=cv2.INTER_AREA)
    blurred = cv2.GaussianBlur(coarse, (0, 0), 1.2).astype(float)
    noisy = blurred + np.random.default_rng(1).normal(0, 4, blurred.shape)
    return np.clip(noisy, 0, 255).astype(np.uint8)


def test_corners_are_counted_from_the_corner_of_the_picture() -> None:
    found = detect_markers(picture_with({7: (300.25, 200.5, 200.0)}))
    assert [marker.number for marker in found] == [7]
    true = np.array([[300.25, 200.5], [500.25, 200.5], [500.25, 400.5], [300.25, 400.5]])
    assert np.abs(found[0].corners_px.mean(axis=0) - true.mean(axis=0)).max() < 0.1
    assert np.sqrt(np.mean((found[0].corners_px - true) ** 2)) < 0.35


def test_the_true_scale_lies_inside_the_stated_uncertainty_of_one_marker() -> None:
    for side in (80.0, 160.0, 400.0):
        found = detect_markers(picture_with({3: (300.0, 200.0, side)}))
        scale = scale_by_sides(found, Uncertain.exact(0.04), IN_PLANE)
        true = side / 0.04
        assert abs(scale.px_per_m - true) < 2 * scale.relative_sd * true
    assert scale.relative_sd < 0.002


def test_the_distance_of_two_centres_is_free_of_the_shortening_by_blur() -> None:
    pair = detect_markers(picture_with({1: (100.0, 300.0, 80.0), 2: (1300.0, 310.0, 80.0)}))
    true = float(np.hypot(1200.0, 10.0)) / 0.3
    by_centres = scale_by_centres(*pair, Uncertain.exact(0.3), IN_PLANE)
    by_sides = scale_by_sides(pair, Uncertain.exact(80 / true), IN_PLANE)
    assert by_centres.px_per_m == pytest.approx(true, rel=3e-4)
    assert by_sides.px_per_m < by_centres.px_per_m
    assert by_centres.relative_sd < by_sides.relative_sd


@pytest.mark.parametrize("form", ["16 bit", "colour"])
def test_other_pictures_give_the_same_markers(form: str) -> None:
    grey = picture_with({7: (300.0, 200.0, 200.0)})
    other = grey.astype(np.uint16) * 257 if form == "16 bit" else np.dstack([grey] * 3)
    np.testing.assert_allclose(
        detect_markers(other)[0].corners_px, detect_markers(grey)[0].corners_px, atol=0.01
    )


def test_a_picture_without_markers_gives_none_and_no_scale() -> None:
    assert detect_markers(np.full((200, 200), 128, dtype=np.uint8)) == ()
    with pytest.raises(InputError) as refused:
        scale_by_sides((), Uncertain.exact(0.04))
    assert str(refused.value) == (
        "No marker was found in the picture; Use a sharper picture in which a marker is at least "
        "60 px wide, or set the scale by two clicks."
    )


def test_one_marker_twice_has_no_distance() -> None:
    square = Marker(1, np.array([[0.0, 0], [100, 0], [100, 100], [0, 100]]))
    with pytest.raises(InputError, match=r"The two markers are the same or overlap; got 0\.0 px"):
        scale_by_centres(square, square, Uncertain.exact(0.1))


def test_an_array_that_is_no_picture_is_refused() -> None:
    with pytest.raises(InputError, match="The picture is not an array of pixels"):
        detect_markers(np.zeros((10, 10)))
