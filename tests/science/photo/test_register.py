"""Pairs of photographs laid on one another: planes, dates, and round objects that are refused."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from softmend.errors import InputError
from softmend.intake.decode import read_picture
from softmend.science.photo.register import (
    Features,
    Registration,
    chained,
    features,
    local_registration,
    registered,
)
from softmend.science.photo.square_up import carried
from tests.science.photo.drawn_cracks import add_crack, textured, wandering

PHOTOGRAPHS = Path(__file__).parents[2] / "data" / "photographs"
SIZE = (1300, 900)


def pored(rng: np.random.Generator, size: tuple[int, int] = SIZE) -> np.ndarray:
    """Return a surface with pores, a third larger than the view of it."""
    columns, rows = size[0] * 4 // 3, size[1] * 4 // 3
    surface = textured((rows, columns), rng)
    for x, y in rng.uniform(0, 1, (1500, 2)) * [columns, rows]:
        radius = rng.uniform(0.8, 3.0)
        place = (round(x * 16), round(y * 16))
        cv2.circle(surface, place, round(radius * 16), rng.uniform(70, 140), -1, cv2.LINE_AA, 4)
    return surface


def viewed(surface: np.ndarray, matrix: np.ndarray, rng: np.random.Generator, **how) -> np.ndarray:
    """Return the surface as a camera sees it: its px carried by the matrix, light, blur, noise."""
    shift = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    moved = cv2.warpPerspective(
        surface.astype(np.float32), np.linalg.inv(shift) @ matrix @ shift, how.get("size", SIZE)
    )
    light = np.linspace(1 - how.get("slope", 0), 1, moved.shape[1], dtype=np.float32)
    seen = cv2.GaussianBlur(moved * light, (0, 0), how.get("blur", 0.8))
    seen = 255 * (np.clip(seen, 1, 255) / 255) ** how.get("gamma", 1.0)
    return np.clip(seen + 4 * rng.standard_normal(seen.shape), 0, 255).astype(np.uint8)


STRAIGHT = np.array([[1.0, 0, -150], [0, 1, -120], [0, 0, 1]])


def tilted(turn_deg: float, scale: float, perspective: float) -> np.ndarray:
    turn = np.radians(turn_deg)
    rotated = scale * np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    matrix = np.eye(3)
    matrix[:2, :2] = rotated
    matrix[:2, 2] = [-170, -90]
    matrix[2, :2] = [perspective, -perspective / 2]
    return matrix


def grid() -> np.ndarray:
    x, y = np.meshgrid(np.linspace(100, 1200, 8), np.linspace(100, 800, 6))
    return np.column_stack([x.ravel(), y.ravel()])


def test_a_plane_is_laid_within_015_px_under_other_light_blur_scale_and_tilt() -> None:
    rng = np.random.default_rng(3)
    surface = pored(rng)
    matrix = tilted(3.0, 1.07, 2e-5)
    first = viewed(surface, STRAIGHT, rng)
    second = viewed(surface, matrix, rng, slope=0.25, gamma=1.2, blur=1.1)
    found = registered(features(first), features(second))
    assert found.refused == ""
    assert found.bow_px < 0.3
    true = carried(STRAIGHT @ np.linalg.inv(matrix), grid())
    assert np.median(np.hypot(*(found.earlier_px(grid()) - true).T)) <= 0.15
    assert found.later_px(found.earlier_px(grid())) == pytest.approx(grid(), abs=1e-6)
    local = found.scale_at(grid())
    assert np.median(local) == pytest.approx(1 / 1.07, rel=0.06)


def series(rng: np.random.Generator) -> list[np.ndarray]:
    """Return six dates of one wall on which cracks multiply and stain spreads."""
    surface = pored(rng)
    dates = []
    for date in range(6):
        if date:
            for _ in range(30):
                start = rng.uniform(0, 1, 2) * surface.shape[::-1]
                crack = wandering(start, start + rng.normal(0, 120, 2), 0.15, rng, 6)
                crack = np.clip(crack, 8, np.array(surface.shape[::-1]) - 8)
                add_crack(surface, crack, rng.uniform(2, 6), 0.6)
            stain = cv2.GaussianBlur(
                rng.standard_normal(surface.shape).astype(np.float32), (0, 0), 3
            )
            surface = np.clip(surface + 3 * stain / stain.std(), 20, 250)
        dates.append(viewed(surface, tilted(0.4 * date, 1 + 0.004 * date, 0.0), rng))
    return dates


def test_a_series_with_multiplying_cracks_is_chained_and_keeps_its_corners() -> None:
    rng = np.random.default_rng(5)
    dates = [features(picture) for picture in series(rng)]
    chain = chained(dates)
    corners = np.array([[0.0, 0], [SIZE[0], 0], list(SIZE), [0, SIZE[1]]])
    for date, one in enumerate(chain, start=1):
        matrix = tilted(0, 1, 0) @ np.linalg.inv(tilted(0.4 * date, 1 + 0.004 * date, 0.0))
        off = np.hypot(*(one.earlier_px(corners) - carried(matrix, corners)).T)
        assert off.max() < 3.0
        assert one.between == date - 1
    direct = registered(dates[0], dates[-1])
    # Matches fall from date to date: the last laid on the first is worth a warning.
    assert direct.agreeing < 60
    assert min(one.agreeing for one in chain) > 2 * direct.agreeing


def test_two_views_round_a_curved_glossy_object_are_refused_as_one_plane() -> None:
    first, second = (features(read_picture(PHOTOGRAPHS / name)) for name in ("10.jpg", "11.jpg"))
    found = registered(first, second)
    assert "matches agree on one plane" in found.refused


def rolled(angle_deg: float, rng: np.random.Generator, skin: np.ndarray) -> np.ndarray:
    """Return a textured shaft of 400 px radius turned by an angle."""
    rows, columns = 900, 1000
    x, y = np.meshgrid(np.arange(columns) + 0.5, np.arange(rows) + 0.5)
    across = (x - 500) / 400
    inside = np.abs(across) < 0.98
    angle = np.arcsin(np.clip(across, -0.98, 0.98)) + np.radians(angle_deg)
    at = (400 * angle + 700).astype(np.float32)
    seen = cv2.remap(skin, at, y.astype(np.float32), cv2.INTER_LINEAR)
    seen = np.where(inside, seen * np.cos(np.arcsin(np.clip(across, -0.98, 0.98))), 10)
    return np.clip(seen + 3 * rng.standard_normal(seen.shape), 0, 255).astype(np.uint8)


def test_a_turned_shaft_is_refused_whole_and_laid_patch_by_patch() -> None:
    rng = np.random.default_rng(8)
    skin = pored(rng, (1200, 900)).astype(np.float32)
    first, slightly, second = (features(rolled(angle, rng, skin)) for angle in (0.0, 5.0, 25.0))
    assert "the surface is curved" in registered(first, slightly).refused
    assert registered(first, second).refused
    patch = local_registration(first, second, [[560.0, 300], [560.0, 600]], 60.0)
    assert patch.refused == ""
    # What lies at 60 px right of the middle goes to where the turned shaft shows it.
    angle = np.arcsin(60 / 400) - np.radians(25)
    expected = [500 + 400 * np.sin(angle), 450.0]
    assert patch.later_px([[560.0, 450.0]])[0] == pytest.approx(expected, abs=2.0)


def test_pictures_that_share_nothing_are_refused_in_words() -> None:
    rng = np.random.default_rng(1)
    one, two = (features(textured((400, 400), rng).astype(np.uint8)) for _ in range(2))
    with pytest.raises(InputError, match="The two photographs share too little to be laid"):
        registered(one, two)
    with pytest.raises(InputError, match="A series has two photographs or more; got 1"):
        chained([one])
    with pytest.raises(InputError, match="The two photographs share too little around this place"):
        local_registration(one, two, [[200, 200]])


def test_a_plane_that_folds_the_picture_is_refused() -> None:
    rng = np.random.default_rng(2)
    place = rng.uniform(0, 400, (200, 2))
    words = rng.uniform(0, 200, (200, 128)).astype(np.float32)
    tiny = Features(place / 5, words, (80, 80), 1.0)
    found = registered(tiny, Features(place, words, (400, 400), 1.0))
    assert found.refused.startswith("the plane that fits best would fold or stretch")
    mirrored = Features(place * [-1, 1] + [400, 0], words, (400, 400), 1.0)
    assert registered(Features(place, words, (400, 400), 1.0), mirrored).refused


def test_matches_that_crowd_in_a_corner_are_refused() -> None:
    rng = np.random.default_rng(2)
    place = np.concatenate([rng.uniform(0, 90, (300, 2)), rng.uniform(0, 400, (200, 2))])
    words = rng.uniform(0, 200, (500, 128)).astype(np.float32)
    moved = place.copy()
    moved[300:] = rng.uniform(0, 400, (200, 2))
    found = registered(
        Features(place, words, (400, 400), 1.0), Features(moved, words, (400, 400), 1.0)
    )
    assert isinstance(found, Registration)
    assert found.refused == "the matches that agree on one plane crowd in one part of the picture"
