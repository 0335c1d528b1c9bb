"""A camera's raw file: developed plainly, so that measured light stays in proportion.

Only the child process of an import calls this module. The picture is developed at 16 bits with the
camera's own white balance, without brightening and without sharpening, and stored on the sRGB
curve, which every measurement undoes again.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from softmend.errors import InputError
from softmend.intake.camera import exif_stamp, plain_words
from softmend.intake.facts import CameraFacts
from softmend.intake.header import Header
from softmend.intake.limits import Limits
from softmend.intake.pixels import Decoded
from softmend.intake.profile import srgb_profile
from softmend.intake.sniff import Kind

DEVELOPED = (
    "developed from the camera's raw file: 16 bits, the camera's white balance, not brightened, "
    "sRGB curve"
)
_SRGB_CURVE = (2.4, 12.92)
_MAKE, _MODEL, _EXIF, _PLACE, _TAKEN = 271, 272, 34665, 34853, 36867
_DNG_VERSION, _NEW_SUBFILE_TYPE, _SUB_IFDS = 50706, 254, 330


def is_raw_tiff(path: Path) -> bool:
    """Say whether a file that begins as a TIFF is a camera's raw file.

    A DNG says so; the makers' own put a small preview first and the light into pages below it.
    """
    import tifffile

    try:
        with tifffile.TiffFile(path) as file:
            tags = file.pages[0].aspage().tags
            preview = _NEW_SUBFILE_TYPE in tags and int(tags[_NEW_SUBFILE_TYPE].value) & 1
            return _DNG_VERSION in tags or bool(preview and _SUB_IFDS in tags)
    except Exception:  # whatever a broken header does to that reader, it is no raw file
        return False


def raw_header(path: Path, limits: Limits) -> Header:
    """Return the header of a raw file, checked against the limits before it is developed."""
    import rawpy

    try:
        with rawpy.imread(str(path)) as raw:
            width, height, flip = raw.sizes.iwidth, raw.sizes.iheight, raw.sizes.flip
    except (rawpy.LibRawError, OSError, ValueError) as error:
        raise _unreadable() from error
    limits.check_size(width, height)
    turned = flip in (5, 6)
    return Header(
        kind=Kind.RAW,
        width=height if turned else width,
        height=width if turned else height,
        bits=16,
        mode="RAW",
        orientation=1,
        has_profile=True,
        has_more_pages=False,
        is_planar=False,
    )


def decode_raw(path: Path) -> Decoded:
    """Return the developed picture, upright."""
    import rawpy

    try:
        with rawpy.imread(str(path)) as raw:
            pixels = raw.postprocess(
                gamma=_SRGB_CURVE,
                no_auto_bright=True,
                use_camera_wb=True,
                output_bps=16,
                output_color=rawpy.ColorSpace.sRGB,
            )
    except (rawpy.LibRawError, OSError, ValueError) as error:
        raise _unreadable() from error
    kept = np.ascontiguousarray(pixels, dtype=np.uint16)
    return Decoded(kept, srgb_profile(), [DEVELOPED], camera=raw_facts(path))


def raw_facts(path: Path) -> CameraFacts:
    """Return date, maker and model where a raw file that is built as a TIFF tells them."""
    import tifffile

    try:
        with tifffile.TiffFile(path) as file:
            tags = file.pages[0].aspage().tags
            codes = (_MAKE, _MODEL, _EXIF, _PLACE, _TAKEN)
            told: dict[int, Any] = {code: tags[code].value for code in codes if code in tags}
    except Exception:  # other makers' files are no TIFF: then nothing is told
        return CameraFacts()
    detail = told.get(_EXIF) if isinstance(told.get(_EXIF), dict) else {}
    return CameraFacts(
        taken_at=exif_stamp((detail or {}).get("DateTimeOriginal") or told.get(_TAKEN)),
        maker=plain_words(told.get(_MAKE)),
        model=plain_words(told.get(_MODEL)),
        has_location=_PLACE in told,
    )


def _unreadable() -> InputError:
    return InputError(
        "the camera's raw file cannot be developed: it is damaged or of a kind not known here",
        remedy="export it as 16-bit TIFF or as JPEG and bring that in, and attach the raw file",
    )
