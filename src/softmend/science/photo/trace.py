"""The way of a crack from click to click: a cheap path over the picture, then a fine one along it.

The picture is prepared once. Between neighbouring clicks the cheapest path is sought on a reduced
picture, the full picture is pulled straight along it, and the best line through that strip, moved
onto the crest right beside it, is the trace. The same is sought beside the crack, in strips that do
not hold it: where the trace is no darker than what is found there, the evidence is weak.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.light import Plane
from softmend.science.photo.ridge import Response, dark_lines
from softmend.science.photo.strip import Strip, best_way, pulled_straight, to_the_crest
from softmend.science.photo.surface import point_array
from softmend.science.uncertain import Array

REDUCED_AREA_PX = 250_000
"""The path is sought on the finest reduction whose box between two clicks has no more pixels."""

FACTORS = (1, 2, 4, 8, 16, 32)
DEAREST, FALL = 250.0, 28.0
MOST_ANCHORS = 500

EVIDENCE_REACH_PX = 60.0
"""Evidence is the mean over so much of the trace."""

WEAK_RATIO = 1.7
"""Weak is less than so many times what the best line beside the crack shows."""

LEAST_BESIDE, MOST_BESIDE = 18.0, 50.0
"""What the best line of plain texture shows, 30 to 45 when drawn; more is another crack."""

SHORTEST_STRETCH_PX = 24.0


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """A picture made ready for tracing: its likeness to dark lines at full and reduced sizes."""

    reduced: dict[int, Response]

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height of the picture."""
        rows, columns = self.reduced[1].shape
        return columns, rows


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a trace between two numbers of its points, and whether its evidence is weak."""

    first: int
    last: int
    is_weak: bool


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """A traced line: points [px], evidence at each (1 is like the best line beside the crack)."""

    points_px: Array
    evidence: Array
    stretches: tuple[Stretch, ...]

    @property
    def weak_share(self) -> float:
        """The share of the trace whose evidence is weak."""
        steps = np.hypot(*np.diff(self.points_px, axis=0).T)
        weak = sum(float(steps[s.first : s.last].sum()) for s in self.stretches if s.is_weak)
        return weak / max(float(steps.sum()), 1e-9)


def prepared(grey: Plane) -> Prepared:
    """Return a picture made ready for tracing; this is done once, when it is opened.

    Parameters
    ----------
    grey : numpy array, brightness as coded, shape (h, w), 0 to 255 [1]

    Returns
    -------
    Prepared, 8-bit likeness to dark lines at full size and halved by largest value [1]

    Source: lindeberg1998; largest values kept, so that a thin line survives the halving.
    Checked against: tests/science/photo/test_trace.py.

    Example
    -------
    >>> sorted(prepared(np.zeros((64, 64), dtype=np.float32)).reduced)
    [1, 2, 4, 8, 16, 32]
    """
    reduced = {1: dark_lines(grey)}
    for factor in FACTORS[1:]:
        reduced[factor] = _halved(reduced[factor // 2])
    return Prepared(reduced)


def trace(picture: Prepared, anchors_px: ArrayLike) -> Trace:
    """Return the line of a crack through the anchors that were clicked on it, in their order.

    Parameters
    ----------
    picture : Prepared, the picture made ready [1]
    anchors_px : array-like, clicks along the crack, shape (m, 2) [px], 2 to 500, inside the picture

    Returns
    -------
    Trace [px]; points every 2 px, the two ends near the first and last click

    Raises
    ------
    InputError
        When an anchor lies outside, or two neighbours lie on one place.

    Source: cohen1997 (minimal paths between points); mortensen1995 (live wire); the fine path by
    dynamic programming through the strip along the coarse one.
    Checked against: drawn cracks in tests/science/photo/test_trace.py.

    Example
    -------
    >>> sheet = np.full((120, 200), 200, dtype=np.float32)
    >>> sheet[60:62] = 90
    >>> line = trace(prepared(sheet), [[20, 62], [180, 60]])
    >>> bool(np.abs(line.points_px[:, 1] - 61).max() < 0.6), line.weak_share
    (True, 0.0)
    """
    anchors = _checked(anchors_px, picture.size_px)
    coarse = _coarse_way(picture, anchors)
    strip = pulled_straight(picture.reduced[1], coarse, anchors)
    offsets, darkness, beside = best_way(strip, _cost_table())
    points = to_the_crest(picture.reduced[1], strip.points(offsets))
    evidence = _evidence(darkness, beside)
    return Trace(points, evidence, _stretches(points, evidence))


def _checked(anchors_px: ArrayLike, size_px: tuple[int, int]) -> Array:
    anchors = point_array(anchors_px, 2)
    if len(anchors) > MOST_ANCHORS:
        raise InputError(
            "There are too many anchors", value=len(anchors), allowed=f"2 to {MOST_ANCHORS}"
        )
    inside = np.all((anchors >= 0) & (anchors <= np.array(size_px)), axis=1)
    if not np.all(inside):
        place = anchors[~inside][0]
        raise InputError(
            "An anchor lies outside the picture",
            value=f"{place[0]:.0f}, {place[1]:.0f}",
            allowed=f"0 to {size_px[0]}, 0 to {size_px[1]} px",
            remedy="Click inside the picture",
        )
    apart = np.hypot(*np.diff(anchors, axis=0).T)
    if np.min(apart) < 2.0:
        raise InputError(
            "Two neighbouring anchors lie on one place",
            value=f"{float(np.min(apart)):.1f} px apart",
            allowed="2 px or more",
            remedy="Leave one of them out",
        )
    return anchors


def _halved(plane: Response) -> Response:
    rows, columns = plane.shape
    even = np.pad(plane, ((0, rows % 2), (0, columns % 2)))
    across = np.maximum(even[:, ::2], even[:, 1::2])
    return np.maximum(across[::2], across[1::2])


def _cost_table() -> Array:
    """Return what it costs to step on each 8-bit likeness."""
    return 6.0 + (DEAREST - 1) * np.exp(-np.arange(256) / FALL)


def _coarse_way(picture: Prepared, anchors: Array) -> list[Array]:
    """Return the cheapest way between each two neighbouring anchors [px]."""
    table = _cost_table()
    return [_cheapest(picture, start, end, table) for start, end in itertools.pairwise(anchors)]


def _cheapest(picture: Prepared, start: Array, end: Array, table: Array) -> Array:
    from skimage import graph

    route_through_array: Any = graph.route_through_array

    margin = max(60.0, 0.3 * float(np.hypot(*(end - start))))
    size = np.array(picture.size_px, dtype=np.float64)
    low = np.clip(np.floor(np.minimum(start, end) - margin), 0, size - 1)
    high = np.clip(np.ceil(np.maximum(start, end) + margin), 1, size)
    area = float(np.prod(high - low))
    factor = next((f for f in FACTORS if area / f**2 <= REDUCED_AREA_PX), FACTORS[-1])
    plane = picture.reduced[factor]
    first = (low / factor).astype(int)
    last = np.maximum(np.ceil(high / factor).astype(int), first + 1)
    box = plane[first[1] : last[1], first[0] : last[0]]
    most = np.array(box.shape[::-1]) - 1
    ends = [np.clip(np.floor(p / factor).astype(int) - first, 0, most) for p in (start, end)]
    way, _ = route_through_array(
        table[box], tuple(ends[0][::-1]), tuple(ends[1][::-1]), fully_connected=True, geometric=True
    )
    middle = (np.array(way, dtype=np.float64)[:, ::-1] + first + 0.5) * factor
    middle[0], middle[-1] = start, end
    return middle if len(middle) > 1 else np.stack([start, end])


def _evidence(darkness: Array, beside: Array) -> Array:
    """Return the mean darkness along the trace over that of the weaker of the two ways beside."""
    count = max(1, round(EVIDENCE_REACH_PX / Strip.STEP_PX))
    along = _running_mean(darkness, count)
    other = np.min([_running_mean(one, 2 * count) for one in beside], axis=0)
    return np.asarray(along / np.clip(other, LEAST_BESIDE, MOST_BESIDE))


def _running_mean(values: Array, count: int) -> Array:
    from scipy.ndimage import uniform_filter1d

    return np.asarray(uniform_filter1d(values, min(count, len(values)), mode="nearest"))


def _stretches(points: Array, evidence: Array) -> tuple[Stretch, ...]:
    """Return the trace cut into stretches of strong and weak evidence, short ones taken in."""
    weak: NDArray[np.bool_] = evidence < WEAK_RATIO
    least = math.ceil(SHORTEST_STRETCH_PX / Strip.STEP_PX)
    cuts = [0, *(np.flatnonzero(np.diff(weak)) + 1).tolist(), len(points)]
    runs = [(a, b, bool(weak[a])) for a, b in itertools.pairwise(cuts)]
    kept: list[tuple[int, int, bool]] = []
    for first, last, is_weak in runs:
        if kept and (last - first < least or kept[-1][2] == is_weak):
            kept[-1] = (kept[-1][0], last, kept[-1][2])
        else:
            kept.append((first, last, is_weak))
    return tuple(Stretch(a, min(b, len(points) - 1), is_weak) for a, b, is_weak in kept)
