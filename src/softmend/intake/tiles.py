"""Tiles for the eye: JPEG squares numbered as Deep Zoom does, so that a viewer can ask for them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from softmend.errors import InputError
from softmend.intake.canonical import Pixels, canonical_profile, read_canonical
from softmend.intake.layout import PARTIAL_PREFIX
from softmend.intake.profile import srgb_for_the_eye

TILE_PX = 512
FIRST_LEVELS = 2
_QUALITY = 85


@dataclass(frozen=True, slots=True)
class TileLevel:
    """One level of a pyramid: its Deep Zoom number, its size, and how many tiles it has."""

    level: int
    width: int
    height: int
    columns: int
    rows: int


def tile_plan(width: int, height: int, tile: int = TILE_PX) -> tuple[TileLevel, ...]:
    """Return the levels from the coarsest that fits one tile to the full picture.

    The number of the full level is the one Deep Zoom gives it; levels smaller than one tile are
    left out, so a viewer's lowest level is the first one here.

    >>> [(one.level, one.width, one.columns) for one in tile_plan(1500, 1000)]
    [(9, 375, 1), (10, 750, 2), (11, 1500, 3)]
    """
    if min(width, height, tile) < 1:
        raise InputError(
            "a picture has no size", value=f"{width} x {height} px", allowed="1 px and more"
        )
    finest = (max(width, height) - 1).bit_length()
    levels: list[TileLevel] = []
    for level in range(finest, -1, -1):
        shrink = 1 << (finest - level)
        wide, high = -(-width // shrink), -(-height // shrink)
        levels.append(TileLevel(level, wide, high, -(-wide // tile), -(-high // tile)))
        if max(wide, high) <= tile:
            break
    return tuple(reversed(levels))


def tile_name(level: int, column: int, row: int) -> str:
    """Return where one tile lies below the tile folder: `level/column_row.jpg`."""
    return f"{level}/{column}_{row}.jpg"


def write_first_levels(pixels: Pixels, profile: bytes | None, folder: Path) -> None:
    """Write the two coarsest levels, which are what a view needs to open."""
    plan = tile_plan(pixels.shape[1], pixels.shape[0])
    for _ in _written(pixels, profile, folder, plan[:FIRST_LEVELS]):
        pass


def write_remaining_levels(canonical: Path, folder: Path) -> Iterator[TileLevel]:
    """Write each level that is not there yet, coarse ones first, and yield it when it is whole."""
    pixels = read_canonical(canonical)
    plan = tile_plan(pixels.shape[1], pixels.shape[0])
    missing = [one for one in plan if not (folder / str(one.level)).is_dir()]
    yield from _written(pixels, canonical_profile(canonical), folder, missing)


def _written(
    pixels: Pixels, profile: bytes | None, folder: Path, levels: Iterable[TileLevel]
) -> Iterator[TileLevel]:
    finest = tile_plan(pixels.shape[1], pixels.shape[0])[-1].level
    picture = _for_the_eye(pixels)
    for level in levels:
        shrink = 1 << (finest - level.level)
        smaller = picture.reduce(shrink) if shrink > 1 else picture
        _write_level(srgb_for_the_eye(smaller, profile), level, folder)
        yield level


def _for_the_eye(pixels: Pixels) -> Image.Image:
    shown = (pixels >> 8).astype(np.uint8) if pixels.dtype == np.uint16 else pixels
    return Image.fromarray(shown)


def _write_level(picture: Image.Image, level: TileLevel, folder: Path) -> None:
    """Write a level beside its place and rename it: it is there whole or not at all."""
    partial = folder / f"{PARTIAL_PREFIX}{level.level}"
    partial.mkdir(parents=True, exist_ok=True)
    for row in range(level.rows):
        for column in range(level.columns):
            left, top = column * TILE_PX, row * TILE_PX
            right, bottom = min(left + TILE_PX, level.width), min(top + TILE_PX, level.height)
            tile = picture.crop((left, top, right, bottom))
            tile.save(partial / f"{column}_{row}.jpg", quality=_QUALITY)
    partial.rename(folder / str(level.level))
