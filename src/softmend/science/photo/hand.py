"""The spread of the hand: how far apart two tracings of one crack lie."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.line import smoothed_line
from softmend.science.photo.strip import even_points
from softmend.science.uncertain import Array

STEP_PX = 4.0
FURTHEST_SHARE = 0.25
"""Two lines further apart than this share of their length are not of one crack."""


@dataclass(frozen=True, slots=True)
class HandSpread:
    """How two tracings of one crack differ, all in px.

    `sideways_sd_px` is for one tracing; the ends are where either tracing says "seen to".
    """

    sideways_sd_px: float
    furthest_px: float
    length_difference_px: float
    start_apart_px: float
    end_apart_px: float


def hand_spread(first_px: ArrayLike, second_px: ArrayLike) -> HandSpread:
    """Return how far apart two tracings of one crack lie, sideways and at their ends.

    Parameters
    ----------
    first_px, second_px : array-like, the two traced lines, shape (m, 2) [px]

    Returns
    -------
    HandSpread [px]; sideways sd of one tracing is the rms distance over the root of two

    Raises
    ------
    InputError
        When the two lines cannot be of one crack.

    Source: jcgm100, section 4.2 (two observations of one thing).
    Checked against: tests/science/photo/test_hand.py.

    Example
    -------
    >>> found = hand_spread([[0, 0], [200, 0]], [[0, 2], [190, 2]])
    >>> round(found.sideways_sd_px, 2), round(found.length_difference_px)
    (1.41, 10)
    """
    first, second = (even_points(smoothed_line(line), STEP_PX) for line in (first_px, second_px))
    if _reversed_is_nearer(first, second):
        second = second[::-1]
    there, back = _distances(first, second), _distances(second, first)
    longest = STEP_PX * max(len(first), len(second))
    typical = float(np.median(np.concatenate([there, back])))
    if typical > max(FURTHEST_SHARE * longest, 10.0):
        raise InputError(
            "The two tracings are not of one crack",
            value=f"{typical:.0f} px apart",
            allowed=f"up to {max(FURTHEST_SHARE * longest, 10.0):.0f} px",
            remedy="Trace the same crack again",
        )
    inner = np.concatenate([_inner(there), _inner(back)])
    lengths = [float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in (first, second)]
    return HandSpread(
        float(np.sqrt(np.mean(inner**2))) / math.sqrt(2),
        float(inner.max()),
        abs(lengths[0] - lengths[1]),
        float(np.hypot(*(first[0] - second[0]))),
        float(np.hypot(*(first[-1] - second[-1]))),
    )


def _reversed_is_nearer(first: Array, second: Array) -> bool:
    ends = first[[0, -1]]
    same = np.hypot(*(ends - second[[0, -1]]).T).sum()
    turned = np.hypot(*(ends - second[[-1, 0]]).T).sum()
    return bool(turned < same)


def _distances(points: Array, line: Array) -> Array:
    """Return the distance of each point to a line's chords."""
    start, run = line[:-1], np.diff(line, axis=0)
    square = np.maximum(np.sum(run**2, axis=1), 1e-12)
    apart = points[:, None] - start[None]
    share = np.clip(np.sum(apart * run[None], axis=2) / square, 0, 1)
    off = apart - share[..., None] * run[None]
    return np.asarray(np.sqrt(np.min(np.sum(off**2, axis=2), axis=1)))


def _inner(distances: Array) -> Array:
    """Return the distances without the tenth at either end, which the ends speak of."""
    few = len(distances) // 10
    return distances[few : len(distances) - few]
