"""Lengths and areas of what was drawn on a picture, on any surface, with their uncertainty.

Clicks enter to first order, through the slopes of length and area: drawn as independent jitter
they would lengthen every line, which is a bias and not a spread. Scale and geometry are drawn.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.line import smoothed_line, without_repeats
from softmend.science.photo.surface import Surface, point_array
from softmend.science.propagation import Spread, spread
from softmend.science.uncertain import Array, Uncertain

MOST_VERTICES_DRAWN = 100
"""For the spread, not for the value, longer lines are thinned to so many vertices."""

MARK_CLICKS = "drawing of the mark"
EDGE = "where the edge was drawn"
DRAWS = 2000


def line_length(surface: Surface, points_px: ArrayLike) -> float:
    """Return the length of a drawn line on the surface, smoothed against jitter.

    Parameters
    ----------
    surface : Surface, how pixels become metres
    points_px : array-like, vertices in order, shape (m, 2) [px], m at least 2

    Returns
    -------
    float, length [m]

    Raises
    ------
    InputError
        When the line has fewer than two different points.

    Source: own work (sum of the chords of the smoothed line).
    Checked against: circle arcs and a crack of known length in tests/science/photo/test_polygon.py.

    Example
    -------
    >>> from softmend.science.photo.scale import PlaneScale
    >>> round(line_length(PlaneScale(10000.0, {}), [[0, 0], [300, 400]]), 6)
    0.05
    """
    return float(_chords(surface.positions(smoothed_line(points_px))))


def measured_length(
    surface: Surface,
    points_px: ArrayLike,
    click_sd_px: float = 1.0,
    n: int = DRAWS,
    seed: int = 0,
) -> Spread:
    """Return the length of a drawn line with its band, sd and drivers.

    Parameters
    ----------
    surface : Surface, how pixels become metres, with its own uncertainty
    points_px : array-like, vertices in order, shape (m, 2) [px], m at least 2
    click_sd_px : float, sd of one vertex an axis [px], 0 to 100
    n : int, draws [1], 100 to 100 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Spread [m]

    Raises
    ------
    InputError
        When the line has fewer than two different points or a number is out of range.

    Source: jcgm101, section 7; jcgm100, equation 10 (clicks).
    Checked against: tests/checks/softmend-imaging.csv and brute-force jitter in
    tests/science/photo/test_polygon.py.

    Example
    -------
    >>> from softmend.science.photo.scale import PlaneScale
    >>> from softmend.science.photo.surface import Standoff
    >>> flat = Standoff(Uncertain.exact(0.0), Uncertain.exact(0.5))
    >>> found = measured_length(PlaneScale(10000.0, {"scale": 0.002}, flat), [[0, 0], [1000, 0]])
    >>> round(found.mean, 4), round(found.sd * 1000, 2)
    (0.1, 0.25)
    """
    line = smoothed_line(points_px)
    return _measured(surface, [line], _chords, _chord_slopes, {}, click_sd_px, n, seed)


def measured_perimeter(
    surface: Surface,
    outline_px: ArrayLike,
    click_sd_px: float = 1.0,
    n: int = DRAWS,
    seed: int = 0,
) -> Spread:
    """Return the length round a drawn area with its band, sd and drivers.

    Parameters
    ----------
    surface : Surface, how pixels become metres, with its own uncertainty
    outline_px : array-like, vertices in order, not closed, shape (m, 2) [px], m at least 3
    click_sd_px : float, sd of one vertex an axis [px], 0 to 100
    n : int, draws [1], 100 to 100 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Spread [m]

    Raises
    ------
    InputError
        When the outline has fewer than three points or a number is out of range.

    Source: jcgm101, section 7; jcgm100, equation 10 (clicks).
    Checked against: tests/science/photo/test_polygon.py.

    Example
    -------
    >>> from softmend.science.photo.scale import PlaneScale
    >>> square = [[0, 0], [100, 0], [100, 100], [0, 100]]
    >>> round(measured_perimeter(PlaneScale(1000.0, {}), square).band.typical, 3)
    0.4
    """
    ring = smoothed_line(_open_ring(outline_px), closed=True)
    return _measured(surface, [ring], _round_chords, _round_slopes, {}, click_sd_px, n, seed)


def measured_area(
    surface: Surface,
    outline_px: ArrayLike,
    holes_px: Sequence[ArrayLike] = (),
    click_sd_px: float = 1.0,
    edge_sd_px: float = 0.5,
    n: int = DRAWS,
    seed: int = 0,
) -> Spread:
    """Return the area inside a drawn outline less its holes, with its band, sd and drivers.

    Parameters
    ----------
    surface : Surface, how pixels become metres, with its own uncertainty
    outline_px : array-like, vertices in order, not closed, shape (m, 2) [px], m at least 3
    holes_px : sequence of array-like, outlines of holes inside it [px]
    click_sd_px : float, sd of one vertex an axis, each on its own [px], 0 to 100
    edge_sd_px : float, sd of the whole edge lying too far out or in [px], 0 to 100
    n : int, draws [1], 100 to 100 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Spread [m2]

    Raises
    ------
    InputError
        When an outline has fewer than three points or no area, or a hole is larger than it.

    Source: jcgm101, section 7; braden1986 (area by the shoelace formula);
    jcgm100, equation 10 (clicks).
    Checked against: brute-force jitter in tests/science/photo/test_polygon.py.

    Example
    -------
    >>> from softmend.science.photo.scale import PlaneScale
    >>> square = [[0, 0], [100, 0], [100, 100], [0, 100]]
    >>> round(measured_area(PlaneScale(1000.0, {}), square).band.typical, 3)
    0.01
    """
    rings = [_oriented(_open_ring(outline_px), 1.0)]
    rings += [_oriented(_open_ring(hole), -1.0) for hole in holes_px]
    if sum(float(_shoelace(ring)) for ring in rings) <= 0:
        raise InputError(
            "The area is nothing once its holes are taken out",
            allowed="holes smaller than the outline",
            remedy="Draw the outline again, or remove a hole",
        )
    edges = {EDGE: edge_sd_px}
    return _measured(surface, rings, _shoelace, _shoelace_slopes, edges, click_sd_px, n, seed)


def measured_scale(surface: Surface, at_px: ArrayLike, n: int = DRAWS, seed: int = 0) -> Spread:
    """Return the pixels to a metre at one place of a view, the mean over directions.

    Parameters
    ----------
    surface : Surface, how pixels become metres, with its own uncertainty
    at_px : array-like, the place, shape (2,) [px]
    n : int, draws [1], 100 to 100 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Spread [px/m]; the root of picture area over surface area of a square of 20 px

    Raises
    ------
    InputError
        When the place is no point of the surface or n is out of range.

    Source: jcgm101, section 7.
    Checked against: tests/science/photo/test_polygon.py.

    Example
    -------
    >>> from softmend.science.photo.scale import PlaneScale
    >>> round(measured_scale(PlaneScale(1000.0, {}), [50, 50]).band.typical)
    1000
    """
    _check_numbers(0.0, {}, n)
    half = 10.0
    square = point_array(np.reshape(at_px, (1, 2))) + half * np.array(
        [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]
    )
    surface.positions(square)
    drawn = surface.draws(n, np.random.default_rng(seed))
    area = np.abs(_shoelace(surface.positions(square[None], drawn)))
    return spread(2 * half / np.sqrt(area), drawn)


def _measured(
    surface: Surface,
    lines: Sequence[Array],
    measure: Callable[[Array], Array],
    slopes: Callable[[Array], Array],
    edges: dict[str, float],
    click_sd_px: float,
    n: int,
    seed: int,
) -> Spread:
    """Return the summed measure of lines: value on all vertices, spread on thinned ones."""
    _check_numbers(click_sd_px, edges, n)
    rng = np.random.default_rng(seed)
    thin = [_thinned(surface, line, measure, len(lines)) for line in lines]
    drawn = surface.draws(n, rng)
    cuts = np.cumsum([len(line) for line in thin])[:-1]
    placed = np.split(surface.positions(np.concatenate(thin)[None], drawn), cuts, axis=1)
    result = np.zeros(n)
    for line, thinned, part in zip(lines, thin, placed, strict=True):
        whole, plain = (float(measure(surface.positions(one))) for one in (line, thinned))
        result += whole * measure(part) / plain
    gradients = [_pixel_slopes(surface, line, slopes) for line in thin]
    click_sd = click_sd_px * math.sqrt(sum(float(np.sum(g**2)) for g in gradients))
    extra = {MARK_CLICKS: Uncertain.normal(0.0, click_sd).draw(n, rng)}
    for name, sd_px in edges.items():
        slope = sum(_outward(line, g) for line, g in zip(thin, gradients, strict=True))
        extra[name] = Uncertain.normal(0.0, sd_px * abs(slope)).draw(n, rng)
    result = np.maximum(result + np.sum(list(extra.values()), axis=0), 0.0)
    return spread(result, {**drawn, **extra})


def _check_numbers(click_sd_px: float, edges: dict[str, float], n: int) -> None:
    for value in (click_sd_px, *edges.values()):
        if not 0 <= value <= 100:
            raise InputError(
                "The spread of a drawing is out of range", value=value, allowed="0 to 100 px"
            )
    if not 100 <= n <= 100_000:
        raise InputError("The number of draws is out of range", value=n, allowed="100 to 100 000")


def _pixel_slopes(surface: Surface, line: Array, slopes: Callable[[Array], Array]) -> Array:
    """Return the change of a measure for one pixel of each vertex, shape (m, 2)."""
    half = 0.5
    across = np.array([half, 0.0])
    down = np.array([0.0, half])
    by_x = surface.positions(line + across) - surface.positions(line - across)
    by_y = surface.positions(line + down) - surface.positions(line - down)
    metre_slopes = slopes(surface.positions(line))
    return np.column_stack(
        [np.sum(metre_slopes * by_x, axis=1), np.sum(metre_slopes * by_y, axis=1)]
    )


def _outward(ring: Array, gradients: Array) -> float:
    """Return the change of a measure when a ring's edge moves outward by one pixel all round."""
    before = ring - np.roll(ring, 1, axis=0)
    after = np.roll(ring, -1, axis=0) - ring
    normals = [
        np.column_stack([d[:, 1], -d[:, 0]]) / np.hypot(*d.T)[:, None] for d in (before, after)
    ]
    corner = normals[0] + normals[1]
    share = np.maximum(np.sum(corner * normals[0], axis=1), 0.1)
    return float(np.sum(gradients * corner / share[:, None]))


def _chords(placed: Array) -> Array:
    steps = np.diff(placed, axis=-2)
    return np.asarray(np.sum(np.hypot(steps[..., 0], steps[..., 1]), axis=-1))


def _round_chords(placed: Array) -> Array:
    return _chords(np.concatenate([placed, placed[..., :1, :]], axis=-2))


def _chord_slopes(placed: Array) -> Array:
    steps = np.diff(placed, axis=0)
    unit = steps / np.hypot(*steps.T)[:, None]
    slopes = np.zeros_like(placed)
    slopes[1:] += unit
    slopes[:-1] -= unit
    return slopes


def _round_slopes(placed: Array) -> Array:
    closed = _chord_slopes(np.concatenate([placed[-1:], placed, placed[:1]]))
    return closed[1:-1]


def _shoelace(placed: Array) -> Array:
    x, y = placed[..., 0], placed[..., 1]
    return np.asarray(
        np.sum(x * np.roll(y, -1, axis=-1) - np.roll(x, -1, axis=-1) * y, axis=-1) / 2
    )


def _shoelace_slopes(placed: Array) -> Array:
    chord = np.roll(placed, -1, axis=0) - np.roll(placed, 1, axis=0)
    return np.column_stack([chord[:, 1], -chord[:, 0]]) / 2


def _oriented(ring: Array, sign: float) -> Array:
    """Return a ring that runs so that its shoelace area has the given sign."""
    area = float(_shoelace(ring))
    if area == 0:
        raise InputError(
            "An outline encloses nothing",
            value=f"{len(ring)} points",
            allowed="at least three points that are not on one line",
        )
    return ring if area * sign > 0 else ring[::-1]


def _open_ring(outline_px: ArrayLike) -> Array:
    ring = without_repeats(point_array(outline_px, 3))
    return np.asarray(ring[:-1] if np.array_equal(ring[0], ring[-1]) else ring)


def _thinned(surface: Surface, line: Array, measure: Callable[[Array], Array], parts: int) -> Array:
    """Return every so many-th vertex, unless that loses too much of what is measured."""
    most = max(MOST_VERTICES_DRAWN // parts, 12)
    if len(line) <= most:
        return line
    thin = np.asarray(line[np.unique(np.linspace(0, len(line) - 1, most).round().astype(int))])
    kept = float(measure(surface.positions(thin))) / float(measure(surface.positions(line)))
    return thin if 0.8 < kept < 1.25 else line
