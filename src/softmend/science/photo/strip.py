"""A picture pulled straight along a line, and the best way through that strip."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from softmend.science.photo.ridge import Response
from softmend.science.uncertain import Array

CV2_CENTRE = 0.5
"""cv2 counts from the middle of the first pixel, Softmend from its corner."""

REACH_PX = 24
"""How far to either side of the coarse way the fine one may lie."""

AT_ANCHOR_PX = 5.0
"""How far from a click the trace may pass; it may leave by half a pixel for each pixel onward."""

SIDE_STEP = 14.0
"""What a side step of one pixel costs beside the darkness."""

SMOOTHED_PX = 12.0

CREST_REACH_PX, CREST_SIDE_STEP, CREST_SMOOTHED_PX = 6, 6.0, 8.0
"""The last pass: how far from the way it looks, what a side step costs, and how soft its base."""


@dataclass(frozen=True, slots=True, eq=False)
class Strip:
    """The likeness to dark lines along a line: rows run along it, columns across.

    `across` has the middle third for the line itself and a third to either side.
    """

    STEP_PX: ClassVar[float] = 2.0

    middle_px: Array
    normal: Array
    across: Response
    allowed: NDArray[np.bool_]

    def points(self, offsets_px: Array) -> Array:
        """Return where the picture has the points at these offsets from the middle line."""
        return np.asarray(self.middle_px + offsets_px[:, None] * self.normal)


def even_points(line_px: Array, step_px: float) -> Array:
    """Return points of a line at even steps along it; both ends are kept.

    Parameters
    ----------
    line_px : numpy array, vertices, shape (m, 2) [px]
    step_px : float, step along the line [px], above 0

    Returns
    -------
    numpy array, shape (k, 2) [px], k at least 2

    Source: common practice, no source.
    Checked against: tests/science/photo/test_trace.py.

    Example
    -------
    >>> even_points(np.array([[0.0, 0], [10, 0]]), 5.0).tolist()
    [[0.0, 0.0], [5.0, 0.0], [10.0, 0.0]]
    """
    place = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line_px, axis=0).T))])
    count = max(round(place[-1] / step_px), 1) + 1
    wanted = np.linspace(0.0, place[-1], count)
    return np.column_stack([np.interp(wanted, place, line_px[:, axis]) for axis in (0, 1)])


def normals(line_px: Array) -> Array:
    """Return the unit vector square to a line at each of its points.

    Parameters
    ----------
    line_px : numpy array, points at even steps, shape (m, 2) [px], m at least 2

    Returns
    -------
    numpy array, shape (m, 2) [1]

    Source: common practice, no source.
    Checked against: tests/science/photo/test_trace.py.

    Example
    -------
    >>> np.abs(normals(np.array([[0.0, 0], [5, 0], [10, 0]]))).tolist()
    [[0.0, 1.0], [0.0, 1.0], [0.0, 1.0]]
    """
    run = np.gradient(line_px, axis=0)
    length = np.maximum(np.hypot(*run.T), 1e-9)[:, None]
    return np.asarray(np.column_stack([-run[:, 1], run[:, 0]]) / length)


def pulled_straight(response: Response, ways: Sequence[Array], anchors_px: Array) -> Strip:
    """Return the picture pulled straight along the ways between anchors.

    Parameters
    ----------
    response : numpy array, likeness to dark lines, shape (h, w), 0 to 255 [1]
    ways : sequence of arrays, the coarse way between each two anchors, shape (m, 2) [px]
    anchors_px : numpy array, the anchors, shape (n, 2) [px]

    Returns
    -------
    Strip [px]

    Source: common practice, no source.
    Checked against: tests/science/photo/test_trace.py.

    Example
    -------
    >>> way = np.array([[10.0, 50], [90, 50]])
    >>> pulled_straight(np.zeros((100, 100), dtype=np.uint8), [way], way).across.shape
    (41, 147)
    """
    import cv2

    parts = [_smoothed(even_points(way, Strip.STEP_PX), SMOOTHED_PX) for way in ways]
    middle = np.concatenate([parts[0], *(part[1:] for part in parts[1:])])
    square = normals(middle)
    reach = np.arange(-3 * REACH_PX - 1, 3 * REACH_PX + 2, dtype=np.float64)
    at = (middle[:, None] + reach[None, :, None] * square[:, None] - CV2_CENTRE).astype(np.float32)
    across = cv2.remap(
        response, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT
    )
    place = np.arange(len(middle)) * Strip.STEP_PX
    starts = np.concatenate([[0], np.cumsum([len(part) - 1 for part in parts])]) * Strip.STEP_PX
    near = np.min(np.abs(place[:, None] - starts[None]), axis=1)
    inner = np.arange(-REACH_PX, REACH_PX + 1)
    allowed = np.abs(inner)[None] <= (AT_ANCHOR_PX + 0.5 * near)[:, None]
    return Strip(middle, square, np.asarray(across, dtype=np.uint8), allowed)


def best_way(strip: Strip, cost: Array) -> tuple[Array, Array, Array]:
    """Return the best way through the strip, and how dark it and the best ways beside it are.

    Parameters
    ----------
    strip : Strip, the picture pulled straight [px]
    cost : numpy array, the cost of each 8-bit likeness, shape (256,) [1]

    Returns
    -------
    tuple, offsets of the way (m,) [px], its likeness (m,) and those beside it (2, m) [1]

    Source: bellman1957 (dynamic programming).
    Checked against: tests/science/photo/test_trace.py.

    Example
    -------
    >>> way = np.array([[10.0, 50], [90, 50]])
    >>> sheet = np.zeros((100, 100), dtype=np.uint8)
    >>> sheet[51] = 255
    >>> strip = pulled_straight(sheet, [way], way)
    >>> offsets, dark, beside = best_way(strip, 250.0 - np.arange(256))
    >>> bool(np.abs(np.abs(offsets) - 1.5).max() < 0.6), float(beside.max())
    (True, 0.0)
    """
    width = 2 * REACH_PX + 1
    parts = strip.across.reshape(len(strip.middle_px), 3, width)
    price = cost[parts]
    price[:, 1] = np.where(strip.allowed, price[:, 1], 1e6)
    chosen = _cheapest_columns(price, SIDE_STEP)
    rows = np.arange(len(parts))
    likeness = np.stack([parts[rows, side, chosen[:, side]] for side in range(3)]).astype(float)
    offsets = _refined(parts[:, 1], chosen[:, 1]) - REACH_PX
    return _smooth(offsets), likeness[1], likeness[[0, 2]]


def to_the_crest(response: Response, line_px: Array) -> Array:
    """Return a way moved sideways onto the crest of the likeness right beside it.

    A way is cheap wherever a crack is dark, so it cuts the corners of a crooked one. Here the
    likeness itself counts, and only a few pixels to either side.

    Parameters
    ----------
    response : numpy array, likeness to dark lines, shape (h, w), 0 to 255 [1]
    line_px : numpy array, points of the way about 2 px apart, shape (m, 2) [px]

    Returns
    -------
    numpy array, as many points, shape (m, 2) [px]

    Source: bellman1957 (dynamic programming); steger1998 (the middle of a line is the top of the
    parabola across it).
    Checked against: drawn cracks in tests/science/photo/test_trace.py.

    Example
    -------
    >>> sheet = np.zeros((60, 100), dtype=np.uint8)
    >>> sheet[29:32] = np.array([[150], [255], [150]])
    >>> along = np.arange(10.0, 90.0, 2.0)
    >>> crest = to_the_crest(sheet, np.column_stack([along, 33 + 0 * along]))
    >>> bool(np.abs(crest[:, 1] - 30.5).max() < 0.3)
    True
    """
    import cv2

    base = _smoothed(line_px, CREST_SMOOTHED_PX)
    square = normals(base)
    reach = np.arange(-CREST_REACH_PX, CREST_REACH_PX + 1, dtype=np.float64)
    at = (base[:, None] + reach[None, :, None] * square[:, None] - CV2_CENTRE).astype(np.float32)
    found = cv2.remap(response, at[..., 0], at[..., 1], cv2.INTER_LINEAR)
    across: Response = np.asarray(found, dtype=np.uint8)
    chosen = _cheapest_columns(255.0 - across.astype(np.float64)[:, None], CREST_SIDE_STEP)[:, 0]
    offsets = _smooth(_refined(across, chosen) - CREST_REACH_PX)
    return np.asarray(base + offsets[:, None] * square)


def _cheapest_columns(price: Array, side_step: float) -> NDArray[np.intp]:
    """Return the column taken in each row by the cheapest way down each of the three parts."""
    steps, parts, width = price.shape
    total = price[0].copy()
    turns = np.zeros((steps, parts, width), dtype=np.int8)
    padded = np.full((parts, width + 4), np.inf)
    for row in range(1, steps):
        padded[:, 2:-2] = total
        best, turn = total, turns[row]
        for step in (-1, 1, -2, 2):
            moved = padded[:, 2 + step : width + 2 + step] + side_step * abs(step)
            np.copyto(turn, step, where=moved < best)
            best = np.minimum(best, moved)
        total = best + price[row]
    chosen = np.empty((steps, parts), dtype=np.intp)
    chosen[-1] = np.argmin(total, axis=1)
    sides = np.arange(parts)
    for row in range(steps - 1, 0, -1):
        chosen[row - 1] = chosen[row] + turns[row, sides, chosen[row]]
    return chosen


def _refined(across: Response, chosen: NDArray[np.intp]) -> Array:
    """Return the columns moved to the top of the parabola through each and its two neighbours."""
    rows = np.arange(len(chosen))
    inner = np.clip(chosen, 1, across.shape[1] - 2)
    left, top, right = (across[rows, inner + step].astype(float) for step in (-1, 0, 1))
    bend = left - 2 * top + right
    shift = np.where(bend < -1e-9, 0.5 * (left - right) / np.minimum(bend, -1e-9), 0.0)
    return np.asarray(chosen + np.clip(shift, -0.5, 0.5))


def _smooth(offsets: Array) -> Array:
    from scipy.ndimage import gaussian_filter1d

    return np.asarray(gaussian_filter1d(offsets, 1.0, mode="nearest"))


def _smoothed(way: Array, sigma_px: float) -> Array:
    """Return a way without its stairs; its two ends stay."""
    from scipy.ndimage import gaussian_filter1d

    soft = gaussian_filter1d(way, sigma_px / Strip.STEP_PX, axis=0, mode="nearest")
    # The ends are pulled inward by the filter; they are led back to the clicks.
    lead = np.clip(np.arange(len(way)) * Strip.STEP_PX / (2 * sigma_px), 0, 1)[:, None]
    soft = lead * soft + (1 - lead) * way
    return np.asarray(lead[::-1] * soft + (1 - lead[::-1]) * way)
