"""Sheets projected by a known camera and found again; the projection is the outside truth."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.photo.marker import detect_markers
from softmend.science.photo.square_up import (
    SheetFit,
    carried,
    corner_marks,
    flattened,
    marker_cells,
    pen_marks,
    sheet_fit,
)

NUMBERS = (8, 9, 10, 11)
SIDE, WIDE, HIGH = 0.013, 0.210, 0.297
PLACES = ((0.009, 0.009), (0.188, 0.009), (0.188, 0.275), (0.009, 0.275))
CORNERS = np.array(
    [[(x, y), (x + SIDE, y), (x + SIDE, y + SIDE), (x, y + SIDE)] for x, y in PLACES]
)
PRINTED = 10_000.0  # px per metre of the print


def sheet() -> np.ndarray:
    """Draw a sheet with its four corner marks from the cells that are printed."""
    paper = np.full((round(HIGH * PRINTED), round(WIDE * PRINTED), 3), 245, dtype=np.uint8)
    for number, (x, y) in zip(NUMBERS, PLACES, strict=True):
        side = round(SIDE * PRINTED)
        cells = np.array(marker_cells(number), dtype=np.uint8)
        drawn = cv2.resize(cells, (side, side), interpolation=cv2.INTER_NEAREST)
        left, top = round(x * PRINTED), round(y * PRINTED)
        paper[top : top + side, left : left + side] = (255 - 235 * drawn)[..., None]
    return paper


def tilted(tilt_deg: float, turn_deg: float, px_per_m: float = 6000.0) -> np.ndarray:
    """Return the matrix from sheet [m] to picture [px] of a camera tilted against the sheet."""
    tilt, turn = np.radians(tilt_deg), np.radians(turn_deg)
    c, s = np.cos(turn), np.sin(turn)
    columns = np.array([[c, -s], [s * np.cos(tilt), c * np.cos(tilt)],
                        [s * np.sin(tilt), c * np.sin(tilt)]])  # fmt: skip
    distance = 0.6
    lens = np.diag([px_per_m * distance, px_per_m * distance, 1.0])
    centred = np.array([[1, 0, -WIDE / 2], [0, 1, -HIGH / 2], [0, 0, 1]])
    matrix = lens @ np.column_stack([columns, [0, 0, distance]]) @ centred
    return np.array([[1, 0, 1100], [0, 1, 1100], [0, 0, 1]]) @ matrix


def shot(matrix: np.ndarray, blur_px: float = 1.2, noise: float = 4.0) -> np.ndarray:
    """Photograph the sheet through a matrix: averaged by the sensor, blurred, noisy."""
    half, fine = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]]), np.diag([2.0, 2.0, 1.0])
    warp = np.linalg.inv(half) @ fine @ matrix @ np.diag([1 / PRINTED, 1 / PRINTED, 1]) @ half
    large = cv2.warpPerspective(sheet(), warp, (4400, 4400), borderValue=(70, 60, 50))
    picture = cv2.resize(large, (2200, 2200), interpolation=cv2.INTER_AREA).astype(float)
    blurred = cv2.GaussianBlur(picture, (0, 0), blur_px)
    noisy = blurred + np.random.default_rng(3).normal(0, noise, blurred.shape)
    return np.clip(noisy, 0, 255).astype(np.uint8)


def test_the_printed_cells_are_those_that_the_detector_knows() -> None:
    for number in (0, 7, 131, 249):
        cells = np.array(marker_cells(number), dtype=np.uint8)
        assert cells.shape == (6, 6)
        drawn = 255 - 255 * np.kron(cells, np.ones((30, 30), dtype=np.uint8))
        paper = np.full((300, 300), 255, dtype=np.uint8)
        paper[60:240, 60:240] = drawn
        assert [marker.number for marker in detect_markers(paper)] == [number]
    with pytest.raises(InputError, match="no marker of that number"):
        marker_cells(250)


@pytest.mark.parametrize(
    ("tilt", "turn"), [(0.0, 0.0), (15.0, 7.0), (25.0, -20.0), (12.0, 90.0), (10.0, 180.0)]
)
def test_corners_of_a_tilted_blurred_noisy_sheet_are_found_within_2_px(
    tilt: float, turn: float
) -> None:
    matrix = tilted(tilt, turn)
    found = corner_marks(shot(matrix), NUMBERS)
    true = carried(matrix, CORNERS).reshape(-1, 4, 2)
    assert np.abs(found - true).max() < 2.0
    fit = sheet_fit(found, CORNERS)
    across, down = np.meshgrid(np.linspace(0, WIDE, 8), np.linspace(0, HIGH, 9))
    everywhere = np.column_stack([across.ravel(), down.ravel()])
    assert np.abs(fit.photo_px(everywhere) - carried(matrix, everywhere)).max() < 2.0
    assert np.abs(fit.sheet_m(fit.photo_px(everywhere)) - everywhere).max() < 1e-9
    assert fit.misfit_px < 1.0


def test_a_sheet_that_is_cut_off_or_another_is_refused_by_its_marks() -> None:
    picture = shot(tilted(0.0, 0.0))
    with pytest.raises(InputError, match="2 of the 4 corner marks of this sheet were not found"):
        corner_marks(picture[:, : picture.shape[1] // 2], NUMBERS)
    with pytest.raises(InputError, match=r"marks of other sheets: \[8, 9, 10, 11\]"):
        corner_marks(picture, (12, 13, 14, 15))


def test_a_bent_sheet_is_refused() -> None:
    bent = carried(tilted(5.0, 3.0), CORNERS).reshape(-1, 4, 2)
    bent[2] += 60.0
    with pytest.raises(InputError, match="not flat"):
        sheet_fit(bent, CORNERS)
    with pytest.raises(InputError, match="at least three corner marks"):
        sheet_fit(bent[:2], CORNERS[:2])


def test_the_squared_up_picture_has_the_corners_of_its_rectangle_to_a_tenth_of_a_pixel() -> None:
    """One bright dot on a dark plane, projected without any error, lands where it was."""
    matrix = tilted(18.0, 11.0)
    x, y = 0.0807, 0.1512
    centre = carried(matrix, [[x, y]])[0]
    rows, columns = np.mgrid[0:2200, 0:2200] + 0.5
    far = (columns - centre[0]) ** 2 + (rows - centre[1]) ** 2
    picture = np.round(255 * np.exp(-far / 2 / 9.0)).astype(np.uint8)
    box = (0.02, 0.1, 0.19, 0.2)
    made = flattened(picture, SheetFit(matrix, 0.0), box, 1700)
    assert made.shape == (1000, 1700)
    rows, columns = np.mgrid[0:1000, 0:1700] + 0.5
    weight = made.astype(float)
    got = np.array([(weight * columns).sum(), (weight * rows).sum()]) / weight.sum()
    assert got == pytest.approx([(x - box[0]) * 1e4, (y - box[1]) * 1e4], abs=0.1)


@pytest.mark.parametrize("pen", [(190, 20, 40), (20, 50, 170), (35, 35, 40)])
def test_a_pen_is_told_from_a_pale_grey_print_in_a_room_of_warm_falling_light(pen) -> None:
    rng = np.random.default_rng(2)
    grey = 255 * (0.63 + 0.37 * cv2.GaussianBlur(rng.random((600, 800)), (0, 0), 9) * 1.6)
    flat = np.clip(grey, 160, 255)[..., None].repeat(3, axis=2)
    cv2.line(flat, (100, 500), (700, 100), pen, 7)
    light = np.linspace(1.0, 0.6, 800)[None, :, None] * np.array([1.0, 0.95, 0.85])
    found = pen_marks(np.clip(flat * light, 0, 255).astype(np.uint8), 10_000.0)
    truth = np.zeros((600, 800), np.uint8)
    cv2.line(truth, (100, 500), (700, 100), 1, 5)
    around = cv2.dilate(truth, np.ones((9, 9), np.uint8))
    assert (found[truth == 1] > 128).mean() > 0.97
    assert (found[around == 0] > 64).mean() < 0.001
    with pytest.raises(InputError, match="told from print by its colour"):
        pen_marks(found, 1000.0)
