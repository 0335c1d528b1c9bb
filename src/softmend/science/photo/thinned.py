"""A map of likeness to lines turned into lines: two thresholds, thinned, walked along."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from softmend.science.photo.ridge import Response
from softmend.science.uncertain import Array

STRAY_PX = 10.0
"""Side branches shorter than this are left out."""

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """One connected dark thing: its lines [px], its number in the label map, its pixels, its box.

    `length_px` is that of all its lines; `mean` the mean likeness along them.
    """

    number: int
    lines_px: tuple[Array, ...]
    length_px: float
    reach_px: float
    area_px: int
    mean: float


def pieces(
    strength: Response, low: int, high: int, least_px: float, most: int = 5000
) -> tuple[list[Piece], int]:
    """Return the connected things above a low threshold that pass a high one somewhere, as lines.

    Parameters
    ----------
    strength : numpy array, likeness to dark lines, shape (h, w), 0 to 255 [1]
    low, high : int, the two thresholds [1], 1 to 255
    least_px : float, the diagonal of a piece's box must be this [px], above 0
    most : int, so many of those that reach furthest are given [1], 1 or more

    Returns
    -------
    tuple, list of Piece, lines from the picture's corner [px], and how many more there are [1]

    Source: canny1986 (two thresholds); zhang1984 (thinning), by the imaging library.
    Checked against: tests/science/photo/test_suggest.py.

    Example
    -------
    >>> sheet = np.zeros((40, 60), dtype=np.uint8)
    >>> sheet[20:23, 5:55] = 200
    >>> found, more = pieces(sheet, 50, 100, 20)
    >>> len(found), float(np.median(found[0].lines_px[0][:, 1]))
    (1, 21.5)
    """
    import cv2

    count, found_labels, stats, _ = cv2.connectedComponentsWithStats(
        (strength >= low).astype(np.uint8), connectivity=8, ltype=cv2.CV_32S
    )
    labels = np.asarray(found_labels, dtype=np.int32)
    strong = np.zeros(count, dtype=bool)
    strong[np.unique(labels[strength >= high])] = True
    strong[0] = False
    reach = np.hypot(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT])
    chosen = np.flatnonzero(strong & (reach >= least_px))
    kept = chosen[np.argsort(-reach[chosen], kind="stable")[:most]]
    found = [_piece(strength, labels, stats[n], int(n), float(reach[n])) for n in kept]
    return found, len(chosen) - len(kept)


def _piece(
    strength: Response, labels: NDArray[np.int32], box: NDArray[np.int32], number: int, reach: float
) -> Piece:
    from skimage import morphology

    skeletonize: Any = morphology.skeletonize

    left, top, width, height, area = (int(value) for value in box[:5])
    part = (slice(top, top + height), slice(left, left + width))
    thin = np.asarray(skeletonize(labels[part] == number))
    likeness = float(strength[part][thin].mean()) if thin.any() else 0.0
    lines = [walk + np.array([left + 0.5, top + 0.5]) for walk in walks(thin)]
    length = sum(float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in lines)
    return Piece(number, tuple(lines), length, reach, area, likeness)


def walks(thin: Mask) -> list[Array]:
    """Return the lines of a thinned shape, each from an end or a fork to the next.

    Parameters
    ----------
    thin : numpy array, one pixel wide lines, shape (h, w)

    Returns
    -------
    list of arrays, column and row of each pixel in order, shape (m, 2) [px]

    Source: common practice, no source.
    Checked against: tests/science/photo/test_suggest.py.

    Example
    -------
    >>> shape = np.zeros((5, 30), dtype=bool)
    >>> shape[2, 3:28] = True
    >>> len(walks(shape)), len(walks(shape)[0])
    (1, 25)
    """
    rows, columns = np.nonzero(thin)
    wide = thin.shape[1] + 2
    numbers = ((rows + 1) * wide + columns + 1).tolist()
    left = set(numbers)
    steps = (-1, 1, -wide, wide, -wide - 1, -wide + 1, wide - 1, wide + 1)
    beside = {one: [one + s for s in steps if one + s in left] for one in numbers}
    forks = {one for one, near in beside.items() if len(near) > 2}
    starts = [one for one, near in beside.items() if len(near) == 1] + sorted(forks)
    found = []
    used: set[tuple[int, int]] = set()
    for start in starts:
        for onward in beside[start]:
            if (start, onward) not in used:
                found.append(_walk(start, onward, beside, forks, used))
    seen = {one for line in found for one in line}
    for one in numbers:
        if one not in seen and beside[one]:
            ring = _walk(one, beside[one][0], beside, {one}, used)
            seen.update(ring)
            found.append(ring)
    lines = [np.array([[n % wide - 1, n // wide - 1] for n in line], dtype=float) for line in found]
    if len(lines) == 1:
        return lines
    return [line for line in lines if len(line) >= STRAY_PX] or lines[:1]


def _walk(
    start: int,
    onward: int,
    beside: dict[int, list[int]],
    forks: set[int],
    used: set[tuple[int, int]],
) -> list[int]:
    line = [start, onward]
    used.update(((start, onward), (onward, start)))
    while line[-1] not in forks and line[-1] != start:
        ahead = [one for one in beside[line[-1]] if one != line[-2]]
        if not ahead:
            break
        used.update(((line[-1], ahead[0]), (ahead[0], line[-1])))
        line.append(ahead[0])
    return line
