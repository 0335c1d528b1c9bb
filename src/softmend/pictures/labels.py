"""Where labels stand: beside what they name, off the marks and off each other where possible."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from softmend.records.mark import Geometry, Position, Shape

# Costs in the order of what must not happen: off the picture, on a label, on a mark, far away.
_OFF_PICTURE = 1e6
_ON_LABEL = 1e3
_ON_MARK = 30.0
_RINGS = (1.0, 1.8, 3.0, 4.6)
_DIRECTIONS = ((0, -1), (1, -1), (-1, -1), (0, 1), (1, 1), (-1, 1), (1, 0), (-1, 0))


@dataclass(frozen=True)
class Plate:
    """A label's rectangle, and the point of the shape that it belongs to."""

    x: float
    y: float
    width: float
    height: float
    anchor: Position

    def overlap(self, other: Plate) -> float:
        """Return the area that two plates share."""
        across = min(self.x + self.width, other.x + other.width) - max(self.x, other.x)
        down = min(self.y + self.height, other.y + other.height) - max(self.y, other.y)
        return max(across, 0.0) * max(down, 0.0)

    def covers(self, ink: NDArray[np.float64]) -> int:
        """Return how many drawn points lie under the plate."""
        inside = (ink > (self.x, self.y)) & (ink < (self.x + self.width, self.y + self.height))
        return int(np.count_nonzero(inside.all(axis=1)))

    def nearest(self) -> Position:
        """Return the point of the plate nearest to its anchor, from which a leader starts."""
        x, y = self.anchor
        return (
            min(max(x, self.x), self.x + self.width),
            min(max(y, self.y), self.y + self.height),
        )


def place_labels(
    geometries: Sequence[Geometry],
    sizes: Sequence[tuple[float, float]],
    picture: tuple[float, float],
    ink: NDArray[np.float64],
    taken: Sequence[Plate] = (),
) -> tuple[Plate, ...]:
    """Return one plate a geometry, chosen one after the other; the same input, the same plates.

    `ink` is where something is drawn (see `drawn_points`), `taken` what stands already.
    """
    placed: list[Plate] = []
    for geometry, size in zip(geometries, sizes, strict=True):
        standing = [*taken, *placed]
        placed.append(_best(_candidates(_anchors(geometry), size), standing, ink, picture))
    return tuple(placed)


def _best(
    candidates: Iterator[Plate],
    standing: Sequence[Plate],
    ink: NDArray[np.float64],
    picture: tuple[float, float],
) -> Plate:
    """Return the first free place, since they come from near to far; else the least bad one."""
    tried: list[tuple[float, Plate]] = []
    for plate in candidates:
        cost = _cost(plate, standing, ink, picture)
        if cost < _ON_MARK:
            return plate
        tried.append((cost, plate))
    return min(tried, key=lambda pair: pair[0])[1]


def drawn_points(geometries: Sequence[Geometry], reach: float) -> NDArray[np.float64]:
    """Return points along everything drawn, at most `reach` apart; a point is a ring of four."""
    pieces = [np.empty((0, 2)), *(_sampled(geometry, reach) for geometry in geometries)]
    return np.vstack(pieces)


def _anchors(geometry: Geometry) -> list[Position]:
    outline = geometry.parts[0]
    if geometry.shape is Shape.AREA:
        top = min(outline, key=lambda at: at[1])
        right = max(outline, key=lambda at: at[0])
        bottom = max(outline, key=lambda at: at[1])
        left = min(outline, key=lambda at: at[0])
        return [top, right, bottom, left]
    at = sorted({0, len(outline) // 4, len(outline) // 2, 3 * len(outline) // 4, len(outline) - 1})
    return [outline[index] for index in at]


def _candidates(anchors: Sequence[Position], size: tuple[float, float]) -> Iterator[Plate]:
    width, height = size
    for ring in _RINGS:
        for x, y in anchors:
            for across, down in _DIRECTIONS:
                centre_x = x + across * (width / 2 + height * (ring - 0.45))
                centre_y = y + down * (height * (ring + 0.05))
                yield Plate(centre_x - width / 2, centre_y - height / 2, width, height, (x, y))


def _cost(
    plate: Plate, standing: Sequence[Plate], ink: NDArray[np.float64], picture: tuple[float, float]
) -> float:
    off = (
        plate.x < 0
        or plate.y < 0
        or plate.x + plate.width > picture[0]
        or plate.y + plate.height > picture[1]
    )
    on_label = sum(plate.overlap(other) > 0 for other in standing)
    covered = plate.covers(ink)
    x, y = plate.nearest()
    away = float(np.hypot(x - plate.anchor[0], y - plate.anchor[1])) / plate.height
    return _OFF_PICTURE * off + _ON_LABEL * on_label + _ON_MARK * covered + away


def _sampled(geometry: Geometry, step: float) -> NDArray[np.float64]:
    if geometry.shape is Shape.POINT:
        around = 1.4 * step * np.array([(0, 0), (1, 0), (-1, 0), (0, 1), (0, -1)], dtype=float)
        return np.asarray(geometry.parts[0][0], dtype=float) + around
    pieces = []
    for part in geometry.parts:
        points = np.asarray(part, dtype=float)
        if geometry.shape is Shape.AREA:
            points = np.vstack([points, points[:1]])
        pieces.append(points)
        for start, end in itertools.pairwise(points):
            count = int(np.hypot(*(end - start)) // step)
            if count:
                along = np.linspace(0.0, 1.0, count + 1)[1:, None]
                pieces.append(start + along * (end - start))
    return np.vstack(pieces)
