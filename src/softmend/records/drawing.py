"""What may be drawn: rules for the geometry of a sighting, in pixels of its own view."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

from softmend.errors import InputError, LimitError
from softmend.records.mark import Geometry, Position, Shape

MOST_POSITIONS = 20_000
_FEWEST = {Shape.POINT: 1, Shape.LINE: 2, Shape.AREA: 3}
_WORDS = {Shape.POINT: "point", Shape.LINE: "line", Shape.AREA: "area"}


def checked_geometry(geometry: Geometry, width_px: int, height_px: int) -> Geometry:
    """Return the geometry rounded to 0.01 px, or say what is wrong with it."""
    if not geometry.parts or (geometry.shape is not Shape.AREA and len(geometry.parts) != 1):
        raise InputError(
            f"A {_WORDS[geometry.shape]} is drawn in one part", value=len(geometry.parts)
        )
    parts = checked_rings(
        geometry.parts, width_px, height_px, fewest=_FEWEST[geometry.shape], word=geometry.shape
    )
    if geometry.shape is Shape.POINT and len(parts[0]) != 1:
        raise InputError("A point has one position", value=len(parts[0]))
    return Geometry(geometry.shape, parts)


def checked_rings(
    rings: tuple[tuple[Position, ...], ...],
    width_px: int,
    height_px: int,
    *,
    fewest: int = 3,
    word: Shape = Shape.AREA,
) -> tuple[tuple[Position, ...], ...]:
    """Return the rings rounded to 0.01 px; each needs enough positions inside the picture."""
    if sum(len(ring) for ring in rings) > MOST_POSITIONS:
        raise LimitError(
            "This drawing has too many points",
            value=sum(len(ring) for ring in rings),
            allowed=f"{MOST_POSITIONS}",
            remedy="Draw it in several marks",
        )
    rounded = []
    for ring in rings:
        kept = _without_repeats(tuple(_inside(point, width_px, height_px) for point in ring))
        if word is Shape.AREA and len(kept) > 1 and kept[0] == kept[-1]:
            kept = kept[:-1]
        if len(kept) < fewest:
            raise InputError(
                f"This {_WORDS[word]} has too few different points",
                value=len(kept),
                allowed=f"{fewest} or more",
                remedy="Add a point and finish again",
            )
        rounded.append(kept)
    return tuple(rounded)


def _inside(point: Position, width_px: int, height_px: int) -> Position:
    x, y = (round(float(value), 2) for value in point)
    if not (math.isfinite(x) and math.isfinite(y)):
        raise InputError("A point of the drawing is not a number", value=point)
    if not (0 <= x <= width_px and 0 <= y <= height_px):
        raise InputError(
            "A point of the drawing lies outside the picture",
            value=f"({x:g}, {y:g})",
            allowed=f"0 to {width_px} across, 0 to {height_px} down",
            remedy="Move it onto the picture",
        )
    # Minus zero and zero are one place but two canonical texts.
    return (x + 0.0, y + 0.0)


def _without_repeats(ring: tuple[Position, ...]) -> tuple[Position, ...]:
    return tuple(
        point for index, point in enumerate(ring) if index == 0 or point != ring[index - 1]
    )
