"""Tiles are numbered as Deep Zoom does, cover the picture exactly, and are there whole or not."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from softmend.errors import InputError
from softmend.intake.canonical import write_canonical
from softmend.intake.profile import srgb_profile
from softmend.intake.tiles import (
    TILE_PX,
    tile_name,
    tile_plan,
    write_first_levels,
    write_remaining_levels,
)
from tests.intake.odd_files import picture


@given(st.integers(1, 30_000), st.integers(1, 30_000))
def test_the_plan_is_the_one_of_deep_zoom(width: int, height: int) -> None:
    """Deep Zoom, file format overview: the top level is ceil(log2(longest side)), each one below
    is half of it, rounded up."""
    plan = tile_plan(width, height)
    top = math.ceil(math.log2(max(width, height)))
    assert [level.level for level in plan] == list(range(plan[0].level, top + 1))
    for level in plan:
        scale = 2 ** (top - level.level)
        assert (level.width, level.height) == (math.ceil(width / scale), math.ceil(height / scale))
        assert level.columns == math.ceil(level.width / TILE_PX)
        assert level.rows == math.ceil(level.height / TILE_PX)
    assert (plan[0].columns, plan[0].rows) == (1, 1)
    assert len(plan) == 1 or max(plan[1].width, plan[1].height) > TILE_PX


def test_a_picture_without_size_has_no_plan() -> None:
    with pytest.raises(InputError, match="a picture has no size; got 0 x 5 px"):
        tile_plan(0, 5)


def joined(folder: Path, level: int, columns: int, rows: int) -> np.ndarray:
    """Return one level put together again from its tiles."""
    lines = []
    for row in range(rows):
        tiles = []
        for column in range(columns):
            with Image.open(folder / tile_name(level, column, row)) as tile:
                tiles.append(np.asarray(tile))
        lines.append(np.concatenate(tiles, axis=1))
    return np.concatenate(lines, axis=0)


@pytest.mark.parametrize("bits", [8, 16])
@pytest.mark.parametrize("channels", [1, 3])
def test_the_tiles_of_every_level_join_to_the_picture(
    tmp_path: Path, bits: int, channels: int
) -> None:
    pixels = picture(bits, channels, width=1501, height=1030)
    write_canonical(tmp_path / "canonical.tif", pixels, None)
    tiles = tmp_path / "tiles"
    write_first_levels(pixels, None, tiles)
    assert sorted(path.name for path in tiles.iterdir()) == ["10", "9"]
    later = list(write_remaining_levels(tmp_path / "canonical.tif", tiles))
    assert [level.level for level in later] == [11]
    shown = pixels if bits == 8 else (pixels >> 8).astype(np.uint8)
    for level in tile_plan(1501, 1030):
        whole = joined(tiles, level.level, level.columns, level.rows)
        assert whole.shape[:2] == (level.height, level.width)
        step = 2 ** (11 - level.level)
        # The mean of step x step pixels sits (step - 1) / 2 further down a smooth ramp.
        seen = whole[: 1030 // step - 1, : 1501 // step - 1].astype(int)
        truth = shown[step // 2 :: step, step // 2 :: step][: seen.shape[0], : seen.shape[1]]
        assert np.abs(seen - truth).mean() < 2


def test_a_second_run_writes_nothing_anew(tmp_path: Path) -> None:
    pixels = picture(width=700, height=300)
    write_canonical(tmp_path / "canonical.tif", pixels, None)
    assert len(list(write_remaining_levels(tmp_path / "canonical.tif", tmp_path / "tiles"))) == 2
    assert list(write_remaining_levels(tmp_path / "canonical.tif", tmp_path / "tiles")) == []


def test_a_level_cut_off_by_a_crash_is_made_again(tmp_path: Path) -> None:
    pixels = picture(width=700, height=300)
    write_canonical(tmp_path / "canonical.tif", pixels, None)
    left_over = tmp_path / "tiles" / ".partial-10"
    left_over.mkdir(parents=True)
    (left_over / "0_0.jpg").write_bytes(b"half")
    made = list(write_remaining_levels(tmp_path / "canonical.tif", tmp_path / "tiles"))
    assert [level.level for level in made] == [9, 10]
    assert joined(tmp_path / "tiles", 10, 2, 1).shape == (300, 700, 3)


def test_colours_of_a_wide_profile_are_shown_as_srgb(tmp_path: Path) -> None:
    pixels = picture(width=400, height=300)
    write_first_levels(pixels, None, tmp_path / "plain")
    write_first_levels(pixels, swapped_primaries(), tmp_path / "wide")
    plain, wide = (joined(tmp_path / name, 9, 1, 1).astype(int) for name in ("plain", "wide"))
    assert np.abs(wide - plain).mean() > 20
    assert np.abs(wide[..., [1, 0, 2]] - plain).mean() < 4


def swapped_primaries() -> bytes:
    """Return an sRGB profile whose red is green and whose green is red, under another name."""
    profile = bytearray(srgb_profile())
    red, green = profile.index(b"rXYZ"), profile.index(b"gXYZ")
    profile[red : red + 4], profile[green : green + 4] = b"gXYZ", b"rXYZ"
    at = profile.index("sRGB".encode("utf-16-be"))
    profile[at : at + 8] = "swap".encode("utf-16-be")
    return bytes(profile)
