"""How much a photograph blurs an edge: the spread of a lens, its focus and the camera's pixels."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.light import Plane
from softmend.science.photo.marker import Marker
from softmend.science.photo.profile import fitted, offsets_px, sampled
from softmend.science.photo.strip import even_points, normals
from softmend.science.photo.surface import point_array
from softmend.science.uncertain import Array

SHORTEST_EDGE_PX = 12.0
BLOCK = 15
REACH_PX = 9.0
LEAST_CONTRAST = 0.05
LEAST_SPREAD_PX = 0.03
"""An edge of paper is no sharper than this, nor is the fit."""

MOST_BLUR_PX = 6.0
OF_A_SIDE = (0.2, 0.8)
"""The part of a marker's side that is used, away from its corners."""


@dataclass(frozen=True, slots=True)
class Blur:
    """The standard deviation of a photograph's blur [px], and how well it is known [px]."""

    sd_px: float
    uncertainty_px: float
    edges: int = 0


UNKNOWN_BLUR = Blur(1.0, 0.4)
"""What is taken when no edge was measured: estimated from sharp photographs of 12 to 24 MP."""


def edge_blur(light: Plane, start_px: ArrayLike, end_px: ArrayLike) -> Blur:
    """Return the blur of a straight sharp edge between dark and light, measured along it.

    Parameters
    ----------
    light : numpy array, linear light, shape (h, w), 0 to 1 [1]
    start_px, end_px : array-like, two points on the edge, shape (2,) [px], 12 px apart or more

    Returns
    -------
    Blur [px]; the pixel's own width is part of it

    Raises
    ------
    InputError
        When the edge is too short, has too little contrast, or is no edge.

    Source: iso12233, slanted edge; fitted by an error function (softmend-imaging).
    Checked against: drawn edges of known blur in tests/science/photo/test_width.py.

    Example
    -------
    >>> import cv2
    >>> sheet = np.full((80, 80), 0.05, dtype=np.float32)
    >>> sheet[:, 40:] = 0.7
    >>> round(edge_blur(cv2.GaussianBlur(sheet, (0, 0), 1.5), [40, 10], [40, 70]).sd_px, 1)
    1.5
    """
    ends = point_array(np.array([start_px, end_px], dtype=np.float64), 2)
    long = float(np.hypot(*(ends[1] - ends[0])))
    if long < SHORTEST_EDGE_PX:
        raise InputError(
            "The edge is too short to measure the blur on",
            value=f"{long:.1f} px",
            allowed=f"{SHORTEST_EDGE_PX:.0f} px or more",
            remedy="Draw along a longer stretch of the scale bar's or the marker's edge",
        )
    blocks = _blocks(light, ends)
    across = offsets_px(REACH_PX)
    least = np.array([-np.inf, -np.inf, -np.inf, -np.inf, 0.15])
    found = fitted(_edge, _start(blocks, across), across, blocks, np.ones_like(blocks), least)
    spreads = found.parameters[:, 4]
    rise = np.abs(found.parameters[:, 2])
    sound = (rise > LEAST_CONTRAST) & (spreads < MOST_BLUR_PX) & (found.scatter < 0.1 * rise)
    if not np.any(sound):
        raise InputError(
            "No sharp edge between dark and light was found along this line",
            value=f"step of {float(np.median(rise)):.2f} in linear light",
            allowed=f"a step of {LEAST_CONTRAST} or more, blur under {MOST_BLUR_PX:.0f} px",
            remedy="Draw along the edge of a scale bar or marker that lies in the same plane",
        )
    return _together(spreads[sound], 1)


def marker_blur(light: Plane, markers: Sequence[Marker]) -> Blur:
    """Return the blur of the outer edges of printed markers in the photograph.

    Parameters
    ----------
    light : numpy array, linear light, shape (h, w) [1]
    markers : sequence of Marker, as found in the same photograph [px]

    Returns
    -------
    Blur [px], from all sides that can be measured

    Raises
    ------
    InputError
        When no side of a marker can be measured.

    Source: iso12233, slanted edge.
    Checked against: tests/science/photo/test_width.py.

    Example
    -------
    >>> import cv2
    >>> sheet = np.full((200, 200), 0.7, dtype=np.float32)
    >>> sheet[50:150, 50:150] = 0.05
    >>> square = Marker(0, np.array([[50.0, 50], [150, 50], [150, 150], [50, 150]]))
    >>> round(marker_blur(cv2.GaussianBlur(sheet, (0, 0), 1.2), [square]).sd_px, 1)
    1.2
    """
    found: list[Blur] = []
    for one in markers:
        for start, end in zip(one.corners_px, np.roll(one.corners_px, -1, axis=0), strict=True):
            first, last = (start + share * (end - start) for share in OF_A_SIDE)
            try:
                found.append(edge_blur(light, first, last))
            except InputError:
                continue
    if not found:
        raise InputError(
            "No edge of a marker can be measured in this picture",
            value=f"{len(markers)} markers",
            allowed="a sharp marker 20 px wide or more",
            remedy="Draw along the edge of a scale bar instead, or leave the blur as not known",
        )
    return _together(np.array([one.sd_px for one in found]), len(found))


def _together(spreads: Array, edges: int) -> Blur:
    middle = float(np.median(spreads))
    apart = 1.4826 * float(np.median(np.abs(spreads - middle))) if len(spreads) > 2 else 0.1
    known = math.hypot(apart / math.sqrt(len(spreads)), LEAST_SPREAD_PX)
    return Blur(middle, known, edges)


def _blocks(light: Plane, ends: Array) -> Array:
    """Return profiles across the edge, straightened along it and averaged in blocks."""
    line = even_points(ends, 1.0)
    square = normals(line)
    across = offsets_px(REACH_PX)
    rough = sampled(light, line, square, across)
    steps = np.abs(np.gradient(rough, axis=1)) ** 2
    middle = steps @ across / np.maximum(steps.sum(axis=1), 1e-12)
    place = np.arange(len(line), dtype=np.float64)
    straight = _robust_line(place, middle)
    profiles = sampled(light, line + straight[:, None] * square, square, across)
    size = min(BLOCK, len(line))
    count = max(len(line) // size, 1)
    return np.asarray(profiles[: count * size].reshape(count, size, -1).mean(axis=1))


def _robust_line(x: Array, y: Array) -> Array:
    kept = np.ones(len(x), dtype=bool)
    fit = np.zeros(2)
    for _ in range(3):
        fit = np.polyfit(x[kept], y[kept], 1)
        off = np.abs(y - np.polyval(fit, x))
        kept = off <= max(3 * 1.4826 * float(np.median(off[kept])), 0.3)
    return np.asarray(np.polyval(fit, x))


def _start(blocks: Array, across: Array) -> Array:
    few = max(len(across) // 6, 2)
    low, high = blocks[:, :few].mean(axis=1), blocks[:, -few:].mean(axis=1)
    still = np.zeros(len(blocks))
    return np.column_stack([(low + high) / 2, still, (high - low) / 2, still, still + 1.0])


def _edge(x: Array, p: Array) -> tuple[Array, Array]:
    """Return level, slope, half step, place and blur of an edge as values and slopes."""
    from scipy.special import erf

    level, slope, half, place, spread = (p[:, i : i + 1] for i in range(5))
    u = (x[None] - place) / (math.sqrt(2) * spread)
    step = erf(u)
    bell = 2 / math.sqrt(math.pi) * np.exp(-u * u)
    along = np.broadcast_to(x[None], u.shape)
    moved = -half * bell / (math.sqrt(2) * spread)
    slopes = np.stack([np.ones_like(u), along, step, moved, -half * bell * u / spread], axis=1)
    return level + slope * along + half * step, slopes
