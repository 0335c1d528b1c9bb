"""A flake's own pixels laid on a loss: they lie where the overlay says, and nothing else does."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.photo.fragment_laid import laid_flake

RING = np.array([[100.0, 60], [180, 80], [170, 150], [90, 140]])


def tray() -> np.ndarray:
    picture = np.full((240, 300, 3), 25, dtype=np.uint8)
    cv2.fillPoly(picture, [RING.astype(np.int32)], (190, 160, 120))
    cv2.circle(picture, (120, 90), 6, (250, 40, 40), -1)
    return picture


def moved(points: np.ndarray, angle: float, scale: float) -> np.ndarray:
    cos, sin = np.cos(angle), np.sin(angle)
    return points @ np.array([[cos, sin], [-sin, cos]]) * scale + [400, 500]


@pytest.mark.parametrize("angle", [0.0, 1.1, -2.5])
@pytest.mark.parametrize("zoom", [1.0, 3.0])
def test_a_spot_on_the_flake_lies_where_the_same_movement_takes_it(angle, zoom) -> None:
    there = moved(RING, angle, 0.8)
    left, top = there.min(axis=0) - 20
    right, low = there.max(axis=0) + 20
    laid = laid_flake(tray(), RING, there, (left, top, right, low), zoom)
    red = (laid[..., 0] > 220) & (laid[..., 1] < 80) & (laid[..., 3] > 0)
    down, across = np.nonzero(red)
    middle = np.array([across.mean() + 0.5, down.mean() + 0.5]) / zoom + [left, top]
    assert middle == pytest.approx(moved(np.array([[120.5, 90.5]]), angle, 0.8)[0], abs=0.6)
    x, y = there.T
    area = abs(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    assert (laid[..., 3] > 127).sum() / zoom**2 == pytest.approx(area, rel=0.03)


def test_what_does_not_belong_together_is_refused() -> None:
    with pytest.raises(InputError, match="A flake cannot be laid over so; got 4 and 3 points"):
        laid_flake(tray(), RING, RING[:3], (0, 0, 300, 200))
    with pytest.raises(InputError, match="A flake cannot be laid over so"):
        laid_flake(tray(), RING, RING, (0, 0, 300, 200), 40.0)
