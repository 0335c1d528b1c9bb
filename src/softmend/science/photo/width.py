"""The width of a crack along its trace: a dark slab seen through the photograph's own blur.

Blur mixes light, so everything here is in linear light. Profiles of neighbouring places are laid
middle on middle and averaged, and the slab is fitted to all stations at once. Below twice the blur
width and darkness cannot be told apart: there the answer is "narrower than".
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.blur import Blur
from softmend.science.photo.light import Plane
from softmend.science.photo.line import smoothed_line
from softmend.science.photo.profile import fitted, offsets_px, sampled
from softmend.science.photo.strip import even_points, normals
from softmend.science.uncertain import Array

AVERAGED = 21
"""So many neighbouring profiles, one a pixel, make one station."""

NARROWEST_BLURS = 2.0
"""Below so many times the blur no number is given."""

SMOOTHED_MIDDLE_PX = 4.0
FIRST_REACH_PX, MOST_REACH_PX = 20.0, 80.0
BESIDE_BLURS, BESIDE_PX = 4.0, 4.0
OFF_TRACE_PX = 3.5
"""The darkest place is sought so near to the trace; what is darker further off is another line."""

LEAST_DEPTH = 0.01
WIDER_THAN_SEEN, LEFT_OVER = 1.5, 0.15
"""A slab so many times wider than it looks, or that leaves so much of its depth, is no crack."""

FULL_DEPTH_BLURS = 4.0
"""From so many times the blur the darkness inside a crack is seen undiluted."""

MODEL_PX = 0.07
"""What the slab may be off even with the blur known: from simulated cracks; stands as an sd."""


@dataclass(frozen=True, slots=True, eq=False)
class Widths:
    """Widths at stations along a trace; arrays of one entry a station.

    `sd_px` is the noise at one station; `per_blur` the change of the width with the blur [1];
    `is_measured` says where the width is a number, else it is narrower than `limit_px`; `is_seen`
    is false where there is no dark line at all.
    """

    points_px: Array
    normal: Array
    along_px: Array
    width_px: Array
    sd_px: Array
    per_blur: Array
    depth: Array
    is_seen: NDArray[np.bool_]
    blur: Blur
    has_assumed_depth: bool = False

    @property
    def limit_px(self) -> float:
        """The width below which no number is given [px]."""
        return NARROWEST_BLURS * self.blur.sd_px

    @property
    def is_measured(self) -> NDArray[np.bool_]:
        """Where the width is wide enough to be a number."""
        return self.is_seen & ((self.width_px >= self.limit_px) | self.has_assumed_depth)


@dataclass(frozen=True, slots=True)
class StretchWidth:
    """The widths of one stretch: middle, least and largest of its stations, and its uncertainty.

    `median_px` is None when most of its stations are narrower than the limit, or not seen;
    `middle_number` is the number of the station in its middle.
    """

    from_px: float
    to_px: float
    median_px: float | None
    least_px: float | None
    largest_px: float | None
    sd_px: float
    random_sd_px: float
    blur_sd_px: float
    middle_number: int
    stations: int
    narrower: int
    unseen: int


def widths(
    light: Plane,
    line_px: ArrayLike,
    blur: Blur,
    step_px: float = 5.0,
    *,
    assume_depth: bool = False,
) -> Widths:
    """Return the width of a crack at even steps along its trace.

    Parameters
    ----------
    light : numpy array, linear light, shape (h, w), 0 to 1 [1]
    line_px : array-like, the trace, shape (m, 2) [px]
    blur : Blur, measured in the same photograph [px]
    step_px : float, distance of two stations [px], 1 to 1000
    assume_depth : bool, take the crack to be as dark everywhere as in its wide parts [1]

    Returns
    -------
    Widths [px]

    Raises
    ------
    InputError
        When the trace is shorter than 21 px, or no part is wide enough to assume its darkness.

    Source: softmend-imaging, section on width (slab and blur); steger1998.
    Checked against: drawn cracks of known width in tests/science/photo/test_width.py.

    Example
    -------
    >>> import cv2
    >>> sheet = np.full((100, 200), 0.5, dtype=np.float32)
    >>> sheet[48:54] = 0.05
    >>> seen = cv2.GaussianBlur(sheet, (0, 0), 1.2)
    >>> found = widths(seen, [[20, 50], [180, 50]], Blur(1.2, 0.05))
    >>> round(float(np.median(found.width_px)), 1)
    6.0
    """
    if not 1 <= step_px <= 1000:
        raise InputError("The step of the stations is wrong", value=step_px, allowed="1 to 1000 px")
    middle = even_points(smoothed_line(line_px), 1.0)
    if len(middle) < AVERAGED:
        raise InputError(
            "The trace is too short to measure a width on",
            value=f"{len(middle) - 1} px",
            allowed=f"{AVERAGED} px or more",
            remedy="Trace a longer stretch, or take a closer photograph",
        )
    square = normals(middle)
    offset, rough = _middles(light, middle, square, FIRST_REACH_PX)
    wide = float(np.quantile(rough, 0.9))
    if wide > FIRST_REACH_PX:
        offset, rough = _middles(light, middle, square, min(3 * wide, MOST_REACH_PX))
    reach = float(np.quantile(rough, 0.95)) / 2 + BESIDE_BLURS * blur.sd_px + BESIDE_PX + 1
    across = offsets_px(min(reach, MOST_REACH_PX))
    line = middle + offset[:, None] * square
    numbers = np.unique(np.round(np.arange(AVERAGED // 2, len(line) - AVERAGED // 2, step_px)))
    number = numbers.astype(int)
    profiles = _averaged(sampled(light, line, square, across), number)
    found = _fit(profiles, across, rough[number], blur, None)
    if assume_depth:
        found = _fit(profiles, across, rough[number], blur, _full_depth(found, blur))
    width, sd, per_blur, depth, seen = found
    return Widths(
        line[number],
        square[number],
        number.astype(float),
        width,
        sd,
        per_blur,
        depth,
        seen,
        blur,
        assume_depth,
    )


def stretch_widths(found: Widths, length_px: float) -> tuple[StretchWidth, ...]:
    """Return the widths stretch by stretch along the crack, with their uncertainty.

    Parameters
    ----------
    found : Widths, widths at stations [px]
    length_px : float, length of one stretch [px], above 0

    Returns
    -------
    tuple of StretchWidth [px]; the sd holds noise, blur and what the slab itself may be off

    Raises
    ------
    InputError
        When the length is not above 0.

    Source: jcgm100, equation 12 (independent parts add in squares).
    Checked against: drawn cracks in tests/science/photo/test_width.py.

    Example
    -------
    >>> one = np.ones(4)
    >>> found = Widths(np.zeros((4, 2)), np.zeros((4, 2)), np.arange(4.0) * 25, 5 * one, 0.1 * one,
    ...                -one, one, one > 0, Blur(1.0, 0.05))
    >>> [round(s.median_px, 2) for s in stretch_widths(found, 50.0)]
    [5.0, 5.0]
    """
    if not length_px > 0:
        raise InputError("A stretch has no length", value=length_px, allowed="above 0 px")
    count = max(1, round((found.along_px[-1] - found.along_px[0]) / length_px))
    edges = np.linspace(found.along_px[0], found.along_px[-1], count + 1)
    owner = np.clip(np.searchsorted(edges, found.along_px, side="right") - 1, 0, count - 1)
    return tuple(
        _stretch(found, owner == number, (float(edges[number]), float(edges[number + 1])))
        for number in range(count)
        if np.any(owner == number)
    )


def _stretch(found: Widths, inside: NDArray[np.bool_], ends: tuple[float, float]) -> StretchWidth:
    measured = inside & found.is_measured
    stations, good = int(inside.sum()), int(measured.sum())
    middle = int(np.flatnonzero(inside)[stations // 2])
    unseen = int((inside & ~found.is_seen).sum())
    # A median means something when more than half of the stretch has a number.
    if 2 * good <= stations:
        narrower = stations - good - unseen
        counted = (stations, narrower, unseen)
        return StretchWidth(*ends, None, None, None, 0.0, 0.0, 0.0, middle, *counted)
    width = found.width_px[measured]
    alone = max((ends[1] - ends[0]) / AVERAGED, 1.0)
    random = float(np.median(found.sd_px[measured])) / math.sqrt(min(alone, good)) * 1.25
    by_blur = abs(float(np.median(found.per_blur[measured]))) * found.blur.uncertainty_px
    return StretchWidth(
        *ends,
        float(np.median(width)),
        float(width.min()),
        float(width.max()),
        math.hypot(random, by_blur, MODEL_PX),
        random,
        by_blur,
        middle,
        stations,
        stations - good - unseen,
        unseen,
    )


def _middles(light: Plane, line: Array, square: Array, reach: float) -> tuple[Array, Array]:
    """Return how far the dark line's middle lies from the trace, and its width at half depth."""
    from scipy.ndimage import gaussian_filter1d, uniform_filter1d

    across = offsets_px(reach)
    raw = sampled(light, line, square, across)
    soft = uniform_filter1d(gaussian_filter1d(raw, 1.0, axis=1), 9, axis=0, mode="nearest")
    few = max(len(across) // 8, 2)
    left, right = soft[:, :few].mean(axis=1), soft[:, -few:].mean(axis=1)
    share = (across - across[0]) / (across[-1] - across[0])
    dark = left[:, None] * (1 - share) + right[:, None] * share - soft
    near = np.abs(across) <= OFF_TRACE_PX
    number = np.argmax(np.where(near, dark, -np.inf), axis=1)
    rows = np.arange(len(dark))
    inside = _connected(dark > 0.5 * dark[rows, number][:, None], number)
    weight = np.where(inside, np.maximum(dark, 1e-9), 0.0)
    middle = weight @ across / np.maximum(weight.sum(axis=1), 1e-9)
    rough = inside.sum(axis=1) * (across[1] - across[0])
    return np.asarray(gaussian_filter1d(middle, SMOOTHED_MIDDLE_PX, mode="nearest")), rough


def _connected(inside: NDArray[np.bool_], number: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Return of each row only the run of true places that holds the numbered one."""
    columns = np.arange(inside.shape[1])[None]
    outside = ~inside
    before = np.where(outside & (columns < number[:, None]), columns, -1).max(axis=1)
    beyond = np.where(outside & (columns > number[:, None]), columns, inside.shape[1]).min(axis=1)
    return np.asarray((columns > before[:, None]) & (columns < beyond[:, None]))


def _averaged(profiles: Array, number: NDArray[np.intp]) -> Array:
    total = np.concatenate([np.zeros((1, profiles.shape[1])), np.cumsum(profiles, axis=0)])
    half = AVERAGED // 2
    return np.asarray((total[number + half + 1] - total[number - half]) / AVERAGED)


Found = tuple[Array, Array, Array, Array, NDArray[np.bool_]]


def _fit(profiles: Array, across: Array, rough: Array, blur: Blur, depth: float | None) -> Found:
    """Return width, its sd, its change with the blur, depth, and where a crack is seen."""
    reach = rough / 2 + BESIDE_BLURS * blur.sd_px + BESIDE_PX
    weights = (np.abs(across)[None] <= reach[:, None]).astype(np.float64)
    few = max(len(across) // 8, 2)
    level = (profiles[:, :few].mean(axis=1) + profiles[:, -few:].mean(axis=1)) / 2
    deep = np.maximum(level - profiles.min(axis=1), LEAST_DEPTH)
    missing = np.maximum(level[:, None] - profiles, 0) * weights
    area = missing.sum(axis=1) * (across[1] - across[0])
    wide = np.clip(area / (depth or deep), 0.3, 2 * reach)
    still = np.zeros(len(profiles))
    start = np.column_stack([level, still, still, wide, deep])
    least = np.array([-np.inf, -np.inf, -np.inf, 0.05, LEAST_DEPTH / 2])
    model = _Slab(blur.sd_px, depth)
    start = start[:, :4] if depth else start
    found = fitted(model, start, across, profiles, weights, least[: start.shape[1]])
    at = found.parameters
    depths = at[:, 4] if depth is None else np.full(len(at), depth)
    sd = np.sqrt(np.maximum(found.covariance[:, 3, 3], 0))
    per_blur = _per_blur(model, at, across, weights, found.slopes)
    seen = depths * np.minimum(at[:, 3] / (2 * blur.sd_px), 1.0) > 3 * found.scatter
    seen &= at[:, 3] < WIDER_THAN_SEEN * rough + NARROWEST_BLURS * blur.sd_px
    seen &= (np.abs(at[:, 2]) < OFF_TRACE_PX) & (found.scatter < LEFT_OVER * depths)
    return at[:, 3], sd, per_blur, depths, seen & (depths > LEAST_DEPTH)


def _full_depth(found: Found, blur: Blur) -> float:
    width, _, _, depth, seen = found
    wide = seen & (width >= FULL_DEPTH_BLURS * blur.sd_px)
    if np.sum(wide) < 3:
        raise InputError(
            "No part of this crack is wide enough to tell how dark it is inside",
            value=f"{int(np.sum(wide))} stations wider than {FULL_DEPTH_BLURS:g} times the blur",
            allowed="3 or more",
            remedy="Leave the darkness free: narrow parts are then “narrower than”",
        )
    return float(np.quantile(depth[wide], 0.75))


def _per_blur(model: _Slab, at: Array, across: Array, weights: Array, slopes: Array) -> Array:
    """Return the change of the fitted width when the blur changes, to first order."""
    step = 0.02 * model.blur_px
    more = _Slab(model.blur_px + step, model.depth)(across, at)[0]
    less = _Slab(model.blur_px - step, model.depth)(across, at)[0]
    by_blur = (more - less) / (2 * step)
    weighted = slopes * weights[:, None]
    normal = weighted @ slopes.transpose(0, 2, 1)
    diagonal = np.arange(normal.shape[1])
    normal[:, diagonal, diagonal] += 1e-12
    return np.asarray(-np.linalg.solve(normal, weighted @ by_blur[..., None])[:, 3, 0])


@dataclass(frozen=True, slots=True)
class _Slab:
    """A dark slab under a blur: level, slope, middle, width and (unless it is known) depth."""

    blur_px: float
    depth: float | None

    def __call__(self, x: Array, p: Array) -> tuple[Array, Array]:
        from scipy.special import erf

        level, slope, middle, width = (p[:, i : i + 1] for i in range(4))
        depth = p[:, 4:5] if self.depth is None else np.full_like(level, self.depth)
        root = math.sqrt(2) * self.blur_px
        from_middle = x[None] - middle
        u, v = (from_middle + width / 2) / root, (from_middle - width / 2) / root
        bell_u, bell_v = np.exp(-u * u), np.exp(-v * v)
        slab = (erf(u) - erf(v)) / 2
        factor = depth / (math.sqrt(math.pi) * root)
        along = np.broadcast_to(x[None], u.shape)
        slopes = [
            np.ones_like(u),
            along,
            factor * (bell_u - bell_v),
            -factor * (bell_u + bell_v) / 2,
        ]
        if self.depth is None:
            slopes.append(-slab)
        return level + slope * along - depth * slab, np.stack(slopes, axis=1)
