"""Outlines of loose flakes in the photograph of a tray with a plain dark or light ground."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.light import Plane, checked_picture, coded_grey
from softmend.science.photo.surface import point_array
from softmend.science.uncertain import Array

SOFTENED_PX = 1.0
LEAST_CONTRAST = 12.0
"""Grey levels between ground and flakes below which they cannot be told apart."""

FRAME_SHARE = 0.02
MOST_SHARE = 0.6
MOST_FLAKES = 500
OUTLINE_STEP_PX = 1.0


class Ground(Enum):
    """What the flakes lie on."""

    DARK = "dark"
    LIGHT = "light"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True, eq=False)
class Flake:
    """One flake: its outline [px], its area [px²], and whether it runs out of the picture."""

    outline_px: Array
    area_px2: float
    is_cut: bool


def flakes(
    picture: NDArray[Any],
    ground: Ground = Ground.UNKNOWN,
    least_px: float = 20.0,
    region_px: ArrayLike | None = None,
) -> tuple[Flake, ...]:
    """Return the outlines of loose flakes on a plain ground, from the top left to the bottom right.

    Parameters
    ----------
    picture : numpy array, grey or RGB, 8 or 16 bit [1]
    ground : Ground, what they lie on
    least_px : float, smallest longest side of a flake [px], 5 or more
    region_px : array-like or None, outline of the part of the tray to look at, shape (m, 2) [px]

    Returns
    -------
    tuple of Flake, outlines below the pixel, from the picture's corner [px]

    Raises
    ------
    InputError
        When flakes and ground cannot be told apart, or there are too many.

    Source: otsu1979 (threshold); the outline lies half way between ground and flake.
    Checked against: drawn trays in tests/science/photo/test_fragment.py.

    Example
    -------
    >>> tray = np.full((80, 100), 20, dtype=np.uint8)
    >>> tray[20:60, 30:70] = 180
    >>> found = flakes(tray)
    >>> len(found), round(found[0].area_px2 / 1600, 2)
    (1, 1.0)
    """
    import cv2

    if least_px < 5:
        raise InputError("A flake is too small to be outlined", value=least_px, allowed="5 px up")
    away = _away_from_ground(picture, ground)
    if region_px is not None:
        inside = np.zeros(away.shape, dtype=np.uint8)
        ring = np.round((point_array(region_px, 3) - 0.5) * 16).astype(np.int32)
        cv2.fillPoly(inside, [ring], 1, shift=4)
        away[inside == 0] = 0
    half = _threshold(away)
    count, labels, stats, _ = cv2.connectedComponentsWithStats((away > half).astype(np.uint8))
    sides = np.hypot(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT])
    chosen = [n for n in range(1, count) if sides[n] >= least_px]
    if len(chosen) > MOST_FLAKES:
        raise InputError(
            "There are too many things on the tray",
            value=len(chosen),
            allowed=f"up to {MOST_FLAKES}",
            remedy="Draw a smaller region, or raise the smallest size",
        )
    number_map = np.asarray(labels, dtype=np.int32)
    found = [_flake(away, number_map, stats[n], n, half) for n in chosen]
    return tuple(one for one in found if one is not None)


def _away_from_ground(picture: NDArray[Any], ground: Ground) -> Plane:
    """Return how much each place differs from the ground, in grey levels."""
    import cv2

    part = checked_picture(picture)
    grey = coded_grey(part)
    frame = max(2, round(FRAME_SHARE * min(grey.shape)))
    edge = np.ones(grey.shape, dtype=bool)
    edge[frame:-frame, frame:-frame] = False
    level = float(np.median(grey[edge]))
    if ground is Ground.UNKNOWN and part.ndim == 3:
        scale = np.float32(255.0 / np.iinfo(part.dtype).max)
        colours = [part[..., n].astype(np.float32) * scale for n in range(3)]
        parts = [colour - np.float32(np.median(colour[edge])) for colour in colours]
        away = np.sqrt(sum(one * one for one in parts) / np.float32(3))
    elif ground is Ground.UNKNOWN:
        away = np.abs(grey - level)
    else:
        away = np.maximum(grey - level if ground is Ground.DARK else level - grey, 0)
    return np.asarray(cv2.GaussianBlur(away, (0, 0), SOFTENED_PX), dtype=np.float32)


def _threshold(away: Plane) -> float:
    """Return the level half way between ground and flakes."""
    import cv2

    most = float(away.max())
    eight = np.asarray(np.clip(away * (255 / max(most, 1e-6)), 0, 255), dtype=np.uint8)
    cut, _ = cv2.threshold(eight, 0, 255, cv2.THRESH_BINARY | cv2.THRESH_OTSU)
    bright = eight > cut
    if most < LEAST_CONTRAST or not bright.any():
        raise InputError(
            "Flakes and ground cannot be told apart",
            value=f"{most:.0f} grey levels between them",
            allowed=f"{LEAST_CONTRAST:.0f} or more",
            remedy="Lay the flakes on a plain ground that is clearly darker or lighter",
        )
    if bright.mean() > MOST_SHARE:
        raise InputError(
            "Most of the picture differs from its rim",
            value=f"{100 * bright.mean():.0f} %",
            allowed=f"up to {100 * MOST_SHARE:.0f} %",
            remedy="Photograph the whole tray with ground all round, or draw a region",
        )
    return float(np.median(away[bright]) + np.median(away[~bright])) / 2


def _flake(
    away: Plane, labels: NDArray[np.int32], box: Any, number: int, half: float
) -> Flake | None:
    from skimage import measure

    find_contours: Any = measure.find_contours
    left, top, width, height = (int(value) for value in box[:4])
    rows, columns = away.shape
    low = (max(top - 2, 0), max(left - 2, 0))
    part = (slice(low[0], top + height + 2), slice(low[1], left + width + 2))
    own = np.where((labels[part] == number) | (labels[part] == 0), away[part], 0)
    contours = find_contours(np.pad(own, 1), half)
    if not contours:
        return None
    ring = max(contours, key=len)[:-1, ::-1] + np.array([low[1], low[0]]) - 1 + 0.5
    x, y = ring.T
    area = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    outline = ring if area > 0 else ring[::-1]
    is_cut = left <= 1 or top <= 1 or left + width >= columns - 1 or top + height >= rows - 1
    return Flake(np.asarray(outline, dtype=np.float64), abs(area), is_cut)
