"""How much each place of a picture looks like a thin dark line: made once a picture, 8 bit."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from softmend.science.photo.light import Plane

SIGMAS_PX = (1.2, 2.0)
"""Blurs at full size; each of the halved sizes adds the same two, doubled."""

HALVINGS = 2
BAND_ROWS, MARGIN_ROWS = 512, 32
AROUND_PX = 96
TYPICAL = 24.0
"""The 8-bit value that the mean response of a picture is brought to."""

STRAIGHT, BENT = 120.0, 300.0
"""Above this the response is bent so that even a black line on white has one top, not a plateau."""

Response = NDArray[np.uint8]


def dark_lines(grey: Plane) -> Response:
    """Return the likeness to a thin dark line at each place, levelled over the picture.

    Parameters
    ----------
    grey : numpy array, brightness as coded, shape (h, w), 0 to 255 [1]

    Returns
    -------
    numpy array, shape (h, w), 0 to 255; the mean over the picture lies near 24 [1]

    Source: lindeberg1998 (curvature across the line times scale squared, largest over scales),
    frangi1998 (blobs told from lines by the other curvature).
    Checked against: drawn lines in tests/science/photo/test_trace.py.

    Example
    -------
    >>> sheet = np.full((80, 80), 200, dtype=np.float32)
    >>> sheet[:, 40:42] = 90
    >>> response = dark_lines(sheet)
    >>> int(np.argmax(response[30])) in (40, 41), int(response[30, 10])
    (True, 0)
    """
    raw = line_strength(grey)
    return np.asarray(_levelled(raw, TYPICAL), dtype=np.uint8)


def line_strength(grey: Plane) -> Plane:
    """Return the curvature across dark lines times scale squared, largest over the scales.

    Parameters
    ----------
    grey : numpy array, brightness as coded, shape (h, w) [1]

    Returns
    -------
    numpy array, shape (h, w), 0 or more, in grey levels [1]

    Source: lindeberg1998; frangi1998.
    Checked against: tests/science/photo/test_trace.py.

    Example
    -------
    >>> line_strength(np.zeros((40, 40), dtype=np.float32)).max()
    np.float32(0.0)
    """
    import cv2

    best = np.zeros(grey.shape, dtype=np.float32)
    part = grey
    for halving in range(HALVINGS + 1):
        if halving:
            if min(part.shape) < 16:
                break
            half = (part.shape[1] // 2, part.shape[0] // 2)
            part = np.asarray(cv2.resize(part, half, interpolation=cv2.INTER_AREA))
        found = _by_bands(part)
        if halving:
            size = grey.shape[::-1]
            found = np.asarray(cv2.resize(found, size, interpolation=cv2.INTER_LINEAR))
        best = np.maximum(best, found, dtype=np.float32)
    return best


def _by_bands(grey: Plane) -> Plane:
    """Return the strength of the two finest scales, band by band, which spares memory."""
    rows = grey.shape[0]
    found = np.empty(grey.shape, dtype=np.float32)
    for top in range(0, rows, BAND_ROWS):
        low, high = max(top - MARGIN_ROWS, 0), min(top + BAND_ROWS + MARGIN_ROWS, rows)
        bottom = min(top + BAND_ROWS, rows)
        band = _strength(grey[low:high])
        found[top:bottom] = band[top - low : bottom - low]
    return found


def _strength(grey: Plane) -> Plane:
    import cv2

    best = np.zeros(grey.shape, dtype=np.float32)
    for sigma in SIGMAS_PX:
        soft = cv2.GaussianBlur(grey, (0, 0), sigma, borderType=cv2.BORDER_REFLECT)
        # The 3 x 3 kernels of second order sum to 4 times (16/4) the derivative of a parabola.
        xx = cv2.Sobel(soft, cv2.CV_32F, 2, 0, ksize=3, scale=0.25 * sigma**2)
        yy = cv2.Sobel(soft, cv2.CV_32F, 0, 2, ksize=3, scale=0.25 * sigma**2)
        xy = cv2.Sobel(soft, cv2.CV_32F, 1, 1, ksize=3, scale=0.25 * sigma**2)
        half = cv2.addWeighted(xx, 0.5, yy, 0.5, 0.0)
        apart = cv2.magnitude(cv2.addWeighted(xx, 0.5, yy, -0.5, 0.0), xy)
        # Larger curvature less half of the other's size: a blob counts half, a line whole.
        line = cv2.add(half, apart)
        cv2.addWeighted(line, 1.0, cv2.absdiff(half, apart), -0.5, 0.0, dst=line)
        np.maximum(best, line, out=best)
    return best


def _levelled(raw: Plane, typical: float) -> Plane:
    """Return the response over (half its mean nearby and half its mean), times a typical value."""
    import cv2

    rows, columns = raw.shape
    small = cv2.resize(raw, (max(columns // 8, 1), max(rows // 8, 1)), interpolation=cv2.INTER_AREA)
    across = 2 * (AROUND_PX // 8) + 1
    near = cv2.blur(small, (across, across), borderType=cv2.BORDER_REFLECT)
    whole = float(small.mean())
    level = cv2.resize(0.5 * near + (0.5 * whole + 0.05), (columns, rows))
    found = cv2.divide(raw, level, scale=typical)
    over = np.maximum(found - STRAIGHT, 0.0)
    np.minimum(found, STRAIGHT, out=found)
    found += (255 - STRAIGHT) * (over / (over + BENT))
    return np.asarray(cv2.convertScaleAbs(found))
