"""The photograph under patches and stretches: the tiles of a view that cover a part of it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.intake.tiles import TILE_PX, tile_name, tile_plan
from softmend.pictures.patches import Tile
from softmend.records.view import View

ENOUGH_PX = 1400.0
Box = tuple[float, float, float, float]


def whole_of(view: View) -> Box:
    """Return the box of a whole view: left, top, width, height in its pixels."""
    return 0.0, 0.0, float(view.width_px), float(view.height_px)


def tiles_over(view: View, box: Box, address: str) -> list[Tile]:
    """Return the tiles that cover a box of a view, no finer than the eye needs.

    `address` is where the view's tiles lie.
    """
    left, top, width, height = box
    plan = tile_plan(view.width_px, view.height_px)
    finest = plan[-1].level
    shrinks = {one.level: 1 << (finest - one.level) for one in plan}
    fits = [one for one in plan if max(width, height) / shrinks[one.level] <= ENOUGH_PX]
    level = max(fits or plan[:1], key=lambda one: one.level)
    seam = shrinks[level.level]
    side = TILE_PX * seam
    found = []
    for row in range(int(top // side), min(level.rows, int((top + height) // side) + 1)):
        for column in range(int(left // side), min(level.columns, int((left + width) // side) + 1)):
            x, y = column * side, row * side
            found.append(
                Tile(
                    f"{address}/{tile_name(level.level, column, row)}",
                    x,
                    y,
                    # One pixel of the level over the next tile, or a seam shows between them.
                    min(side + seam, view.width_px - x),
                    min(side + seam, view.height_px - y),
                )
            )
    return found
