"""A map of likeness to lines turned into lines: two thresholds, thinned, walked along."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from softmend.science.photo.lines_at_once import lengths_px, one_after_another
from softmend.science.photo.ridge import Response
from softmend.science.uncertain import Array

STRAY_PX = 10.0
"""Side branches shorter than this are left out."""

Mask = NDArray[np.bool_]

_STEPS = ((0, -1), (0, 1), (-1, 0), (1, 0), (-1, -1), (-1, 1), (1, -1), (1, 1))


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
    length = float(lengths_px(one_after_another(lines)).sum()) if lines else 0.0
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
    net = _Net.of(thin.shape, rows, columns)
    forks = np.flatnonzero(net.degree > 2)
    found = []
    used: set[tuple[int, int]] = set()
    for start in (*np.flatnonzero(net.degree == 1).tolist(), *forks.tolist()):
        for onward in net.beside(start):
            if (start, onward) not in used:
                found.append(_walk(start, onward, net, used))
    seen = np.zeros(len(rows), dtype=bool)
    for line in found:
        seen[line] = True
    for one in np.flatnonzero(~seen & (net.degree > 0)).tolist():
        if not seen[one]:
            ring = _walk(one, net.beside(one)[0], net, used)
            seen[ring] = True
            found.append(ring)
    at = np.column_stack([columns, rows]).astype(float)
    kept = found if len(found) == 1 else [line for line in found if len(line) >= STRAY_PX]
    return [at[line] for line in kept or found[:1]]


@dataclass(frozen=True, slots=True)
class _Net:
    """Pixels of a thinned shape by their number, and which lie beside which."""

    neighbours: NDArray[np.intp]
    first: list[int]
    onward: list[int]
    degree: NDArray[np.intp]

    @classmethod
    def of(cls, shape: tuple[int, ...], rows: NDArray[np.intp], columns: NDArray[np.intp]) -> _Net:
        """Return the net of these pixels; `onward` is the sum of the two beside a pixel of two."""
        number = np.full((shape[0] + 2, shape[1] + 2), -1, dtype=np.intp)
        number[rows + 1, columns + 1] = np.arange(len(rows))
        near = np.stack([number[rows + 1 + y, columns + 1 + x] for y, x in _STEPS], axis=1)
        degree = np.count_nonzero(near >= 0, axis=1)
        flat = near[near >= 0]
        first = np.concatenate([[0], np.cumsum(degree)])
        pair = np.where(degree == 2, np.sum(np.where(near >= 0, near, 0), axis=1), -1)
        return cls(flat, first.tolist(), pair.tolist(), degree)

    def beside(self, one: int) -> list[int]:
        """Return the pixels beside one."""
        found: list[int] = self.neighbours[self.first[one] : self.first[one + 1]].tolist()
        return found


def _walk(start: int, onward: int, net: _Net, used: set[tuple[int, int]]) -> list[int]:
    line = [start, onward]
    before, here, both = start, onward, net.onward
    # A pixel between two others leads from the one to the other; an end or a fork stops the walk.
    while both[here] >= 0 and here != start:
        before, here = here, both[here] - before
        line.append(here)
    used.update(((start, onward), (here, before)))
    return line
