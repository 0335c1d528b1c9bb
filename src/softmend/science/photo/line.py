"""A drawn or traced line, smoothed so that the jitter of its vertices does not lengthen it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.surface import point_array
from softmend.science.uncertain import Array

SMOOTHING_REACH_PX = 14.0
"""Vertices nearer than this along the line are smoothed together; hand-set corners lie wider."""

CLOSEST_PX = 0.5
"""Vertices that crowd nearer than this say nothing new."""


def smoothed_line(points_px: ArrayLike, *, closed: bool = False) -> Array:
    """Return a line whose close-set vertices are smoothed so that jitter does not lengthen it.

    Each vertex moves to a quadratic fitted along the line to its neighbours within 14 px, with
    weights falling to zero there; curves keep their length to third order, and vertices wider
    apart than about 7 px, as a hand sets them, stay where they are.

    Parameters
    ----------
    points_px : array-like, vertices in order, shape (m, 2) [px], m at least 2
    closed : bool, the last vertex joins the first [1]

    Returns
    -------
    numpy array, shape (m, 2) [px]

    Raises
    ------
    InputError
        When there are fewer than two different points.

    Source: cleveland1979 (locally weighted regression, tricube weights), along the line.
    Checked against: circle arcs and jittered lines in tests/science/photo/test_polygon.py.

    Example
    -------
    >>> smoothed_line([[0, 0], [50, 0], [50, 50]]).tolist()
    [[0.0, 0.0], [50.0, 0.0], [50.0, 50.0]]
    """
    points = _spaced(without_repeats(point_array(points_px, 2)))
    count = len(points)
    if closed:
        points = np.tile(points, (3, 1))
    place = _place_along(points)
    numbers, weight = _neighbours(place)
    moved = _fitted(points, place, numbers, weight)
    return moved[count : 2 * count] if closed else moved


def without_repeats(points: Array) -> Array:
    """Return a line's points without those that repeat the one before.

    Parameters
    ----------
    points : numpy array, vertices in order, shape (m, 2) [px]

    Returns
    -------
    numpy array, shape (k, 2) [px], k at least 2

    Raises
    ------
    InputError
        When no two points differ.

    Source: common practice, no source.
    Checked against: tests/science/photo/test_polygon.py.

    Example
    -------
    >>> without_repeats(np.array([[0.0, 0.0], [0.0, 0.0], [1.0, 0.0]])).tolist()
    [[0.0, 0.0], [1.0, 0.0]]
    """
    keep = np.concatenate([[True], np.any(np.diff(points, axis=0) != 0, axis=1)])
    kept = points[keep]
    if len(kept) < 2:
        raise InputError("A line has no length", allowed="at least two different points")
    return np.asarray(kept)


def _place_along(points: Array) -> Array:
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])


def _spaced(points: Array) -> Array:
    """Return the points without those that crowd within half a pixel along the line."""
    cell = np.floor(_place_along(points) / CLOSEST_PX)
    keep = np.concatenate([[True], np.diff(cell) > 0])
    keep[-1] = True
    return np.asarray(points[keep])


def _neighbours(place: Array) -> tuple[NDArray[np.intp], Array]:
    """Return for each vertex the numbers of its neighbours within reach and their weights."""
    first = np.searchsorted(place, place - SMOOTHING_REACH_PX)
    last = np.searchsorted(place, place + SMOOTHING_REACH_PX, side="right")
    widest = int(np.max(last - first))
    numbers = np.minimum(first[:, None] + np.arange(widest)[None], len(place) - 1)
    apart = np.abs(place[numbers] - place[:, None]) / SMOOTHING_REACH_PX
    inside = np.arange(widest)[None] < (last - first)[:, None]
    weight = np.where(inside, np.clip(1 - apart**3, 0.0, 1.0) ** 3, 0.0)
    return numbers, weight


def _fitted(points: Array, place: Array, numbers: NDArray[np.intp], weight: Array) -> Array:
    """Return each vertex on the weighted quadratic through its neighbours; few of them: unmoved."""
    u = (place[numbers] - place[:, None]) / SMOOTHING_REACH_PX
    powers = np.stack([np.ones_like(u), u, u * u], axis=1)
    weighted = powers * weight[:, None]
    normal = weighted @ powers.transpose(0, 2, 1)
    target = weighted @ points[numbers]
    enough = np.sum(weight > 1e-3, axis=1) >= 5
    moved = points.copy()
    if np.any(enough):
        moved[enough] = np.linalg.solve(normal[enough], target[enough])[:, 0]
    return moved
