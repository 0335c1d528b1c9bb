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
    while True:
        best = _best_pair(lines)
        if best is None:
            return sorted(lines, key=lambda line: -_length(line))
        (one, one_end), (other, other_end) = best
        first = lines[one] if one_end else lines[one][::-1]
        second = lines[other][::-1] if other_end else lines[other]
        rest = [line for n, line in enumerate(lines) if n not in (one, other)]
        lines = [*rest, np.concatenate([first, second])]


def _best_pair(lines: Sequence[Array]) -> tuple[tuple[int, int], tuple[int, int]] | None:
    ends = [(n, end) for n, line in enumerate(lines) if len(line) > 1 for end in (0, 1)]
    if len(ends) < 4:
        return None
    at = np.array([lines[n][-end] for n, end in ends])
    way = np.array([_way_out(lines[n], end) for n, end in ends])
    owner = np.array([n for n, _end in ends])
    apart = np.hypot(*(at[:, None] - at[None]).transpose(2, 0, 1))
    straight = -(way @ way.T)
    straight[(apart > MEETS_PX) | (owner[:, None] == owner[None])] = -1
    best = int(np.argmax(straight))
    row, column = divmod(best, len(ends))
    if straight[row, column] < TURN_LEAST:
        return None
    return ends[row], ends[column]


def _way_out(line: Array, end: int) -> Array:
    """Return the direction in which a line leaves at one of its ends."""
    turned = line if end else line[::-1]
    step = turned[-1] - turned[-min(LOOK_BACK_POINTS, len(turned))]
    return np.asarray(step / max(float(np.hypot(*step)), 1e-9))


def _length(line: Array) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())
