"""Widths of cracks whose light is written down exactly, blur and all."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import least_squares

from softmend.errors import InputError
from softmend.science.photo.across import measured_across, metres_across
from softmend.science.photo.blur import Blur, edge_blur, marker_blur
from softmend.science.photo.light import coded_grey, linear_light
from softmend.science.photo.marker import detect_markers
from softmend.science.photo.profile import fitted, offsets_px, sampled
from softmend.science.photo.scale import PlaneScale
from softmend.science.photo.surface import Standoff
from softmend.science.photo.width import _Slab, stretch_widths, widths
from softmend.science.uncertain import Uncertain
from tests.science.photo.drawn_cracks import EDGE_PX, slab_picture
from tests.science.photo.test_marker import picture_with

PIXEL = 12**-0.5
BLURS = (0.8, 1.5)


def jittered(line: np.ndarray, seed: int) -> np.ndarray:
    return line + np.random.default_rng(seed).normal(0, 0.5, line.shape)


def median_width(plane: np.ndarray, line: np.ndarray) -> tuple[float, Blur]:
    blur = edge_blur(plane, *EDGE_PX)
    return float(np.median(widths(plane, jittered(line, 1), blur).width_px)), blur


@pytest.mark.parametrize("blur", BLURS)
@pytest.mark.parametrize("share", [3.0, 5.0, 12.0])
def test_a_width_from_three_blurs_up_is_right_within_015_px(blur: float, share: float) -> None:
    true = share * float(np.hypot(blur, PIXEL))
    picture, line = slab_picture(true, blur)
    found, measured = median_width(linear_light(picture), line)
    assert measured.sd_px == pytest.approx(np.hypot(blur, PIXEL), abs=0.03)
    assert found == pytest.approx(true, abs=0.15)


@pytest.mark.parametrize("blur", BLURS)
@pytest.mark.parametrize("share", [3.0, 5.0, 12.0])
def test_coded_values_fail_where_linear_light_passes(blur: float, share: float) -> None:
    true = share * float(np.hypot(blur, PIXEL))
    picture, line = slab_picture(true, blur)
    found, _ = median_width(coded_grey(picture) / np.float32(255), line)
    assert abs(found - true) > 0.5


@pytest.mark.parametrize("blur", BLURS)
@pytest.mark.parametrize("share", [0.5, 1.0, 1.5])
def test_below_two_blurs_there_is_no_number(blur: float, share: float) -> None:
    true = share * float(np.hypot(blur, PIXEL))
    picture, line = slab_picture(true, blur)
    light = linear_light(picture)
    found = widths(light, line, edge_blur(light, *EDGE_PX))
    assert found.limit_px == pytest.approx(2 * np.hypot(blur, PIXEL), abs=0.1)
    assert np.mean(found.is_measured) < 0.05
    assert all(one.median_px is None for one in stretch_widths(found, 200.0))
    assert np.mean(found.is_seen) > 0.95


def test_the_true_width_lies_inside_what_is_printed_stretch_by_stretch() -> None:
    inside = 0
    for seed in range(8):
        picture, line = slab_picture(3.7, 0.9, seed)
        light = linear_light(picture)
        found = widths(light, jittered(line, seed), edge_blur(light, *EDGE_PX))
        stretches = stretch_widths(found, 200.0)
        inside += sum(abs(one.median_px - 3.7) < 2 * one.sd_px for one in stretches)
        assert all(one.sd_px < 0.15 for one in stretches)
    assert inside >= 0.9 * 8 * len(stretches)


def test_an_assumed_darkness_gives_numbers_also_below_two_blurs() -> None:
    wide, line = slab_picture(8.0, 1.2)
    thin, _ = slab_picture(1.2, 1.2, seed=4)
    picture = wide.copy()
    picture[:, 550:] = thin[:, 550:]
    light = linear_light(picture)
    blur = edge_blur(light, *EDGE_PX)
    found = widths(light, line, blur, assume_depth=True)
    narrow = found.points_px[:, 0] > 600
    assert np.median(found.width_px[narrow]) == pytest.approx(1.2, abs=0.12)
    assert found.is_measured[narrow].mean() > 0.9
    with pytest.raises(InputError, match="No part of this crack is wide enough"):
        widths(linear_light(thin), line, blur, assume_depth=True)


def test_where_there_is_no_crack_none_is_seen() -> None:
    picture, line = slab_picture(4.0, 1.0)
    light = linear_light(picture)
    found = widths(light, line + np.array([0.0, -35.0]), edge_blur(light, *EDGE_PX))
    assert found.is_seen.mean() < 0.1
    assert stretch_widths(found, 1e6)[0].median_px is None


def test_all_at_once_gives_what_one_by_one_gives() -> None:
    across = offsets_px(12.0)
    rng = np.random.default_rng(0)
    true = np.column_stack(
        [rng.uniform(0.4, 0.6, 30), rng.normal(0, 1e-3, 30), rng.normal(0, 0.3, 30),
         rng.uniform(3, 9, 30), rng.uniform(0.2, 0.4, 30)]
    )  # fmt: skip
    slab = _Slab(1.2, None)
    profiles = slab(across, true)[0] + rng.normal(0, 0.004, (30, len(across)))
    start = true * np.array([1, 0, 0, 0.7, 1.2])
    least = np.array([-np.inf, -np.inf, -np.inf, 0.05, 0.005])
    ours = fitted(slab, start, across, profiles, np.ones_like(profiles), least).parameters
    for row in range(30):
        theirs = least_squares(
            lambda p, row=row: slab(across, p[None])[0][0] - profiles[row], start[row]
        ).x
        assert ours[row] == pytest.approx(theirs, abs=2e-3)


def test_slopes_of_the_slab_are_those_of_its_values() -> None:
    across, at = offsets_px(8.0), np.array([[0.5, 0.001, 0.2, 3.0, 0.3]])
    _, slopes = _Slab(1.1, None)(across, at)
    for number in range(5):
        step = np.zeros(5)
        step[number] = 1e-6
        above, below = (_Slab(1.1, None)(across, at + sign * step)[0][0] for sign in (1, -1))
        assert slopes[0, number] == pytest.approx((above - below) / 2e-6, abs=1e-6)


def test_profiles_are_read_from_the_corner_of_the_picture() -> None:
    ramp = np.tile(np.arange(60, dtype=np.float32) + 0.5, (60, 1))
    found = sampled(ramp, np.array([[30.25, 20.0]]), np.array([[1.0, 0.0]]), np.zeros(1))
    assert float(found[0, 0]) == pytest.approx(30.25, abs=0.06)


def test_the_sides_of_a_marker_give_the_blur() -> None:
    picture = picture_with({7: (300.0, 200.0, 200.0)})
    found = marker_blur(coded_grey(picture) / np.float32(255), detect_markers(picture))
    # Drawn four times finer, laid in pixels, then blurred by 1.2 px.
    assert found.sd_px == pytest.approx(np.hypot(1.2, PIXEL), abs=0.08)
    assert found.edges == 4
    with pytest.raises(InputError, match="No edge of a marker can be measured"):
        marker_blur(np.full((300, 300), 0.5, np.float32), detect_markers(picture))


def test_what_is_no_edge_is_refused() -> None:
    flat = np.full((100, 100), 0.5, dtype=np.float32)
    with pytest.raises(InputError, match="No sharp edge between dark and light was found"):
        edge_blur(flat, [20, 20], [80, 20])
    with pytest.raises(InputError, match=r"The edge is too short to measure the blur on; got 5\.0"):
        edge_blur(flat, [20, 20], [25, 20])
    with pytest.raises(
        InputError, match=r"The trace is too short to measure a width on; got 10 px"
    ):
        widths(flat, [[20, 20], [30, 20]], Blur(1.0, 0.1))


def test_a_width_in_pixels_becomes_metres_with_the_spread_of_the_scale() -> None:
    sure = Standoff(Uncertain.exact(0.0), Uncertain.exact(1.0))
    scale = PlaneScale(20_000.0, {"clicks on the scale": 0.01}, sure)
    assert metres_across(scale, [5, 5], [0.6, 0.8]) == pytest.approx(5e-5)
    found = measured_across(scale, [5, 5], [0, 1], 8.0, {"noise": 0.1})
    assert found.mean == pytest.approx(4e-4, rel=1e-3)
    assert found.sd == pytest.approx(4e-4 * np.hypot(0.01, 0.1 / 8), rel=0.05)
    with pytest.raises(InputError, match="A standard deviation is negative"):
        measured_across(scale, [5, 5], [0, 1], 8.0, {"noise": -0.1})
