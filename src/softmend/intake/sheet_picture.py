"""Pictures for the bench sheet: a pale grey copy to draw on, and pictures made from pixels."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from softmend.intake.derivative import print_copy

PALEST, DARKEST = 255, 184
"""The print is between paper and 0.72 of it, so that a pen is told from it."""

_QUALITY = 90
_CASING_PX, _CASING = 7, 0.85


def pale_copy(canonical: Path, longest_px: int) -> bytes:
    """Return a pale grey JPEG of a canonical picture, to be printed and drawn on."""
    with Image.open(io.BytesIO(print_copy(canonical, longest_px))) as copy:
        grey = np.asarray(copy.convert("L"), dtype=np.float64)
    pale = DARKEST + (PALEST - DARKEST) * grey / 255
    return _jpeg(Image.fromarray(np.round(pale).astype(np.uint8)))


def jpeg_of(pixels: NDArray[np.uint8]) -> bytes:
    """Return pixels made by ourselves as a JPEG."""
    return _jpeg(Image.fromarray(pixels))


def ink_png(opacity: NDArray[np.uint8], colour: tuple[int, int, int]) -> bytes:
    """Return a PNG of one colour that is clear where the opacity is 0.

    A white casing as wide as a thin stroke keeps it in sight on a dark picture.
    """
    ink = opacity / 255.0
    casing = np.asarray(Image.fromarray(opacity).filter(ImageFilter.MaxFilter(_CASING_PX))) / 255.0
    under = np.maximum(casing * _CASING, ink)
    share = np.divide(ink, under, out=np.zeros_like(ink), where=under > 0)[..., None]
    layers = np.empty((*opacity.shape, 4), dtype=np.uint8)
    layers[..., :3] = np.round(share * np.array(colour) + (1 - share) * 255)
    layers[..., 3] = np.round(255 * under)
    kept = io.BytesIO()
    Image.fromarray(layers).save(kept, "PNG")
    return kept.getvalue()


def _jpeg(picture: Image.Image) -> bytes:
    kept = io.BytesIO()
    picture.save(kept, "JPEG", quality=_QUALITY)
    return kept.getvalue()
