"""The few facts kept of a camera's own record: when, with what, and whether it says where."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re

from PIL import ExifTags, Image

from softmend.intake.facts import CameraFacts

DAMAGED_EXIF = "the camera's record in the file is damaged and was left aside"
NO_CAMERA = (
    "no camera data: the file may have been re-saved or sent through a messenger; "
    "ask for the original"
)

_STAMP = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)")
_COLOUR_IS_SRGB = 1


def camera_facts(image: Image.Image) -> CameraFacts:
    """Return date, maker, model, colour and whether a place is named; ValueError when damaged."""
    try:
        exif = image.getexif()
        detail = exif.get_ifd(ExifTags.IFD.Exif)
        return CameraFacts(
            taken_at=exif_stamp(detail.get(ExifTags.Base.DateTimeOriginal)),
            maker=plain_words(exif.get(ExifTags.Base.Make)),
            model=plain_words(exif.get(ExifTags.Base.Model)),
            has_location=bool(exif.get_ifd(ExifTags.IFD.GPSInfo)),
            says_srgb=detail.get(ExifTags.Base.ColorSpace) == _COLOUR_IS_SRGB,
        )
    # Pillow meets a damaged record with whatever error its parser stumbles into.
    except Exception as error:
        raise ValueError(DAMAGED_EXIF) from error


def exif_stamp(value: object) -> str | None:
    """Return an EXIF date as ISO 8601 without a zone, as the camera's clock had it."""
    found = _STAMP.match(plain_words(value) or "")
    return f"{found[1]}-{found[2]}-{found[3]}T{found[4]}" if found else None


def plain_words(value: object) -> str | None:
    """Return what a record says as at most 80 printable signs, or None."""
    text = value.decode("utf-8", "replace") if isinstance(value, bytes) else value
    if not isinstance(text, str):
        return None
    kept = "".join(sign for sign in text.replace("\x00", " ") if sign.isprintable())
    return " ".join(kept.split())[:80] or None
