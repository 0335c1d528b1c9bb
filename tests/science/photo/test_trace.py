"""Traces from click to click on drawn cracks among decoys."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools

import cv2
import numpy as np
import pytest
from scipy.spatial import cKDTree

from softmend.errors import InputError
from softmend.science.photo.ridge import dark_lines, line_strength
from softmend.science.photo.strip import Strip, best_way, even_points, normals, pulled_straight
from softmend.science.photo.trace import Trace, prepared, trace
from tests.science.photo.drawn_cracks import add_crack, textured, wandering

SHAPE = (1500, 4300)


def distances(line: np.ndarray, true: np.ndarray) -> np.ndarray:
    dense = np.concatenate([np.linspace(a, b, 20) for a, b in itertools.pairwise(true)])
    return np.asarray(cKDTree(dense).query(line)[0])


def seen(picture: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    blurred = cv2.GaussianBlur(picture, (0, 0), 0.8) + 4 * rng.standard_normal(picture.shape)
    return np.clip(blurred, 0, 255).astype(np.float32)


@pytest.fixture(scope="module")
def scene() -> tuple[np.ndarray, np.ndarray]:
    """A crack of 2 px and 15 % contrast, 4000 px long, among decoys."""
    rng = np.random.default_rng(1)
    picture = textured(SHAPE, rng)
    crack = wandering((150, 500), (4150, 900), 0.1, rng, 8)
    for _ in range(20):
        start = rng.uniform(0, 1, 2) * SHAPE[::-1]
        decoy = wandering(start, start + rng.normal(0, 200, 2), 0.1, rng, 6)
        decoy = np.clip(decoy, 20, np.array(SHAPE[::-1]) - 20)
        add_crack(picture, decoy, rng.uniform(1.5, 4), rng.uniform(0.05, 0.2))
    add_crack(picture, crack, 2.0, 0.15)
    return seen(picture, rng), crack


def test_a_faint_crack_is_traced_within_a_pixel_by_three_clicks_between_its_ends(scene) -> None:
    picture, crack = scene
    clicks = crack[np.linspace(0, len(crack) - 1, 5).astype(int)]
    clicks = clicks + np.random.default_rng(5).normal(0, 1.5, clicks.shape)
    found = trace(prepared(picture), clicks)
    off = distances(found.points_px, crack)
    assert np.median(off) <= 0.5
    assert np.quantile(off, 0.95) <= 1.0
    assert found.weak_share < 0.02


@pytest.mark.parametrize(("wide", "dark"), [(3.0, 0.3), (8.0, 0.3), (5.0, 0.6)])
def test_a_crooked_dark_crack_is_followed_round_its_corners(wide: float, dark: float) -> None:
    rng = np.random.default_rng(1)
    picture = textured((900, 2200), rng)
    crack = wandering((100, 400), (2100, 500), 0.09, rng, 7)
    add_crack(picture, crack, wide, dark)
    off = distances(trace(prepared(seen(picture, rng)), crack[[0, -1]]).points_px, crack)
    assert np.median(off) <= 0.5
    assert np.quantile(off, 0.95) <= 1.5


def broken(gap: tuple[float, float]) -> tuple[Trace, np.ndarray]:
    rng = np.random.default_rng(11)
    picture = textured((500, 2400), rng)
    first = wandering((100, 250), (gap[0], 260), 0.08, rng)
    second = wandering((gap[1], 260), (2300, 250), 0.08, rng)
    for piece in (first, second):
        add_crack(picture, piece, 2.0, 0.15)
    return trace(prepared(seen(picture, rng)), [[100, 250], [2300, 250]]), picture


def test_the_stretch_without_a_crack_is_called_weak_and_the_rest_is_not() -> None:
    found, _ = broken((1000, 1300))
    weak = [one for one in found.stretches if one.is_weak]
    ends = found.points_px[[weak[0].first, weak[-1].last], 0]
    assert ends == pytest.approx([1000, 1300], abs=45)
    assert found.weak_share == pytest.approx(300 / 2200, abs=0.06)


def test_a_line_over_nothing_is_weak_for_the_most_part() -> None:
    rng = np.random.default_rng(3)
    found = trace(prepared(seen(textured((600, 1600), rng), rng)), [[100, 300], [1500, 340]])
    assert found.weak_share > 0.7


def test_the_trace_lies_where_the_picture_has_the_line() -> None:
    sheet = np.full((200, 300), 200, dtype=np.float32)
    sheet[100] = 60
    found = trace(prepared(sheet), [[20, 102], [280, 99]])
    assert found.points_px[5:-5, 1] == pytest.approx(100.5, abs=0.1)
    turned = trace(prepared(np.ascontiguousarray(sheet.T)), [[102, 20], [99, 280]])
    assert turned.points_px[5:-5, 0] == pytest.approx(100.5, abs=0.1)


def test_a_line_is_told_from_a_blob_and_a_bright_line() -> None:
    sheet = np.full((120, 120), 150, dtype=np.float32)
    sheet[20:22] = 60
    sheet[60:62] = 240
    cv2.circle(sheet, (60, 95), 2, 60.0, -1)
    found = line_strength(sheet)
    assert found[20, 60] > 2.2 * found[95, 60]
    assert found[60, 60] < 0.2 * found[20, 60]
    assert dark_lines(sheet).dtype == np.uint8


def test_odd_sizes_do_not_shift_the_coarse_scales() -> None:
    sheet = np.full((1001, 1203), 200, dtype=np.float32)
    sheet[:, 1180:1190] = 60
    row = line_strength(sheet)[500]
    middle = np.sum(row * (np.arange(len(row)) + 0.5)) / row.sum()
    assert middle == pytest.approx(1185.0, abs=0.3)


def test_points_along_a_line_are_even_and_normals_square() -> None:
    line = even_points(np.array([[0.0, 0.0], [30.0, 40.0], [30.0, 140.0]]), 5.0)
    assert np.hypot(*np.diff(line, axis=0).T) == pytest.approx(5.0, abs=0.6)
    assert np.sum(normals(line[:8]) * np.array([0.6, 0.8]), axis=1) == pytest.approx(0, abs=1e-9)


def test_the_strip_keeps_the_ends_near_the_clicks() -> None:
    way = np.array([[50.0, 100.0], [450.0, 100.0]])
    sheet = np.zeros((200, 500), dtype=np.uint8)
    sheet[112] = 255
    strip = pulled_straight(sheet, [way], way)
    offsets, _, _ = best_way(strip, 250.0 - np.arange(256.0))
    assert abs(offsets[0]) <= 5.5
    assert abs(offsets[len(offsets) // 2]) == pytest.approx(12.5, abs=0.1)
    assert pytest.approx(400 / (len(offsets) - 1)) == Strip.STEP_PX


@pytest.mark.parametrize(
    ("clicks", "sentence"),
    [
        (
            [[10, 10], [900, 10]],
            "An anchor lies outside the picture; got 900, 10; allowed: 0 to 300",
        ),
        ([[10, 10], [10.5, 10]], "Two neighbouring anchors lie on one place"),
        ([[10, 10]], "Picture points are missing"),
        ([[i, 5] for i in range(501)], "There are too many anchors"),
    ],
)
def test_clicks_that_make_no_line_are_refused(clicks: list, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        trace(prepared(np.zeros((200, 300), dtype=np.float32)), clicks)
