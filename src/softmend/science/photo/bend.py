"""A shaft that bends: the straight piece of it that lies nearest to what is measured."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.surface import point_array
from softmend.science.uncertain import Array


def local_edges(
    left_px: ArrayLike, right_px: ArrayLike, near_px: ArrayLike
) -> tuple[Array, Array, float]:
    """Return the piece of a shaft's outline that just holds some points, and its relative width.

    Parameters
    ----------
    left_px : array-like, points along one outline edge, shape (m, 2) [px], m at least 2
    right_px : array-like, points along the other edge, as many and in the same order [px]
    near_px : array-like, the points to be measured, shape (k, 2) [px], k at least 1

    Returns
    -------
    tuple, two points on the left edge (2, 2) [px], two on the right edge (2, 2) [px], and the
    width of the outline half way along the piece over that half way along the whole shaft [1]

    Raises
    ------
    InputError
        When the edges have different numbers of points or an edge has fewer than two.

    Source: own work.
    Checked against: tests/science/photo/test_bend.py.

    Example
    -------
    >>> left, right = [[0, 0], [50, 5], [100, 0]], [[0, 40], [50, 45], [100, 40]]
    >>> a, b, width = local_edges(left, right, [[60.0, 20.0], [90.0, 25.0]])
    >>> a.tolist(), b.tolist(), width
    ([[50.0, 5.0], [100.0, 0.0]], [[50.0, 45.0], [100.0, 40.0]], 1.0)
    """
    left, right = point_array(left_px, 2), point_array(right_px, 2)
    if len(left) != len(right):
        raise InputError(
            "The two edges of a shaft need as many points each",
            value=f"{len(left)} and {len(right)}",
            allowed="the same number, in the same order along the shaft",
        )
    middle = (left + right) / 2
    place = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(middle, axis=0).T))])
    reach = [_along(point, middle, place) for point in point_array(near_px)]
    first = max(int(np.searchsorted(place, min(reach), side="right")) - 1, 0)
    last = min(int(np.searchsorted(place, max(reach), side="left")), len(place) - 1)
    first, last = min(first, len(place) - 2), max(last, min(first, len(place) - 2) + 1)
    width = np.hypot(*(right - left).T)
    halfway = np.interp([(place[first] + place[last]) / 2, place[-1] / 2], place, width)
    kept = [first, last]
    return left[kept], right[kept], float(halfway[0] / halfway[1])


def outline_share(angle_deg: float, distance_over_radius: float) -> float:
    """Return where an angle round a shaft is seen, as a share of its half width in the picture.

    Parameters
    ----------
    angle_deg : float, angle round the shaft from its front line [deg], 0 to 80
    distance_over_radius : float, camera to axis over radius [1], above 1

    Returns
    -------
    float, 0 at the front line, 1 at the outline [1]

    Raises
    ------
    InputError
        When the angle is not seen from there or a number is out of range.

    Source: softmend-imaging, cylinder (law of sines in the plane across the axis).
    Checked against: tests/science/photo/test_bend.py.

    Example
    -------
    >>> round(outline_share(45.0, 1e9), 4), round(outline_share(45.0, 10.0), 4)
    (0.7071, 0.7571)
    """
    if not (0 <= angle_deg <= 80 and distance_over_radius > 1):
        raise InputError(
            "An angle round a shaft is out of range", value=angle_deg, allowed="0 to 80 degrees"
        )
    angle = math.radians(angle_deg)
    if math.cos(angle) * distance_over_radius <= 1:
        raise InputError("That angle is hidden from a camera so near", value=f"{angle_deg:g}")
    seen = math.sin(angle) / (distance_over_radius - math.cos(angle))
    return seen * math.sqrt(distance_over_radius**2 - 1)


def _along(point: Array, middle: Array, place: Array) -> float:
    """Return how far along the axis a point lies, on the piece of the axis nearest to it."""
    start, step = middle[:-1], np.diff(middle, axis=0)
    share = np.clip(np.sum((point - start) * step, axis=1) / np.sum(step**2, axis=1), 0.0, 1.0)
    foot = start + share[:, None] * step
    nearest = int(np.argmin(np.sum((point - foot) ** 2, axis=1)))
    return float(place[nearest] + share[nearest] * (place[nearest + 1] - place[nearest]))
