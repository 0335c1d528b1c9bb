"""Flakes of broken surfaces: their outlines on a tray and their seats among losses."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
import pytest

from benchmarks.drawn.breakage import breakage, broken_outline, turned, worn
from softmend.errors import InputError
from softmend.science.photo.fragment_field import local_px
from softmend.science.photo.fragment_ground import Ground
from softmend.science.photo.fragment_outline import farthest_apart, flakes
from softmend.science.photo.fragment_seat import (
    EdgeAllowance,
    best_seat,
    candidates,
    checked_outline,
)
from softmend.science.photo.fragment_surface import continuity
from tests.science.photo.drawn_cracks import textured


def tray(outlines: list[np.ndarray], ground: float, flake: float, seed: int = 0) -> np.ndarray:
    """Draw outlines [px] four times finer on a plain ground, blurred and noisy."""
    fine, shape = 4, (600, 900)
    mask = np.zeros((shape[0] * fine, shape[1] * fine), np.uint8)
    for ring in outlines:
        cv2.fillPoly(mask, [np.round((ring * fine - 0.5) * 16).astype(np.int32)], 255, shift=4)
    cover = cv2.resize(mask, shape[::-1], interpolation=cv2.INTER_AREA) / 255.0
    picture = ground + (flake - ground) * cover
    rng = np.random.default_rng(seed)
    noisy = cv2.GaussianBlur(picture, (0, 0), 1.0) + 3 * rng.standard_normal(shape)
    return np.clip(noisy, 0, 255).astype(np.uint8)


def three() -> list[np.ndarray]:
    rng = np.random.default_rng(6)
    places = ([200.0, 200.0], [500.0, 350.0], [750.0, 150.0])
    return [broken_outline(16, rng) * 1e4 + np.array(place) for place in places]


def area(ring: np.ndarray) -> float:
    x, y = ring.T
    return abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2)


@pytest.mark.parametrize(("ground", "flake"), [(25.0, 170.0), (235.0, 140.0)])
@pytest.mark.parametrize("is_told", [True, False])
def test_flakes_are_outlined_on_dark_and_light_ground(ground, flake, is_told) -> None:
    true = three()
    kind = (Ground.DARK if ground < flake else Ground.LIGHT) if is_told else Ground.UNKNOWN
    found = flakes(tray(true, ground, flake), kind)
    assert len(found) == 3
    for ring in true:
        nearest = min(found, key=lambda f: np.hypot(*(f.outline_px.mean(0) - ring.mean(0))))
        assert nearest.area_px2 == pytest.approx(area(ring), rel=0.02)
        dense = np.concatenate(
            [np.linspace(a, b, 8) for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True)]
        )
        off = np.hypot(*(nearest.outline_px[:, None] - dense[None]).transpose(2, 0, 1)).min(axis=1)
        assert np.median(off) < 0.5
        assert not nearest.is_cut


def test_the_outline_lies_where_the_picture_has_the_edge() -> None:
    sheet = np.full((80, 100), 20, dtype=np.uint8)
    sheet[20:60, 30:70] = 180
    ring = flakes(sheet)[0].outline_px
    assert ring.min(axis=0) == pytest.approx([30, 20], abs=0.1)
    assert ring.max(axis=0) == pytest.approx([70, 60], abs=0.1)
    first, second = ring[list(farthest_apart(ring))]
    assert np.hypot(*(first - second)) == pytest.approx(np.hypot(40, 40), abs=2)


def test_a_flake_that_runs_out_of_the_picture_is_said_to() -> None:
    true = three()
    true[2] += [130, 0]
    found = flakes(tray(true, 25.0, 170.0), Ground.DARK)
    assert [one.is_cut for one in found].count(True) == 1


@pytest.mark.parametrize(("ground", "flake"), [(45.0, 160.0), (205.0, 130.0)])
def test_uneven_light_over_the_tray_moves_no_outline(ground, flake) -> None:
    true = three()
    across = 1 + 0.5 * (np.arange(900) / 900 - 0.5)
    shaded = np.clip(tray(true, ground, flake) * across[None], 0, 255).astype(np.uint8)
    found = flakes(shaded)
    assert len(found) == 3
    for ring in true:
        nearest = min(found, key=lambda f: np.hypot(*(f.outline_px.mean(0) - ring.mean(0))))
        assert nearest.area_px2 == pytest.approx(area(ring), rel=0.02)


def test_flakes_that_touch_are_parted_at_the_neck_and_said_to_have_touched() -> None:
    true = three()
    true[1] += true[0][true[0][:, 0].argmax()] - true[1][true[1][:, 0].argmin()] - [3.0, 0.0]
    found = flakes(tray(true, 25.0, 170.0), Ground.DARK)
    assert [one.was_touching for one in found].count(True) == 2
    assert len(found) == 3
    for ring in true:
        nearest = min(found, key=lambda f: np.hypot(*(f.outline_px.mean(0) - ring.mean(0))))
        assert nearest.area_px2 == pytest.approx(area(ring), rel=0.03)


def test_a_shadow_on_a_light_ground_is_said_and_never_cut_off_as_a_flake() -> None:
    true = three()
    fallen = np.zeros((600, 900), np.float32)
    for ring in true:
        cv2.fillPoly(fallen, [np.round(ring + np.array([10, 14])).astype(np.int32)], 1.0)
    dimmed = 1 - 0.4 * cv2.GaussianBlur(fallen, (0, 0), 7)
    with_shadow = (tray(true, 225.0, 140.0) * dimmed).astype(np.uint8)
    for ring in true:
        own = cv2.fillPoly(np.zeros((600, 900), np.uint8), [np.round(ring).astype(np.int32)], 1)
        with_shadow[own > 0] = tray(true, 225.0, 140.0)[own > 0]
    found = flakes(with_shadow, Ground.LIGHT)
    assert len(found) == 3
    assert all(one.has_soft_edge for one in found)
    assert not any(one.has_soft_edge for one in flakes(tray(true, 225.0, 140.0), Ground.LIGHT))


def test_one_pale_and_one_dark_flake_are_each_cut_at_their_own_half() -> None:
    true = three()
    picture = tray(true[:2], 25.0, 200.0)
    dim = tray(true[2:], 25.0, 80.0)
    found = flakes(np.maximum(picture, dim), Ground.DARK)
    assert len(found) == 3
    dark = min(found, key=lambda f: np.hypot(*(f.outline_px.mean(0) - true[2].mean(0))))
    assert dark.area_px2 == pytest.approx(area(true[2]), rel=0.02)


def test_only_the_drawn_part_of_a_picture_is_looked_at() -> None:
    true = three()
    picture = tray(true, 25.0, 170.0)
    picture[:, :40] = 220
    around = [[330.0, 190.0], [680.0, 190.0], [680.0, 520.0], [330.0, 520.0]]
    found = flakes(picture, Ground.DARK, region_px=around)
    assert len(found) == 1
    assert found[0].area_px2 == pytest.approx(area(true[1]), rel=0.02)


def test_trays_that_tell_nothing_are_refused() -> None:
    with pytest.raises(InputError, match="Flakes and ground cannot be told apart; got"):
        flakes(np.full((100, 100), 90, dtype=np.uint8))
    full = np.full((100, 100), 20, dtype=np.uint8)
    full[5:95, 5:95] = 200
    with pytest.raises(InputError, match="Most of the picture differs from its rim; got 8"):
        flakes(full)
    with pytest.raises(InputError, match="A flake is too small to be outlined; got 2"):
        flakes(full, least_px=2)
    dots = np.full((400, 400), 10, dtype=np.uint8)
    for row in range(10, 390, 12):
        for column in range(10, 390, 12):
            dots[row : row + 6, column : column + 6] = 200
    with pytest.raises(InputError, match="There are too many things on the tray; got"):
        flakes(dots, least_px=5)


def test_the_true_seat_comes_first_and_a_stranger_is_not_unique() -> None:
    broken = breakage(7)
    losses = dict(list(broken.losses.items())[:10])
    for number in (0, 3, 6, 9):
        found = candidates(broken.flakes[number], losses)
        assert found[0].number == broken.seat_of[number]
        assert found[0].seat.matched_share > 0.6
        assert found[0].uniqueness > 0.15
    strangers = [number for number, seat in broken.seat_of.items() if seat is None][:4]
    for number in strangers:
        found = candidates(broken.flakes[number], losses)
        assert found[0].uniqueness < 0.3
        assert found[0].seat.score < 0.7


def test_a_flake_is_moved_to_where_it_came_from_and_never_turned_over() -> None:
    rng = np.random.default_rng(3)
    loss = broken_outline(20, rng)
    flake = worn(loss, 0.2, rng)
    seat = best_seat(checked_outline(turned(flake, rng), "flake"), loss, EdgeAllowance())
    placed = seat.placed(checked_outline(turned(flake, np.random.default_rng(0)), "flake"))
    assert placed.shape[1] == 2
    assert seat.gap_m == pytest.approx(2e-4, abs=1.5e-4)
    assert seat.residual_m < 3e-4
    mirrored = best_seat(checked_outline(flake * [-1, 1], "flake"), loss, EdgeAllowance())
    assert mirrored.score < 0.7 * seat.score


def test_a_flake_that_lies_on_its_face_is_found_only_when_either_side_may_be_up() -> None:
    rng = np.random.default_rng(8)
    losses = {n: broken_outline(18, rng) for n in range(5)}
    lying = turned(worn(losses[3], 0.2, rng), rng) * [-1.0, 1.0]
    assert candidates(lying, losses)[0].uniqueness < 0.3
    found = candidates(lying, losses, either_side=True)[0]
    assert found.number == 3
    assert found.seat.is_turned_over
    assert found.uniqueness > 0.3
    placed = found.seat.placed(lying)
    off = np.hypot(*(placed[:, None] - losses[3][None]).transpose(2, 0, 1)).min(axis=1)
    assert np.median(off) < 5e-4


def test_two_flakes_of_one_loss_both_find_it() -> None:
    from shapely import LineString, Polygon, ops

    rng = np.random.default_rng(11)
    losses = {n: broken_outline(25, rng) for n in range(6)}
    cut = np.column_stack([np.linspace(-0.02, 0.02, 40), 1e-3 * np.sin(np.arange(40) / 2)])
    halves = ops.split(Polygon(losses[2]).buffer(0), LineString(cut)).geoms
    large = sorted(halves, key=lambda part: -part.area)[:2]
    for part in large:
        ring = worn(np.asarray(part.exterior.coords)[:-1], 0.2, rng)
        found = candidates(turned(ring, rng), losses)
        assert 2 in [one.number for one in found[:2]]


@pytest.mark.parametrize(
    "wrong",
    [[[0, 0], [1e-5, 0], [0, 1e-5]], [[0, 0], [2.0, 0], [0, 2.0]], [[0, 0], [1e-2, 0], [2e-2, 0]]],
)
def test_outlines_that_cannot_be_are_refused(wrong) -> None:
    with pytest.raises(InputError, match="The outline of the flake cannot be one; got"):
        checked_outline(wrong, "flake")


def test_places_near_a_loss_are_carried_back_to_its_photograph() -> None:
    rng = np.random.default_rng(1)
    ring_m = broken_outline(15, rng)
    matrix = np.array([[9000.0, 300.0], [-250.0, 9100.0]])
    points = rng.uniform(-5e-3, 5e-3, (10, 2))
    assert local_px(ring_m @ matrix + 400, ring_m, points) == pytest.approx(points @ matrix + 400)


def test_growth_lines_that_run_on_are_told_from_those_that_do_not() -> None:
    rng = np.random.default_rng(5)
    surface = textured((600, 600), rng, 130.0).astype(np.float32)
    stripes = 25 * np.sin(2 * np.pi * np.arange(600) / 37 + np.cumsum(rng.normal(0, 0.1, 600)))
    surface += stripes[None].astype(np.float32)
    edge = np.column_stack([np.linspace(450, 150, 200), np.full(200, 300.0)])
    same = continuity(surface, surface + 12, edge, edge, 1e4, 1e4)
    assert same.pattern is not None
    assert same.pattern > 0.8
    assert same.difference == pytest.approx(-12, abs=3)
    moved = continuity(surface, surface, edge + np.array([18.0, 0.0]), edge, 1e4, 1e4)
    assert moved.pattern is not None
    assert moved.pattern < 0.2
    flat = np.full((600, 600), 99.0, dtype=np.float32)
    assert continuity(flat, flat, edge, edge, 1e4, 1e4).pattern is None
    assert continuity(flat, flat, edge[:5], edge[:5], 1e4, 1e4).pattern is None
    half = continuity(surface, surface + 12, edge, edge, 1e4, 1e4, np.arange(200) < 100)
    assert half.places == 100
    # 200 places along slow stripes are far fewer independent ones.
    assert 1 / np.sqrt(200) < moved.pattern_sd < 0.6
    assert same.pattern_sd < moved.pattern_sd
    with pytest.raises(InputError, match="The edges of flake and loss do not belong together"):
        continuity(flat, flat, edge, edge[:5], 1e4, 1e4)
