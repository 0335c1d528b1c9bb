"""Tiles for the eye: JPEG squares numbered as Deep Zoom does, so that a viewer can ask for them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import shutil
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import mkdtemp

import numpy as np
from PIL import Image

from softmend.errors import InputError
from softmend.intake.canonical import Pixels, canonical_profile, read_canonical
from softmend.intake.layout import PARTIAL_PREFIX
from softmend.intake.profile import srgb_for_the_eye

TILE_PX = 512
FIRST_LEVELS = 2
_QUALITY = 85
_PIXELS_AT_ONCE = 8_000_000


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
    for level in levels:
        folder.mkdir(parents=True, exist_ok=True)
        # Two programs may make one level at once: each has a folder of its own, one gets the name.
        partial = Path(mkdtemp(prefix=f"{PARTIAL_PREFIX}{level.level}-", dir=folder))
        for row in range(level.rows):
            _write_row(pixels, profile, partial, level, row, 1 << (finest - level.level))
        # A level gets its name when all of it is there, so that it is there whole or not at all.
        _give_the_name(partial, folder / str(level.level))
        yield level


def _give_the_name(partial: Path, whole: Path) -> None:
    try:
        partial.rename(whole)
    except OSError:
        if not whole.is_dir():
            raise
        shutil.rmtree(partial)


def _write_row(
    pixels: Pixels, profile: bytes | None, folder: Path, level: TileLevel, row: int, shrink: int
) -> None:
    """Write one row of tiles; never more than a band of the picture is held twice."""
    band = pixels[row * TILE_PX * shrink : (row + 1) * TILE_PX * shrink]
    line = srgb_for_the_eye(_reduced(band, shrink), profile)
    for column in range(level.columns):
        left, right = column * TILE_PX, min((column + 1) * TILE_PX, level.width)
        tile = line.crop((left, 0, right, line.height))
        tile.save(folder / f"{column}_{row}.jpg", quality=_QUALITY)


def _reduced(pixels: Pixels, shrink: int) -> Image.Image:
    """Return pixels for the eye, each the mean of a square of `shrink` by `shrink`."""
    height, width = pixels.shape[:2]
    mode = "RGB" if pixels.ndim == 3 else "L"
    reduced = Image.new(mode, (-(-width // shrink), -(-height // shrink)))
    rows = max(1, _PIXELS_AT_ONCE // (width * shrink)) * shrink
    for top in range(0, height, rows):
        band = pixels[top : top + rows]
        shown = (band >> 8).astype(np.uint8) if band.dtype == np.uint16 else band
        reduced.paste(Image.fromarray(shown).reduce(shrink), (0, top // shrink))
    return reduced
