"""How far each place of a picture stands out as a dark line from the grain around it.

Two measures are made, each at three or more scales: how much darker a place is than what lies
around (two blurs subtracted), and how sharply brightness bends across it. Grit and specks are good
at the first, edges at the second; a crack at both, so their geometric mean is taken. It is levelled
by its mean nearby and over the picture, what stands out itself left out of that mean: a strong
joint or outline must not hide the fine crack beside it.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np

from softmend.science.photo.light import Plane
from softmend.science.photo.ridge import Response, line_strength
from softmend.science.photo.thinned import Mask

SCALES_PX = (1.0, 2.0, 4.0)
WIDER = 1.6
HALVED_FROM_PX = 4.0
"""Scales from here on are made on the halved picture."""

BAND_ROWS, MARGIN_ROWS = 768, 32
REDUCED = 8
AROUND_CELLS = 7
NEAR_SHARE = 0.8
"""The level: this share from the mean over some 56 px around, the rest from the whole picture."""

CUT_AT = 3.0
"""What stands out by more levels than this counts as this much in the level itself."""

STEPS = 10.0
"""8-bit steps to one level: the mean response around is one level."""


def levels(grey: Plane, where: Mask | None = None) -> Response:
    """Return how far each place stands out as a dark line against the grain around it.

    Parameters
    ----------
    grey : numpy array, brightness as coded, shape (h, w), 0 to 255 [1]
    where : numpy array or None, where to look, shape (h, w)

    Returns
    -------
    numpy array, shape (h, w), near 10 for the mean response around, up to 255; 0 elsewhere [1]

    Source: lindeberg1998 (difference of two blurs, curvature across the line); softmend-imaging
    (levelled by means around and of all); own rules (geometric mean, cut before levelling).
    Checked against: tests/science/photo/test_suggest.py.

    Example
    -------
    >>> sheet = np.random.default_rng(0).normal(150, 3, (200, 200)).astype(np.float32)
    >>> sheet[:, 100:102] -= 60
    >>> found = levels(sheet)
    >>> bool(found[100, 100] > 100), bool(np.median(found) < 15)
    (True, True)
    """
    import cv2

    raw = line_strength(grey)
    cv2.multiply(raw, _darker_than_around(grey), dst=raw)
    cv2.sqrt(np.maximum(raw, 0, out=raw), dst=raw)
    if where is not None:
        raw[~where] = 0
    level = _level(raw, where)
    level = _level(np.minimum(raw, CUT_AT * level), where)
    cv2.divide(raw, level, dst=raw, scale=STEPS)
    return np.asarray(cv2.convertScaleAbs(raw), dtype=np.uint8)


def _level(raw: Plane, where: Mask | None) -> Plane:
    """Return the mean around and over the picture, of what is looked at."""
    import cv2

    rows, columns = raw.shape
    small = (max(columns // REDUCED, 1), max(rows // REDUCED, 1))
    near = cv2.resize(raw, small, interpolation=cv2.INTER_AREA)
    share = np.ones(small[::-1], dtype=np.float32)
    if where is not None:
        share = cv2.resize(where.astype(np.float32), small, interpolation=cv2.INTER_AREA)
    whole = float(near.sum() / max(float(share.sum()), 1e-6))
    window = (AROUND_CELLS, AROUND_CELLS)
    around = cv2.blur(near, window, borderType=cv2.BORDER_REFLECT) / np.maximum(
        cv2.blur(share, window, borderType=cv2.BORDER_REFLECT), 0.05
    )
    mixed = NEAR_SHARE * around + ((1 - NEAR_SHARE) * whole + 0.05)
    return np.asarray(cv2.resize(mixed, (columns, rows)), dtype=np.float32)


def _darker_than_around(grey: Plane) -> Plane:
    import cv2

    fine = tuple(scale for scale in SCALES_PX if scale < HALVED_FROM_PX)
    best = _by_bands(grey, fine)
    half = (max(grey.shape[1] // 2, 1), max(grey.shape[0] // 2, 1))
    coarse = tuple(scale / 2 for scale in SCALES_PX if scale >= HALVED_FROM_PX)
    wide = _by_bands(np.asarray(cv2.resize(grey, half, interpolation=cv2.INTER_AREA)), coarse)
    cv2.max(best, cv2.resize(wide, grey.shape[::-1]), dst=best)
    return best


def _by_bands(grey: Plane, scales: tuple[float, ...]) -> Plane:
    import cv2

    rows = grey.shape[0]
    best = np.zeros(grey.shape, dtype=np.float32)
    for top in range(0, rows, BAND_ROWS):
        low, bottom = max(top - MARGIN_ROWS, 0), min(top + BAND_ROWS, rows)
        band = grey[low : min(bottom + MARGIN_ROWS, rows)]
        for scale in scales:
            near = cv2.GaussianBlur(band, (0, 0), scale)
            around = cv2.GaussianBlur(band, (0, 0), WIDER * scale)
            darker = cv2.subtract(around, near)[top - low : bottom - low]
            np.maximum(best[top:bottom], darker, out=best[top:bottom])
    return best
