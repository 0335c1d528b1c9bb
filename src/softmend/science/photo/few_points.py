"""A fine line with few points: what is kept to be edited by hand."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.line import without_repeats
from softmend.science.photo.surface import point_array
from softmend.science.uncertain import Array


def few_points(points_px: ArrayLike, off_px: float) -> Array:
    """Return the fewest points of a line that leave no other further off than a distance.

    Parameters
    ----------
    points_px : array-like, vertices in order, shape (m, 2) [px], m at least 2
    off_px : float, how far a left out point may lie off the line [px], above 0 to 100

    Returns
    -------
    numpy array, shape (k, 2) [px], both ends among them

    Raises
    ------
    InputError
        When no two points differ, or the distance is out of range.

    Source: douglas1973 (the farthest point is kept, then each side is treated alike).
    Checked against: cv2.approxPolyDP in tests/science/photo/test_few_points.py.

    Example
    -------
    >>> few_points([[0, 0], [5, 0.1], [10, 0], [10, 8]], 0.5).tolist()
    [[0.0, 0.0], [10.0, 0.0], [10.0, 8.0]]
    """
    if not 0 < off_px <= 100:
        raise InputError("A line may not be so far off", value=off_px, allowed="above 0 to 100 px")
    points = without_repeats(point_array(points_px, 2))
    kept = np.zeros(len(points), dtype=bool)
    kept[[0, -1]] = True
    waiting = [(0, len(points) - 1)]
    while waiting:
        first, last = waiting.pop()
        if last - first < 2:
            continue
        away = _away(points[first + 1 : last], points[first], points[last])
        number = int(np.argmax(away))
        if away[number] > off_px:
            middle = first + 1 + number
            kept[middle] = True
            waiting += [(first, middle), (middle, last)]
    return points[kept]


def _away(points: Array, start: Array, end: Array) -> Array:
    """Return how far points lie from the stretch between two others [px]."""
    along = end - start
    square = max(float(along @ along), 1e-12)
    share = np.clip((points - start) @ along / square, 0.0, 1.0)
    foot = start + share[:, None] * along
    return np.asarray(np.hypot(*(points - foot).T))
