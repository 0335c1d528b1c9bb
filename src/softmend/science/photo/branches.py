"""Lines between forks put together again: a crack runs on through a fork, a branch ends there."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from softmend.science.uncertain import Array

MEETS_PX = 6.0
"""Ends that lie so near to one another meet at one fork."""

TURN_LEAST = 0.5
"""Cosine of the sharpest turn (60 degrees) that still counts as running on."""

LOOK_BACK_POINTS = 4

End = tuple[int, int]
"""A line by its number, and 0 for its first point or 1 for its last."""


def joined_lines(lines_px: Sequence[Array]) -> list[Array]:
    """Return the lines of one branched thing, joined where one runs on into another; longest first.

    Parameters
    ----------
    lines_px : sequence of arrays, lines between ends and forks, each of shape (m, 2) [px]

    Returns
    -------
    list of arrays, each of shape (n, 2) [px]; nothing is left out

    Source: own rule (at a fork the two ends that turn least belong together).
    Checked against: tests/science/photo/test_branches.py.

    Example
    -------
    >>> x = np.arange(0.0, 41.0, 4)
    >>> first = np.column_stack([x, 0 * x])
    >>> onward, aside = first + [42, 1], np.column_stack([41 + 0 * x, 2 + x])
    >>> [len(line) for line in joined_lines([aside, first, onward])]
    [22, 11]
    """
    lines = [np.asarray(line, dtype=np.float64) for line in lines_px]
    onward: dict[End, End] = {}
    chain = list(range(len(lines)))
    for one, other in _pairs(lines):
        is_free = one not in onward and other not in onward
        if is_free and _head(chain, one[0]) != _head(chain, other[0]):
            onward[one], onward[other] = other, one
            chain[_head(chain, one[0])] = _head(chain, other[0])
    used: set[int] = set()
    joined = []
    for number in range(len(lines)):
        start = next((end for end in (0, 1) if (number, end) not in onward), None)
        if start is not None and number not in used:
            joined.append(_followed(lines, (number, start), onward, used))
    return sorted(joined, key=lambda line: -_length(line))


def _pairs(lines: Sequence[Array]) -> list[tuple[End, End]]:
    """Return pairs of ends that meet and run on into one another, the straightest first."""
    from scipy.spatial import cKDTree

    ends = [(n, end) for n, line in enumerate(lines) if len(line) > 1 for end in (0, 1)]
    if len(ends) < 4:
        return []
    at = np.array([lines[n][-end] for n, end in ends])
    way = np.array([_way_out(lines[n], end) for n, end in ends])
    near = cKDTree(at).query_pairs(MEETS_PX, output_type="ndarray")
    straight = -np.sum(way[near[:, 0]] * way[near[:, 1]], axis=1)
    kept = [int(n) for n in np.argsort(-straight, kind="stable") if straight[n] >= TURN_LEAST]
    found = [(ends[int(near[n, 0])], ends[int(near[n, 1])]) for n in kept]
    return [(one, other) for one, other in found if one[0] != other[0]]


def _followed(lines: Sequence[Array], start: End, onward: dict[End, End], used: set[int]) -> Array:
    """Return all lines from a free end on, each turned so that it runs on from the last."""
    parts = []
    here: End | None = start
    while here is not None:
        number, end = here
        used.add(number)
        parts.append(lines[number][::-1] if end else lines[number])
        here = onward.get((number, 1 - end))
    return np.concatenate(parts)


def _head(chain: list[int], number: int) -> int:
    while chain[number] != number:
        number = chain[number]
    return number


def _way_out(line: Array, end: int) -> Array:
    """Return the direction in which a line leaves at one of its ends."""
    turned = line if end else line[::-1]
    step = turned[-1] - turned[-min(LOOK_BACK_POINTS, len(turned))]
    return np.asarray(step / max(float(np.hypot(*step)), 1e-9))


def _length(line: Array) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())
