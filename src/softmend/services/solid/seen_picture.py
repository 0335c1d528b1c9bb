"""A photograph as it is picked on beside a scan: its tiles at one level, what is drawn on it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.records.view import View
from softmend.services.solid.seen import Drawn

LONGEST_PX = 3200


@dataclass(frozen=True)
class PictureTile:
    """One tile: its name below the tiles' address, and where it lies in pixels of the picture."""

    name: str
    x: float
    y: float
    width: float
    height: float


def picture_tiles(view: View) -> tuple[PictureTile, ...]:
    """Return the tiles of the finest level that is not larger than the page needs."""
    from softmend.intake.tiles import TILE_PX, tile_name, tile_plan

    levels = tile_plan(view.width_px, view.height_px)
    fine = [one for one in levels if max(one.width, one.height) <= LONGEST_PX] or levels[:1]
    level = fine[-1]
    across, down = view.width_px / level.width, view.height_px / level.height
    return tuple(
        PictureTile(
            tile_name(level.level, column, row),
            column * TILE_PX * across,
            row * TILE_PX * down,
            min(TILE_PX, level.width - column * TILE_PX) * across,
            min(TILE_PX, level.height - row * TILE_PX) * down,
        )
        for column in range(level.columns)
        for row in range(level.rows)
    )


def outline_points(drawn: Drawn) -> tuple[str, ...]:
    """Return each part of a drawing as the points of a line; an outline comes back to its start."""
    found = []
    for part in drawn.parts:
        points = [*part, *part[:1]] if drawn.is_outline else list(part)
        if len(points) == 1:
            x, y = points[0]
            points = [(x - 4, y), (x + 4, y)]
        found.append(" ".join(f"{x:.1f},{y:.1f}" for x, y in points))
    return tuple(found)
