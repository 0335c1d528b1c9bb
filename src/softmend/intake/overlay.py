"""Parts of canonical pictures enlarged for the eye, and cut-outs with transparency to lay over."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from softmend.intake.canonical import Pixels
from softmend.intake.profile import srgb_for_the_eye

_QUALITY = 90


def eight_bit_rgb(pixels: Pixels) -> NDArray[np.uint8]:
    """Return pixels of a canonical picture as 8-bit RGB, grey ones too."""
    eight: Any = (pixels >> 8).astype(np.uint8) if pixels.dtype == np.uint16 else pixels
    return np.asarray(np.repeat(eight[..., None], 3, axis=2) if eight.ndim == 2 else eight)


def enlarged_jpeg(pixels: Pixels, profile: bytes | None, size: tuple[int, int]) -> bytes:
    """Return a part of a picture as JPEG of a width and height, in sRGB."""
    picture = srgb_for_the_eye(Image.fromarray(eight_bit_rgb(pixels)), profile)
    kept = io.BytesIO()
    picture.resize(size, Image.Resampling.BICUBIC).save(kept, "JPEG", quality=_QUALITY)
    return kept.getvalue()


def cut_out_png(laid: NDArray[np.uint8], profile: bytes | None) -> bytes:
    """Return red, green, blue and cover as PNG, its colours in sRGB."""
    picture = srgb_for_the_eye(Image.fromarray(np.ascontiguousarray(laid[..., :3])), profile)
    picture.putalpha(Image.fromarray(np.ascontiguousarray(laid[..., 3])))
    kept = io.BytesIO()
    picture.save(kept, "PNG")
    return kept.getvalue()


def laid_over_jpeg(under: bytes, over: bytes, solid: float) -> bytes:
    """Return a JPEG with a cut-out laid over it, `solid` (0 to 1) of it covering."""
    picture = Image.open(io.BytesIO(under)).convert("RGB")
    laid = Image.open(io.BytesIO(over))
    cover = laid.getchannel("A").point([round(level * solid) for level in range(256)])
    picture.paste(laid.convert("RGB"), (0, 0), cover)
    kept = io.BytesIO()
    picture.save(kept, "JPEG", quality=_QUALITY)
    return kept.getvalue()
