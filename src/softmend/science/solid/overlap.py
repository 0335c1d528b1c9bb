"""Whether two rims on one surface bound the same opening."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

TOUCHING = 0.1
"""Share of a rim that may lie within another before both are said to overlap."""


def rims_overlap(one: ArrayLike, other: ArrayLike) -> float:
    """Return how much of two rims lies within each other, the greater of both shares.

    A rim lies within another where it is inside its outline, seen square to that other rim, and
    no farther from its plane than its own radius.

    Parameters
    ----------
    one : array-like (n, 3), places round a rim in order [any length], 3 or more
    other : array-like (m, 3), places round another rim [same length], 3 or more

    Returns
    -------
    float, share of points [1], 0 to 1

    Raises
    ------
    InputError
        When a rim has fewer than three places.

    Source: own; even-odd rule in the plane of each rim.
    Checked against: tests/science/solid/test_overlap.py.

    Example
    -------
    >>> square = np.array([[0, 0, 0], [2, 0, 0], [2, 2, 0], [0, 2, 0.0]])
    >>> rims_overlap(square, square + [1.0, 1.0, 0.0])
    0.25
    >>> rims_overlap(square, square + [3.0, 0.0, 0.0])
    0.0
    """
    rims = [np.asarray(rim, dtype=np.float64).reshape(-1, 3) for rim in (one, other)]
    if min(len(rim) for rim in rims) < 3:
        raise InputError(
            "A rim needs three places or more", value=[len(rim) for rim in rims],
            remedy="pick round the void",
        )  # fmt: skip
    first, second = rims
    return max(_share_within(first, second), _share_within(second, first))


def _share_within(points: Array, rim: Array) -> float:
    centre = rim.mean(axis=0)
    spokes = rim - centre
    normal = np.cross(spokes, np.roll(spokes, -1, axis=0)).sum(axis=0)
    size = float(np.linalg.norm(normal))
    if not size > 0:
        return 0.0
    normal /= size
    across = spokes[np.linalg.norm(spokes, axis=1).argmax()]
    across = across - normal * float(across @ normal)
    across /= np.linalg.norm(across)
    frame = np.stack([across, np.cross(normal, across)])
    flat, outline = (points - centre) @ frame.T, spokes @ frame.T
    radius = float(np.linalg.norm(spokes, axis=1).mean())
    is_near = np.abs((points - centre) @ normal) <= radius
    x, y = flat[:, 0, None], flat[:, 1, None]
    ax, ay = outline.T
    bx, by = np.roll(outline, -1, axis=0).T
    rises = (ay > y) != (by > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        is_left = x < ax + (y - ay) * (bx - ax) / (by - ay)
    inside = (rises & is_left).sum(axis=1) % 2 == 1
    return float((inside & is_near).mean())
