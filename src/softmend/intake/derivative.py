"""Smaller copies of a canonical picture for print, so that a report stays light."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
from PIL import Image

from softmend.errors import InputError
from softmend.intake.canonical import Pixels, canonical_profile, read_canonical
from softmend.intake.profile import srgb_for_the_eye

PRINT_PX = 2000
_QUALITY = 88


def print_copy(canonical: Path, longest_px: int = PRINT_PX) -> bytes:
    """Return a JPEG of a canonical picture whose longer side is at most `longest_px`, in sRGB."""
    if not 64 <= longest_px <= 10_000:
        raise InputError("A print copy cannot be so", value=longest_px, allowed="64 to 10 000 px")
    return jpeg_for_the_eye(read_canonical(canonical), canonical_profile(canonical), longest_px)


def jpeg_for_the_eye(pixels: Pixels, profile: bytes | None, longest_px: int) -> bytes:
    """Return a JPEG of pixels in a profile, its longer side at most `longest_px`, in sRGB."""
    shown = (pixels >> 8).astype(np.uint8) if pixels.dtype == np.uint16 else pixels
    picture = Image.fromarray(shown)
    picture.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS, reducing_gap=2.0)
    kept = io.BytesIO()
    srgb_for_the_eye(picture, profile).save(kept, "JPEG", quality=_QUALITY)
    return kept.getvalue()
