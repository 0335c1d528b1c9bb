"""Lines that were ruled or drawn, told from cracks: they run on straight, or bend too smoothly."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from softmend.science.photo.lines_at_once import Lines, main_axes, one_after_another
from softmend.science.uncertain import Array

SMOOTH_FROM_PX, SMOOTH_LEAST_PX, SMOOTH_MOST_PX = 40, 100, 400
SMOOTH_SHARE, SMOOTH_MISFIT_PX = 0.7, 0.65
"""A line that a parabola follows to so many px over 0.7 of its length was ruled, not cracked."""

STRAIGHT_FROM_PX, STRAIGHT_MISFIT_PX = 10, 1.2
REACH_PX, REACH_TIMES, REACH_LEAST_PX = 120.0, 3.0, 60.0
PAUSE_PX, BESIDE_PX, SEEN_LEAST_PX = 3.0, 2, 50
RUNS_ON_SHARE, ENDS_SHARE = 0.55, 0.8
"""A straight piece is ruled where other pieces lie on more than this share of its way on: both ways
together, or more of one way where the ruled line ends."""


def are_ruled(lines_px: Sequence[Array], shape: tuple[int, ...]) -> list[bool]:
    """Return which lines are pieces of a ruled line: other pieces lie on their straight way on.

    A ruled line that others cross falls into short pieces, each too short to be told by itself.

    Parameters
    ----------
    lines_px : sequence of arrays, all lines that were found, each of shape (m, 2) [px]
    shape : tuple, rows and columns of the picture [px]

    Returns
    -------
    list of bool, one a line

    Source: own rule (a crack leaves its own direction soon, a ruled line never).
    Checked against: tests/science/photo/test_ruled.py.

    Example
    -------
    >>> x = np.arange(30.0)
    >>> ruled = [np.column_stack([10 + 40 * n + x, 50 + 0 * x]) for n in range(6)]
    >>> alone = np.column_stack([80 + 0.6 * x, 100 + 0.8 * x])
    >>> are_ruled([*ruled, alone], (200, 300))
    [True, True, True, True, True, True, False]
    """
    import cv2

    drawn = np.zeros(shape[:2], np.uint8)
    for line in lines_px:
        cv2.polylines(drawn, [np.floor(line).astype(np.int32).reshape(-1, 1, 2)], False, 1)
    near = cv2.dilate(drawn, np.ones((2 * BESIDE_PX + 1,) * 2, np.uint8))
    long = [n for n, line in enumerate(lines_px) if len(line) >= STRAIGHT_FROM_PX]
    ruled = [False] * len(lines_px)
    if long:
        run_on = _run_on(one_after_another([lines_px[n] for n in long]), np.asarray(near, np.uint8))
        for n, runs in zip(long, run_on.tolist(), strict=True):
            ruled[n] = runs
    return ruled


def _run_on(lines: Lines, near: NDArray[np.uint8]) -> NDArray[np.bool_]:
    middle, way, stray = main_axes(lines)
    along = np.sum((lines.points_px - middle[lines.owner]) * way[lines.owner], axis=1)
    first = np.minimum.reduceat(along, lines.first)
    last = np.maximum.reduceat(along, lines.first)
    reach = np.clip(REACH_TIMES * (last - first), REACH_LEAST_PX, REACH_PX)
    steps = np.arange(PAUSE_PX, REACH_PX)[None]
    asked = steps < reach[:, None]
    sides = [
        _seen_on(middle, way, places, near, asked)
        for places in (first[:, None] - steps, last[:, None] + steps)
    ]
    ends = [(count >= SEEN_LEAST_PX) & (seen >= ENDS_SHARE * count) for count, seen in sides]
    count, seen = sides[0][0] + sides[1][0], sides[0][1] + sides[1][1]
    both = (count >= SEEN_LEAST_PX) & (seen >= RUNS_ON_SHARE * count)
    return np.asarray((stray <= STRAIGHT_MISFIT_PX) & (ends[0] | ends[1] | both))


def _seen_on(
    middle: Array, way: Array, places: Array, near: NDArray[np.uint8], asked: NDArray[np.bool_]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return of how many places on each way something can be seen, and on how many it is."""
    ahead = np.floor(middle[:, None] + places[..., None] * way[:, None]).astype(int)
    inside = asked & np.all((ahead >= 0) & (ahead < near.shape[::-1]), axis=-1)
    columns, rows = np.where(inside[..., None], ahead, 0).transpose(2, 0, 1)
    seen = inside & (near[rows, columns] > 0)
    return np.count_nonzero(inside, axis=1), np.count_nonzero(seen, axis=1)


def is_smooth(line_px: Array) -> bool:
    """Return whether a line bends too smoothly for a crack; a short one cannot be told.

    Parameters
    ----------
    line_px : numpy array, points at even steps, shape (m, 2) [px]

    Returns
    -------
    bool

    Source: own rule (a crack wanders, a drawn line does not).
    Checked against: tests/science/photo/test_ruled.py.

    Example
    -------
    >>> x = np.arange(200.0)
    >>> is_smooth(np.column_stack([x, 3 + 0.2 * x])), is_smooth(np.column_stack([x, 4 * np.sin(x)]))
    (True, False)
    """
    return len(line_px) > SMOOTH_FROM_PX and misfit_px(line_px) < SMOOTH_MISFIT_PX


def misfit_px(line_px: Array) -> float:
    """Return how far a line strays from the parabola that follows it best, stretch by stretch.

    Parameters
    ----------
    line_px : numpy array, points at even steps, shape (m, 2) [px], m at least 4

    Returns
    -------
    float, the middle one of the rms misfits of its stretches [px]

    Source: own rule (a crack wanders, a drawn line does not).
    Checked against: tests/science/photo/test_ruled.py.

    Example
    -------
    >>> x = np.arange(200.0)
    >>> round(misfit_px(np.column_stack([x, 3 + 0.2 * x + 1e-3 * x**2])), 6)
    0.0
    """
    count = len(line_px)
    long = min(count, max(SMOOTH_LEAST_PX, min(int(SMOOTH_SHARE * count), SMOOTH_MOST_PX)))
    powers = np.linspace(-1, 1, long)[:, None] ** np.arange(3)
    basis = np.linalg.qr(powers)[0]
    misfits = []
    for first in range(0, count - long + 1, max(long // 2, 1)):
        part = line_px[first : first + long]
        rest = part - basis @ (basis.T @ part)
        misfits.append(float(np.sqrt(np.sum(rest**2) / long)))
    return float(np.median(misfits))
