"""Many short lines looked at in one go: lengths, stairs taken out, and how straight they are.

A preview has thousands of them; one by one they cost more than all the rest.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from softmend.science.uncertain import Array

SOFT_PX, SOFT_REACH, SOFT_FROM = 2.0, 8, 6
"""The blur along a line, where it is cut off, and the fewest points of a line that is blurred."""


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Lines one after the other: all points, the first of each line, and how many it has."""

    points_px: Array
    first: NDArray[np.intp]
    count: NDArray[np.intp]

    @property
    def owner(self) -> NDArray[np.intp]:
        """The number of the line of each point."""
        return np.repeat(np.arange(len(self.count)), self.count)

    def apart(self, points: Array) -> list[Array]:
        """Return values by point as one array a line."""
        return np.split(points, self.first[1:])


def one_after_another(lines_px: Sequence[Array]) -> Lines:
    """Return lines put one after the other.

    Parameters
    ----------
    lines_px : sequence of arrays, each of shape (m, 2) [px], at least one, each with a point

    Returns
    -------
    Lines [px]

    Source: common practice, no source.
    Checked against: tests/science/photo/test_lines_at_once.py.

    Example
    -------
    >>> one_after_another([np.zeros((3, 2)), np.ones((2, 2))]).first.tolist()
    [0, 3]
    """
    count = np.array([len(line) for line in lines_px], dtype=np.intp)
    first = np.concatenate([[0], np.cumsum(count)[:-1]]).astype(np.intp)
    return Lines(np.concatenate(lines_px), first, count)


def lengths_px(lines: Lines) -> Array:
    """Return the length of each line.

    Parameters
    ----------
    lines : Lines, each with one point or more [px]

    Returns
    -------
    numpy array, one value a line [px]

    Source: common practice, no source.
    Checked against: tests/science/photo/test_lines_at_once.py.

    Example
    -------
    >>> two = [np.array([[0.0, 0], [3, 4]]), np.array([[9.0, 9]])]
    >>> lengths_px(one_after_another(two)).tolist()
    [5.0, 0.0]
    """
    steps = np.zeros(len(lines.points_px))
    steps[1:] = np.hypot(*np.diff(lines.points_px, axis=0).T)
    steps[lines.first] = 0.0
    return np.asarray(np.add.reduceat(steps, lines.first))


def softened(lines: Lines) -> Array:
    """Return the points of lines without a pixel's stairs; lines under 6 points stay as they are.

    Parameters
    ----------
    lines : Lines, points a pixel apart [px]

    Returns
    -------
    numpy array, shape of the points [px]

    Source: common practice, no source.
    Checked against: tests/science/photo/test_lines_at_once.py.

    Example
    -------
    >>> stairs = np.array([[0.0, 0], [1, 0], [2, 1], [3, 1], [4, 2], [5, 2], [6, 3], [7, 3]])
    >>> soft = softened(one_after_another([stairs]))
    >>> bool(np.abs(np.diff(soft[2:6, 1], n=2)).max() < 0.1)
    True
    """
    from scipy.ndimage import gaussian_filter1d

    # Each line's ends are repeated beyond it, so that no line reaches into the next.
    wide = lines.count + 2 * SOFT_REACH
    starts = np.concatenate([[0], np.cumsum(wide)[:-1]])
    owner = np.repeat(np.arange(len(wide)), wide)
    place = np.arange(int(wide.sum())) - starts[owner] - SOFT_REACH
    inside = np.clip(place, 0, lines.count[owner] - 1) + lines.first[owner]
    truncate = SOFT_REACH / SOFT_PX
    soft = gaussian_filter1d(lines.points_px[inside], SOFT_PX, axis=0, truncate=truncate)
    own = (place >= 0) & (place < lines.count[owner])
    is_short = (lines.count < SOFT_FROM)[lines.owner][:, None]
    return np.asarray(np.where(is_short, lines.points_px, soft[own]))


def ways(lines: Lines) -> Array:
    """Return the unit vector along each line at each of its points.

    Parameters
    ----------
    lines : Lines, each with two points or more [px]

    Returns
    -------
    numpy array, shape of the points [1]

    Source: common practice, no source.
    Checked against: tests/science/photo/test_lines_at_once.py.

    Example
    -------
    >>> ways(one_after_another([np.array([[0.0, 0], [2, 0], [4, 0]])])).tolist()
    [[1.0, 0.0], [1.0, 0.0], [1.0, 0.0]]
    """
    here = np.arange(len(lines.points_px))
    owner = lines.owner
    last = lines.first + lines.count - 1
    before, after = np.maximum(here - 1, lines.first[owner]), np.minimum(here + 1, last[owner])
    run = lines.points_px[after] - lines.points_px[before]
    return np.asarray(run / np.maximum(np.hypot(*run.T), 1e-9)[:, None])


def main_axes(lines: Lines) -> tuple[Array, Array, Array]:
    """Return the middle of each line, the way it runs, and how far it strays from straight.

    Parameters
    ----------
    lines : Lines, each with two points or more [px]

    Returns
    -------
    tuple, middles (n, 2) [px], unit vectors (n, 2) [1], root mean square beside the axis (n,) [px]

    Source: common practice, no source (principal axes of two dimensions in closed form).
    Checked against: tests/science/photo/test_lines_at_once.py.

    Example
    -------
    >>> line = np.column_stack([np.arange(20.0), np.arange(20.0)])
    >>> middle, way, stray = main_axes(one_after_another([line]))
    >>> middle.tolist(), bool(np.allclose(np.abs(way), 0.5**0.5)), bool(stray[0] < 1e-6)
    ([[9.5, 9.5]], True, True)
    """
    many = lines.count[:, None]
    middle = np.add.reduceat(lines.points_px, lines.first) / many
    x, y = (lines.points_px - middle[lines.owner]).T
    xx, xy, yy = (np.add.reduceat(v, lines.first) / lines.count for v in (x * x, x * y, y * y))
    angle = 0.5 * np.arctan2(2 * xy, xx - yy)
    way = np.column_stack([np.cos(angle), np.sin(angle)])
    least = 0.5 * (xx + yy) - np.hypot(0.5 * (xx - yy), xy)
    return middle, way, np.sqrt(np.maximum(least, 0.0))
