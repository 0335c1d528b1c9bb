"""Outlines of loose flakes in the photograph of a tray with a plain dark or light ground."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.fragment_ground import Ground, away_from_ground, levels_of
from softmend.science.photo.light import Plane
from softmend.science.photo.surface import point_array
from softmend.science.uncertain import Array

MOST_FLAKES = 500
NECK_SHARE = 0.45
"""A neck narrower than this share of the smaller part's thickness is cut: two flakes touch."""

SMALLEST_PART = 0.3
"""Of two parts that touch the smaller is at least this thick, as a share of the larger."""

NEAR_SHARE = 0.02
CALM_PX = 2.0
BESIDE_PX = 15
SOFT_TIMES = 3.0
MOST_NECK = 0.08
"""Share of the outline of a parted flake that a cut may be: a neck between two is short."""

MOST_SOFT = 0.10
"""Share of an outline whose edge is much softer than the rest above which a shadow is suspected."""


@dataclass(frozen=True, slots=True, eq=False)
class Flake:
    """One flake: its outline [px], its area [px²], and what is odd about it.

    `is_cut`: it runs out of the picture. `was_touching`: it was cut from a neighbour at their
    neck. `soft_share`: the share of its outline where the edge is soft, as a shadow's is [1].
    """

    outline_px: Array
    area_px2: float
    is_cut: bool
    was_touching: bool = False
    soft_share: float = 0.0

    @property
    def has_soft_edge(self) -> bool:
        """Say whether so much of its edge is soft that part of it may be a shadow."""
        return self.soft_share > MOST_SOFT


def flakes(
    picture: NDArray[Any],
    ground: Ground = Ground.UNKNOWN,
    least_px: float = 20.0,
    region_px: ArrayLike | None = None,
) -> tuple[Flake, ...]:
    """Return the outlines of loose flakes on a plain ground, from the top left to the bottom right.

    Parameters
    ----------
    picture : numpy array, grey or RGB, 8 or 16 bit [1]
    ground : Ground, what they lie on
    least_px : float, smallest longest side of a flake [px], 5 or more
    region_px : array-like or None, outline of the part of the tray to look at, shape (m, 2) [px]

    Returns
    -------
    tuple of Flake, outlines below the pixel, from the picture's corner [px]

    Raises
    ------
    InputError
        When flakes and ground cannot be told apart, or there are too many.

    Source: otsu1979 (threshold); the outline lies half way between ground and each flake.
    Checked against: drawn trays in tests/science/photo/test_fragment.py.

    Example
    -------
    >>> tray = np.full((80, 100), 20, dtype=np.uint8)
    >>> tray[20:60, 30:70] = 180
    >>> found = flakes(tray)
    >>> len(found), round(found[0].area_px2 / 1600, 2)
    (1, 1.0)
    """
    import cv2

    if least_px < 5:
        raise InputError("A flake is too small to be outlined", value=least_px, allowed="5 px up")
    region = None
    if region_px is not None:
        region = np.zeros(picture.shape[:2], dtype=np.uint8)
        ring = np.round((point_array(region_px, 3) - 0.5) * 16).astype(np.int32)
        cv2.fillPoly(region, [ring], 1, shift=4)
    away = away_from_ground(picture, ground, region)
    low, half = levels_of(away, region)
    count, labels, stats, _ = cv2.connectedComponentsWithStats((away > low).astype(np.uint8))
    sides = np.hypot(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT])
    chosen = [n for n in range(1, count) if sides[n] >= least_px]
    if len(chosen) > MOST_FLAKES:
        raise InputError(
            "There are too many things on the tray",
            value=len(chosen),
            allowed=f"up to {MOST_FLAKES}",
            remedy="Draw a smaller region, or raise the smallest size",
        )
    number_map = np.asarray(labels, dtype=np.int32)
    found: list[Flake] = []
    for number in chosen:
        found += _flakes_in(away, number_map, stats[number], number, (half, least_px))
    return tuple(found)


def farthest_apart(points: ArrayLike) -> tuple[int, int]:
    """Return the numbers of the two points of an outline that lie farthest apart.

    Parameters
    ----------
    points : array-like, outline, shape (m, 2) [any unit], m at least 2

    Returns
    -------
    tuple of two ints, the smaller first [1]

    Raises
    ------
    InputError
        When there are fewer than two points.

    Source: common practice, no source.
    Checked against: tests/science/photo/test_fragment.py.

    Example
    -------
    >>> farthest_apart([[0, 0], [3, 0], [3, 4], [0, 1]])
    (0, 2)
    """
    import cv2

    ring = point_array(points, 2)
    # The two lie on the hull, which has few corners.
    size = max(float(np.ptp(ring, axis=0).max()), 1e-12)
    even = ((ring - ring.min(axis=0)) / size).astype(np.float32)
    corners = np.sort(cv2.convexHull(even, returnPoints=False).ravel())
    few = ring[corners]
    apart = np.hypot(*(few[:, None] - few[None]).transpose(2, 0, 1))
    first, second = sorted(int(n) for n in np.unravel_index(int(apart.argmax()), apart.shape))
    return int(corners[first]), int(corners[second])


def holds_any(outline_px: ArrayLike, points_px: ArrayLike) -> bool:
    """Return whether any of some points lies in an outline, or so near that it was clicked there.

    Parameters
    ----------
    outline_px : array-like, outline, shape (m, 2) [px]
    points_px : array-like, points, shape (n, 2) [px]; n may be 0

    Returns
    -------
    bool [1]

    Raises
    ------
    InputError
        When the outline has fewer than three points.

    Source: common practice, no source.
    Checked against: tests/catalogue/test_fragment.py.

    Example
    -------
    >>> bar = [[0, 0], [100, 0], [100, 9], [0, 9]]
    >>> holds_any(bar, [[50, -1]]), holds_any(bar, [[50, 40]]), holds_any(bar, [])
    (True, False, False)
    """
    import cv2

    ring = point_array(outline_px, 3).astype(np.float32)
    # A bar is clicked on its edge: its points may lie a little outside.
    near = -NEAR_SHARE * float(np.ptp(ring, axis=0).max())
    points = np.asarray(points_px, dtype=np.float64).reshape(-1, 2).tolist()
    return any(cv2.pointPolygonTest(ring, (x, y), True) >= near for x, y in points)


def overlap_share(one_px: ArrayLike, other_px: ArrayLike) -> float:
    """Return the share of two outlines' common area in all that they cover together.

    Parameters
    ----------
    one_px, other_px : array-like, outlines, shape (m, 2) [px]

    Returns
    -------
    float, 0 apart, 1 the same [1]

    Raises
    ------
    InputError
        When an outline has fewer than three points.

    Source: common practice, no source.
    Checked against: tests/science/photo/test_fragment.py.

    Example
    -------
    >>> square = np.array([[0.0, 0], [10, 0], [10, 10], [0, 10]])
    >>> round(overlap_share(square, square + [5, 0]), 3), overlap_share(square, square + 20)
    (0.333, 0.0)
    """
    from shapely import Polygon

    # An outline drawn by hand may cross itself; its parts count as they lie.
    one, other = (Polygon(point_array(ring, 3)).buffer(0) for ring in (one_px, other_px))
    together = float(one.union(other).area)
    return float(one.intersection(other).area) / together if together else 0.0


def _flakes_in(
    away: Plane, labels: NDArray[np.int32], box: Any, number: int, levels: tuple[float, float]
) -> list[Flake]:
    """Return the flake of one connected spot, or two and more that touch in it."""
    half, least_px = levels
    left, top, width, height = (int(value) for value in box[:4])
    rows, columns = away.shape
    low = (max(top - 3, 0), max(left - 3, 0))
    part = (slice(low[0], top + height + 3), slice(low[1], left + width + 3))
    own = np.where((labels[part] == number) | (labels[part] == 0), away[part], 0)
    inside = own[labels[part] == number]
    strong = inside[inside > 0.5 * float(np.percentile(inside, 90))]
    level = float(np.median(strong)) / 2
    if level < half / 4:
        # Much fainter than the rest: a stain of the ground or the rim of a shadow.
        return []
    whole = _ring(own, level)
    is_soft = whole is None or _soft_share(own, whole) > MOST_SOFT
    # A shadow's soft end looks like a neck: such a spot is left whole, and said to be soft.
    parts = [own > level] if is_soft else _parted(own, level)
    rings = [_ring(np.where(mask, own, 0), level) for mask in parts] if len(parts) > 1 else [whole]
    soft = [0.0 if ring is None else _soft_share(own, ring) for ring in rings]
    if len(parts) > 1 and max(soft) > MOST_NECK:
        # A long cut through the middle of a flake: these were no two that touched.
        rings, soft = [whole], [0.0 if whole is None else _soft_share(own, whole)]
    corner = np.array([low[1], low[0]], dtype=np.float64)
    found = []
    for ring, share in zip(rings, soft, strict=True):
        if ring is None or float(np.hypot(*np.ptp(ring, axis=0))) < least_px:
            continue
        x, y = (ring + corner).T
        area = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
        outline = ring + corner if area > 0 else (ring + corner)[::-1]
        reach_x, reach_y = (float(values.max()) for values in (x, y))
        is_cut = min(x.min(), y.min()) <= 2 or reach_x >= columns - 2 or reach_y >= rows - 2
        found.append(Flake(np.asarray(outline), abs(area), bool(is_cut), len(rings) > 1, share))
    return found


def _ring(own: Plane, level: float) -> Array | None:
    """Return the longest contour of a spot at a level, from the corner of its box [px]."""
    from skimage import measure

    find_contours: Any = measure.find_contours
    contours = find_contours(np.pad(own, 1), level)
    if not contours:
        return None
    return np.asarray(max(contours, key=len)[:-1, ::-1] - 1 + 0.5, dtype=np.float64)


def _parted(own: Plane, level: float) -> list[NDArray[np.bool_]]:
    """Return the parts of a spot, cut where a narrow neck joins thick parts."""
    import cv2

    # Speckles of a grainy flake would make necks everywhere.
    calm = cv2.GaussianBlur(own, (0, 0), CALM_PX)
    mask = (own > level) | (calm > level)
    solid = np.pad(mask.astype(np.uint8), 1)
    thick = cv2.distanceTransform(solid, cv2.DIST_L2, 5)
    most = float(thick.max())
    for share in np.linspace(0.12, NECK_SHARE, 6):
        count, cores = cv2.connectedComponents((thick > share * most).astype(np.uint8))
        heights = [float(thick[cores == n].max()) for n in range(1, count)]
        kept = [
            n
            for n, height in enumerate(heights, start=1)
            if height >= SMALLEST_PART * most and share * most <= NECK_SHARE * height
        ]
        if len(kept) > 1:
            return _grown(solid, cores, kept)
    return [own > level]


def _grown(
    solid: NDArray[np.uint8], cores: NDArray[np.int32], kept: list[int]
) -> list[NDArray[np.bool_]]:
    """Return each core with all that lies nearer to it than to another."""
    from skimage import segmentation

    watershed: Any = segmentation.watershed
    seeds = np.where(np.isin(cores, kept), cores, 0)
    whole = watershed(np.zeros(solid.shape, np.float32), seeds, mask=solid > 0)
    return [np.asarray(whole[1:-1, 1:-1] == n) for n in kept]


def _soft_share(own: Plane, ring: Array) -> float:
    """Return the share of an outline where the edge is far wider than elsewhere."""
    import cv2

    down = cv2.Sobel(own, cv2.CV_32F, 0, 1, scale=0.125)
    right = cv2.Sobel(own, cv2.CV_32F, 1, 0, scale=0.125)
    steep = np.hypot(down, right)
    # A shadow may be stronger than a flake is pale: an edge is as wide as it is high by steep.
    high = cv2.dilate(own, np.ones((BESIDE_PX, BESIDE_PX), np.uint8))
    at = (ring - 0.5).astype(np.float32)[None]
    seen, top = (
        cv2.remap(plane, at[..., 0], at[..., 1], cv2.INTER_LINEAR)[0] for plane in (steep, high)
    )
    wide = top / np.maximum(seen, 1e-3)
    return float(np.mean(wide > SOFT_TIMES * np.percentile(wide, 20)))
