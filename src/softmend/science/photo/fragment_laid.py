"""A flake's own pixels laid on the loss, for the eye to judge by; nothing is measured here."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.surface import point_array
from softmend.science.uncertain import Array

SMALLEST_PX, LARGEST_PX = 8, 4000
FINER = 4


def laid_flake(
    tray: NDArray[Any],
    outline_px: ArrayLike,
    overlay_px: ArrayLike,
    box_px: tuple[float, float, float, float],
    zoom: float = 1.0,
) -> NDArray[np.uint8]:
    """Return the flake cut out and laid as its overlay lies, with its outline as transparency.

    Parameters
    ----------
    tray : numpy array, photograph of the tray, RGB, 8 bit, shape (h, w, 3) [1]
    outline_px : array-like, outline of the flake on the tray, shape (m, 2) [px]
    overlay_px : array-like, the same points laid in the other photograph, shape (m, 2) [px]
    box_px : tuple of 4 floats, left, top, right, low of the part that is shown there [px]
    zoom : float, pixels given for a pixel of the other photograph [1], 0.05 to 50

    Returns
    -------
    numpy array, red, green, blue, cover, shape (rows, columns, 4) [1]

    Raises
    ------
    InputError
        When outline and overlay do not belong together or the part is too small or too large.

    Source: common practice, no source (affine fit by least squares).
    Checked against: tests/science/photo/test_fragment_laid.py.

    Example
    -------
    >>> tray = np.full((60, 60, 3), 20, dtype=np.uint8)
    >>> tray[20:40, 20:40] = 200
    >>> ring = np.array([[20.0, 20], [40, 20], [40, 40], [20, 40]])
    >>> laid = laid_flake(tray, ring, ring + 100, (110, 110, 150, 150))
    >>> laid.shape, laid[20, 20].tolist(), laid[2, 2, 3].item()
    ((40, 40, 4), [200, 200, 200, 255], 0)
    """
    import cv2

    here, there = point_array(outline_px, 3), point_array(overlay_px, 3)
    left, top, right, low = box_px
    columns, rows = round((right - left) * zoom), round((low - top) * zoom)
    if len(here) != len(there) or not (
        min(rows, columns) >= SMALLEST_PX and max(rows, columns) <= LARGEST_PX
    ):
        raise InputError(
            "A flake cannot be laid over so",
            value=f"{len(here)} and {len(there)} points, {columns} × {rows} px",
            allowed=f"as many points on both, {SMALLEST_PX} to {LARGEST_PX} px",
        )
    shown = (there - np.array([left, top])) * zoom
    matrix = _affine(here, shown)
    # Pixel centres lie half a pixel from their corner on both sides.
    matrix[:, 2] += matrix[:, :2] @ np.array([0.5, 0.5]) - 0.5
    face = cv2.warpAffine(tray, matrix, (columns, rows), flags=cv2.INTER_LINEAR,
                          borderMode=cv2.BORDER_REPLICATE)  # fmt: skip
    return np.dstack([face, _cover(shown, rows, columns)])


def _cover(ring: Array, rows: int, columns: int) -> NDArray[np.uint8]:
    """Return how much of each pixel an outline covers, 0 to 255."""
    import cv2

    # A filled outline is drawn with its rim, which is half a pixel: drawn finer it is less.
    fine = np.zeros((rows * FINER, columns * FINER), dtype=np.uint8)
    cv2.fillPoly(fine, [np.round((ring * FINER - 0.5) * 16).astype(np.int32)], 255, shift=4)
    return np.asarray(cv2.resize(fine, (columns, rows), interpolation=cv2.INTER_AREA), np.uint8)


def _affine(here: Array, there: Array) -> Array:
    terms = np.column_stack([here, np.ones(len(here))])
    return np.asarray(np.linalg.lstsq(terms, there, rcond=None)[0].T)
