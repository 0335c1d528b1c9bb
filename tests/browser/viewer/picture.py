"""A picture drawn for the viewer's test: an invented beam on a dark ground, as Deep Zoom tiles."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import math
from functools import lru_cache

import numpy as np
from PIL import Image

WIDTH_PX, HEIGHT_PX = 3000, 2000
TILE_PX = 512


@lru_cache(maxsize=1)
def picture() -> Image.Image:
    """Return the beam: a bright curved band with grain, so that a hidden picture would be seen."""
    x, y = np.meshgrid(np.arange(WIDTH_PX), np.arange(HEIGHT_PX))
    middle = 1150 - 420 * np.sin(np.pi * (x + 350) / (WIDTH_PX + 500))
    across = (y - middle) / 230
    light = np.sqrt(np.clip(1 - across**2, 0, 1)) * (0.75 - 0.25 * across)
    grain = np.random.default_rng(7).normal(0, 1, (HEIGHT_PX, 60))
    grain = np.repeat(grain, WIDTH_PX // 60, axis=1) * 0.035
    body = np.clip(light + grain, 0, 1)[..., None] * np.array([225, 195, 150])
    ground = np.full((HEIGHT_PX, WIDTH_PX, 3), (58, 61, 65))
    pixels = np.where(np.abs(across)[..., None] < 1, body, ground)
    return Image.fromarray(pixels.astype(np.uint8))


@lru_cache(maxsize=256)
def tile(level: int, col: int, row: int) -> bytes:
    """Return one Deep Zoom tile as JPEG; the top level is the picture at full size."""
    top = math.ceil(math.log2(max(WIDTH_PX, HEIGHT_PX)))
    times = 2 ** (top - level)
    step = TILE_PX * times
    box = (
        col * step,
        row * step,
        min((col + 1) * step, WIDTH_PX),
        min((row + 1) * step, HEIGHT_PX),
    )
    cut = picture().crop(box)
    size = (max(1, math.ceil(cut.width / times)), max(1, math.ceil(cut.height / times)))
    held = io.BytesIO()
    cut.resize(size, Image.Resampling.BOX).save(held, "JPEG", quality=85)
    return held.getvalue()
