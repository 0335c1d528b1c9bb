"""Synthetic breakage: a surface broken into flakes, some seats closed since, some flakes strange.

Fifty flakes of 5 to 40 mm with a worn edge, forty losses of which some belong to none of them.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FLAKES, LOSSES, TRUE_SEATS = 50, 40, 34
WEAR_MM = 0.2
STEP_M = 2e-4
SMALLEST_MM, LARGEST_MM = 5.0, 40.0


@dataclass(frozen=True)
class Breakage:
    """Outlines [m] of flakes and losses, and the loss of each flake (None where it has none)."""

    flakes: dict[int, Array]
    losses: dict[int, Array]
    seat_of: dict[int, int | None]


def broken_outline(size_mm: float, rng: np.random.Generator) -> Array:
    """Return the outline [m] of one loss: a few straight breaks, roughened at every scale."""
    corners = int(rng.integers(4, 8))
    turn = np.sort(
        rng.uniform(0, 2 * math.pi, corners) * 0.35 + np.arange(corners) * 2 * math.pi / corners
    )
    radius = rng.uniform(0.55, 1.0, corners)
    stretch = rng.uniform(0.45, 1.0)
    ring = np.column_stack([radius * np.cos(turn), stretch * radius * np.sin(turn)])
    sides = [
        _broken_side(start, end, rng)[:-1]
        for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True)
    ]
    outline = np.concatenate(sides)
    outline -= outline.mean(axis=0)
    longest = float(np.ptp(outline @ _main_axis(outline)))
    return outline * (size_mm * 1e-3 / longest)


def _main_axis(outline: Array) -> Array:
    return np.asarray(np.linalg.svd(outline - outline.mean(axis=0), full_matrices=False)[2][0])


def _broken_side(start: Array, end: Array, rng: np.random.Generator) -> Array:
    points = np.array([start, end])
    for halving in range(6):
        run = np.diff(points, axis=0)
        square = np.stack([-run[:, 1], run[:, 0]], axis=1)
        middle = (points[1:] + points[:-1]) / 2
        rough = 0.13 if halving < 3 else 0.07
        middle += square * (rough * rng.standard_normal(len(run)))[:, None]
        woven = np.empty((len(points) + len(middle), 2))
        woven[::2], woven[1::2] = points, middle
        points = woven
    return points


def worn(outline: Array, wear_mm: float, rng: np.random.Generator) -> Array:
    """Return an outline whose edge has lost matter: the wear, more here and less there."""
    from shapely import Polygon

    rubbed = _largest(Polygon(outline).buffer(0))
    inner = _largest(rubbed.buffer(-1.5e-3 * wear_mm).buffer(0.5e-3 * wear_mm))
    length = inner.exterior.length
    count = max(int(length / STEP_M), 40)
    places = np.linspace(0, length, count, endpoint=False)
    even = np.array([inner.exterior.interpolate(place).coords[0] for place in places])
    noise = rng.standard_normal(count)
    kernel = np.exp(-0.5 * (np.arange(-10, 11) / 3.0) ** 2)
    smooth = np.convolve(np.concatenate([noise[-10:], noise, noise[:10]]), kernel, mode="valid")
    smooth *= 0.5e-3 * wear_mm / smooth.std()
    run = np.roll(even, -1, axis=0) - np.roll(even, 1, axis=0)
    square = np.stack([-run[:, 1], run[:, 0]], axis=1) / np.hypot(*run.T)[:, None]
    return np.asarray(even + square * smooth[:, None])


def _largest(shape: Any) -> Any:
    return max(shape.geoms, key=lambda part: part.area) if shape.geom_type != "Polygon" else shape


def turned(outline: Array, rng: np.random.Generator) -> Array:
    """Return an outline as it lies on the tray: turned and shifted, never turned over."""
    turn = rng.uniform(0, 2 * math.pi)
    matrix = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    return np.asarray((outline - outline.mean(axis=0)) @ matrix + rng.uniform(-0.2, 0.2, 2))


def breakage(seed: int, wear_mm: float = WEAR_MM) -> Breakage:
    """Return one broken surface by its seed."""
    rng = np.random.default_rng(seed)
    sizes = np.exp(rng.uniform(math.log(SMALLEST_MM), math.log(LARGEST_MM), FLAKES + LOSSES))
    seats = {number: broken_outline(float(sizes[number]), rng) for number in range(FLAKES + LOSSES)}
    # The first have a seat among the losses; the next are flakes without, the last losses without.
    flakes = {n: turned(worn(seats[n], wear_mm, rng), rng) for n in range(FLAKES)}
    strange = range(FLAKES, FLAKES + LOSSES - TRUE_SEATS)
    kept = [*range(TRUE_SEATS), *strange]
    losses = {100 + n: turned(seats[n], rng) for n in kept}
    seat_of = {n: 100 + n if n < TRUE_SEATS else None for n in range(FLAKES)}
    return Breakage(flakes, losses, seat_of)
