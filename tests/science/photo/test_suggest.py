"""Suggested cracks on drawn surfaces: scored as precision and recall of centre lines."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from softmend.errors import InputError
from softmend.intake.decode import read_picture
from softmend.science.photo.light import coded_grey
from softmend.science.photo.standing_out import levels
from softmend.science.photo.suggest import allowed, suggestions
from softmend.science.photo.thinned import pieces, walks
from tests.science.photo.drawn_cracks import add_crack, textured, wandering

PHOTOGRAPHS = Path(__file__).parents[2] / "data" / "photographs"
WITHIN_PX = 5


def centre_lines(lines: list[np.ndarray], shape: tuple[int, int]) -> np.ndarray:
    mask = np.zeros(shape, np.uint8)
    for line in lines:
        cv2.polylines(mask, [np.floor(line).astype(np.int32).reshape(-1, 1, 2)], False, 1)
    return mask > 0


def f1(predicted: np.ndarray, true: np.ndarray) -> float:
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * WITHIN_PX + 1,) * 2)
    near_true = cv2.dilate(true.astype(np.uint8), disc) > 0
    near_predicted = cv2.dilate(predicted.astype(np.uint8), disc) > 0
    precision = near_true[predicted].mean() if predicted.any() else 0.0
    recall = near_predicted[true].mean()
    return float(2 * precision * recall / max(precision + recall, 1e-9))


def suggested(picture: np.ndarray, **how) -> np.ndarray:
    grey = coded_grey(picture)
    found, _ = suggestions(grey, levels(grey, allowed(grey)), **how)
    return centre_lines([line for one in found for line in one.lines_px], picture.shape[:2])


def scene(kind: str, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Return a drawn surface of a kind and the centre lines of its cracks."""
    rng = np.random.default_rng([seed, sum(map(ord, kind))])
    shape = (480, 640)
    picture = textured(shape, rng, 150.0)
    width, share, rough = (1.5, 2.5), (0.3, 0.5), 0.08
    if kind == "beside straight lines":
        for _ in range(5):
            start = rng.uniform(0, 1, 2) * shape[::-1]
            turn = rng.choice([0.0, np.pi / 2]) + rng.normal(0, 0.05)
            run = 900 * np.array([np.cos(turn), np.sin(turn)])
            ruled = np.stack([start - run, start + run])
            mask = np.zeros(shape, np.uint8)
            cv2.line(mask, *(tuple(end.astype(int).tolist()) for end in ruled), 255, 4, cv2.LINE_AA)
            picture *= 1 - 0.35 * mask / 255
    elif kind == "coarse":
        picture += 13 * cv2.GaussianBlur(rng.standard_normal(shape), (0, 0), 0.8) / 0.35
        width, share, rough = (3.5, 7.0), (0.4, 0.65), 0.12
    true = []
    for _ in range(3):
        start, end = rng.uniform(0.08, 0.92, (2, 2)) * shape[::-1]
        if np.hypot(*(end - start)) < 200:
            end = np.clip(start + 300 * (end - start) / np.hypot(*(end - start)), 20, 460)
        crack = np.clip(wandering(start, end, rough, rng), 5, np.array(shape[::-1]) - 5)
        add_crack(picture, crack, rng.uniform(*width), rng.uniform(*share))
        true.append(crack)
    seen = cv2.GaussianBlur(picture, (0, 0), 0.8) + 3 * rng.standard_normal(shape)
    return np.clip(seen, 0, 255).astype(np.uint8), centre_lines(true, shape)


@pytest.mark.parametrize(
    ("kind", "least"), [("beside straight lines", 0.6), ("coarse", 0.75), ("plain", 0.75)]
)
def test_one_setting_finds_cracks_on_unlike_surfaces(kind: str, least: float) -> None:
    scores = [f1(suggested(picture), true) for picture, true in (scene(kind, n) for n in range(4))]
    assert np.mean(scores) >= least


def test_ruled_lines_are_left_out_unless_they_are_asked_for() -> None:
    pairs = [scene("beside straight lines", n) for n in range(4)]
    without = np.mean([f1(suggested(picture), true) for picture, true in pairs])
    asked = np.mean([f1(suggested(picture, even_lines=True), true) for picture, true in pairs])
    assert without > 1.5 * asked


def test_more_sensitivity_never_suggests_less() -> None:
    picture, _ = scene("plain", 1)
    lengths = [suggested(picture, sensitivity=s).sum() for s in (5, 20, 35, 50)]
    # Where two pieces join, a side branch of one may go: a few px less.
    assert np.all(np.diff(lengths) > -0.03 * lengths[0])
    assert lengths[-1] > lengths[0]


def lamp(picture: np.ndarray, centre: tuple[int, int], radius: int, rng) -> np.ndarray:
    """Return a surface with a mirrored lamp that breaks up at its rim."""
    rows, columns = picture.shape
    y, x = np.mgrid[0:rows, 0:columns]
    off = np.hypot(x - centre[0], y - centre[1]) / radius
    ragged = cv2.GaussianBlur(rng.standard_normal(picture.shape), (0, 0), 3) * 3
    return picture + 150 / (1 + np.exp(10 * (off + 0.25 * ragged - 1)))


def test_a_highlight_yields_no_suggestion() -> None:
    rng = np.random.default_rng(9)
    picture = lamp(textured((700, 900), rng, 140.0), (450, 350), 90, rng)
    seen = np.clip(picture + 3 * rng.standard_normal(picture.shape), 0, 255).astype(np.uint8)
    y, x = np.mgrid[0:700, 0:900]
    near = np.hypot(x - 450, y - 350) < 130
    assert not suggested(seen, sensitivity=40)[near].any()
    grey = coded_grey(seen)
    found, _ = suggestions(grey, levels(grey), 40)
    unmasked = centre_lines([line for one in found for line in one.lines_px], seen.shape)
    assert unmasked[near].any()


def test_the_flash_on_a_glossy_skull_yields_no_suggestion() -> None:
    picture = read_picture(PHOTOGRAPHS / "10.jpg")
    rows, columns = picture.shape[:2]
    flash = np.zeros((rows, columns), dtype=bool)
    flash[int(0.33 * rows) : int(0.38 * rows), int(0.43 * columns) : int(0.48 * columns)] = True
    assert coded_grey(picture)[flash].mean() > 195
    assert not suggested(picture)[flash].any()


def test_the_silhouette_of_a_drawn_region_is_not_suggested() -> None:
    rng = np.random.default_rng(4)
    picture = np.full((500, 700), 15.0)
    picture[100:400, 100:600] = textured((300, 500), rng)
    seen = cv2.GaussianBlur(picture, (0, 0), 1.0) + 2 * rng.standard_normal(picture.shape)
    grey = np.clip(seen, 0, 255).astype(np.float32)
    region = [[100, 100], [600, 100], [600, 400], [100, 400]]
    where = allowed(grey, region, [[[300, 200], [360, 200], [360, 260], [300, 260]]])
    assert where[250, 200]
    assert not where[250, 106]
    assert not where[230, 330]
    assert not where[230, 295]
    found, _ = suggestions(grey, levels(grey, where))
    assert found == []


def test_a_white_ground_is_no_lamp() -> None:
    rng = np.random.default_rng(5)
    picture = np.full((400, 500), 262.0)
    crack = wandering((40, 210), (460, 190), 0.08, rng)
    add_crack(picture, crack, 2.5, 0.5)
    seen = np.clip(picture + 2 * rng.standard_normal(picture.shape), 0, 255).astype(np.uint8)
    assert f1(suggested(seen), centre_lines([crack], seen.shape)) > 0.9


def test_a_region_with_nothing_in_it_is_refused() -> None:
    grey = np.full((100, 100), 90, dtype=np.float32)
    with pytest.raises(InputError, match="There is nothing to look at inside this region"):
        allowed(grey, [[10, 10], [25, 10], [25, 25], [10, 25]])
    with pytest.raises(InputError, match="The sensitivity is out of range; got 101"):
        suggestions(grey, levels(grey), 101)
    with pytest.raises(InputError, match="The reach is out of range; got 2"):
        suggestions(grey, levels(grey), 35, 2)


def test_forks_and_rings_are_walked_along() -> None:
    shape = np.zeros((60, 60), dtype=bool)
    shape[30, 5:55] = shape[5:30, 30] = True
    assert sorted(len(walk) for walk in walks(shape)) == [25, 25, 25] or len(walks(shape)) == 3
    ring = np.zeros((40, 40), dtype=np.uint8)
    cv2.circle(ring, (20, 20), 12, 1, 1)
    assert sum(len(walk) for walk in walks(ring > 0)) >= 0.9 * ring.sum()


def test_only_so_many_pieces_are_given_and_the_rest_is_counted() -> None:
    sheet = np.zeros((200, 200), dtype=np.uint8)
    for row in range(10, 190, 10):
        sheet[row, 10 : 20 + row] = 200
    found, more = pieces(sheet, 50, 100, 10, most=5)
    assert (len(found), more) == (5, 13)
    assert found[0].reach_px > found[-1].reach_px
