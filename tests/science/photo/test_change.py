"""Openings and new cracks in pairs of drawn photographs with independent noise."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.photo.blur import Blur, edge_blur
from softmend.science.photo.change import (
    Air,
    Movement,
    Opening,
    detection_floor,
    is_like_temperature,
    movement,
    openings,
    paired_widths,
)
from softmend.science.photo.light import coded_grey, linear_light
from softmend.science.photo.new_crack import laid_on, new_cracks, new_levels
from softmend.science.photo.register import Registration, features, registered
from softmend.science.photo.standing_out import levels
from tests.science.photo.drawn_cracks import EDGE_PX, add_crack, slab_picture, wandering
from tests.science.photo.test_register import STRAIGHT, pored, tilted, viewed

SAME = Registration(np.eye(3), 99, 99, 0.1, 1.0, "", np.zeros((0, 2)))


def measured(first: tuple[float, float], second: tuple[float, float], seed: int = 0):
    """Return the pair and the blurs of one crack given as (width, blur) at two dates."""
    pictures = [slab_picture(*date, seed + n) for n, date in enumerate((first, second))]
    lights = [linear_light(picture) for picture, _ in pictures]
    blurs = [edge_blur(light, *EDGE_PX) for light in lights]
    pair = paired_widths(tuple(lights), tuple(blurs), pictures[0][1], SAME)
    return pair, tuple(blurs)


@pytest.mark.parametrize("width", [3.0, 6.0])
def test_an_opening_of_08_px_is_read_within_03_under_another_focus(width: float) -> None:
    pair, blurs = measured((width, 0.9), (width + 0.8, 1.1))
    found = openings(pair, blurs, 150.0, 0.3, 0.0)
    assert len(found) >= 5
    assert [one.opening_px for one in found] == pytest.approx([0.8] * len(found), abs=0.3)
    assert all(one.is_shown for one in found)


@pytest.mark.parametrize("width", [3.0, 6.0])
def test_an_unchanged_crack_shows_no_change(width: float) -> None:
    pair, blurs = measured((width, 0.9), (width, 1.1), seed=20)
    found = openings(pair, blurs, 150.0, 0.3, 0.0)
    assert [one.opening_px for one in found] == pytest.approx([0.0] * len(found), abs=0.3)
    assert not any(one.is_shown for one in found)
    assert movement(found, Air(50, 20), Air(30, 20)) is Movement.NO_CHANGE_SHOWN


def test_without_a_pair_of_one_day_nothing_under_a_pixel_is_a_change() -> None:
    pair, blurs = measured((4.0, 0.9), (4.8, 0.9))
    assert not any(one.is_shown for one in openings(pair, blurs, 150.0, 1.0, 0.0))


def test_the_floor_comes_from_two_photographs_of_one_day_and_never_falls_below_03() -> None:
    same, _ = measured((4.0, 0.9), (4.0, 1.0), seed=40)
    assert detection_floor(same) == 0.3
    other, _ = measured((4.0, 0.9), (4.6, 1.0), seed=40)
    assert detection_floor(other) == pytest.approx(0.6, abs=0.15)
    with pytest.raises(InputError, match="The floor is below what two photographs can tell"):
        openings(same, (Blur(1, 0.1), Blur(1, 0.1)), 150.0, 0.1, 0.0)


def test_the_scale_adds_to_what_must_be_passed() -> None:
    pair, blurs = measured((12.0, 0.9), (12.5, 0.9))
    sure, unsure = (openings(pair, blurs, 300.0, 0.3, sd)[0] for sd in (0.0, 0.02))
    assert unsure.threshold_px - sure.threshold_px == pytest.approx(0.02 * 12.5, abs=0.02)
    assert sure.is_shown
    assert not unsure.is_shown


def moved(by: float) -> tuple[Opening, ...]:
    return (Opening(0, 99, (0, 0), (0, 1), 5.0, 5.0 + by, by, 0.05, 0.15, 0.4, 20),)


@pytest.mark.parametrize(
    ("by", "earlier", "later", "said"),
    [
        (0.9, Air(50, 20), Air(52, 21), "grown"),
        (0.9, Air(50, 20), Air(52, 26), "not known"),
        (0.9, Air(50), Air(52), "not known"),
        (0.9, Air(), Air(50, 20), "not known"),
        (0.9, Air(55, 20), Air(40, 20), "breathes with RH"),
        (-0.9, Air(40, 20), Air(55, 20), "breathes with RH"),
        (-0.9, Air(55, 20), Air(40, 20), "not known"),
        (-0.9, Air(50, 20), Air(50, 20), "not known"),
        (0.2, Air(55, 20), Air(40, 20), "no change shown"),
    ],
)
def test_grown_needs_like_air_at_both_dates(by, earlier, later, said) -> None:
    assert movement(moved(by), earlier, later).value == said
    assert movement((), earlier, later) is Movement.NOT_KNOWN
    assert is_like_temperature(Air(50, 20), Air(50, 22))


def test_a_crack_that_leaves_the_later_photograph_is_refused() -> None:
    picture, line = slab_picture(4.0, 1.0)
    light = linear_light(picture)
    away = Registration(
        np.array([[1.0, 0, 600], [0, 1, 0], [0, 0, 1]]), 99, 99, 0.1, 1.0, "", np.zeros((0, 2))
    )
    with pytest.raises(InputError, match="This crack leaves the later photograph; got"):
        paired_widths((light, light), (Blur(1, 0.1), Blur(1, 0.1)), line, away)


@pytest.fixture(scope="module")
def two_dates() -> tuple:
    """Two dates of a pored wall: old cracks on both, five new ones on the later."""
    rng = np.random.default_rng(12)
    wall = pored(rng)
    for _ in range(12):
        start = rng.uniform(0.1, 0.9, 2) * wall.shape[::-1]
        old = wandering(start, start + rng.normal(0, 150, 2), 0.1, rng)
        add_crack(wall, np.clip(old, 9, np.array(wall.shape[::-1]) - 9), 3.0, 0.5)
    first = viewed(wall, STRAIGHT, rng)
    later = wall.copy()
    new = []
    for number in range(5):
        start = np.array([350.0 + 220 * number, 350.0 + 60 * number])
        new.append(wandering(start, start + np.array([60, 210]), 0.1, rng))
        add_crack(later, new[-1], 2.0, 0.35)
    second = viewed(later, tilted(2.0, 1.04, 1e-5), rng, slope=0.2, gamma=1.1, blur=1.0)
    return first, second, [line - [150, 120] for line in new]


def test_every_new_crack_is_among_the_suggestions_and_few_others_are(two_dates) -> None:
    first, second, new = two_dates
    whole = registered(features(first), features(second))
    greys = [coded_grey(picture) for picture in (first, second)]
    left = new_levels(levels(greys[0]), levels(greys[1]), whole)
    size = first.shape[::-1]
    found, more = new_cracks(laid_on(greys[1], whole, size), left, 50.0)
    assert more == 0
    points = np.concatenate([line for one in found for line in one.lines_px])
    for crack in new:
        near = np.hypot(*(points[:, None] - crack[None]).transpose(2, 0, 1)).min(axis=0) < 5
        assert near.mean() > 0.4
    truth = np.concatenate(new)
    off = np.hypot(*(points[:, None] - truth[None]).transpose(2, 0, 1)).min(axis=1)
    assert np.mean(off < 6) > 0.8


def test_two_dates_without_a_new_crack_give_hardly_any(two_dates) -> None:
    rng = np.random.default_rng(99)
    wall = pored(rng)
    first = viewed(wall, STRAIGHT, rng)
    second = viewed(wall, tilted(1.0, 1.02, 0.0), rng, blur=0.9)
    whole = registered(features(first), features(second))
    left = new_levels(levels(coded_grey(first)), levels(coded_grey(second)), whole)
    laid = laid_on(coded_grey(second), whole, first.shape[::-1])
    assert len(new_cracks(laid, left, 50.0)[0]) <= 1
    assert laid.shape == first.shape
    inner = (slice(150, -150), slice(200, -200))
    smooth = [cv2.GaussianBlur(p.astype(np.float32), (0, 0), 3)[inner] for p in (first, laid)]
    assert np.abs(smooth[0] - smooth[1]).mean() < 3
