"""Colour profiles: kept where they fit, read for their name, and used for what is not RGB."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import struct

from PIL import Image, ImageCms

SRGB = "sRGB"
NO_PROFILE = "no colour profile: sRGB assumed"
DAMAGED_PROFILE = "the colour profile is damaged and was left out: sRGB assumed"
# Bytes 24 to 35 of a profile hold the hour of its making; the same picture gives the same file.
_MADE_ON = struct.pack(">6H", 2000, 1, 1, 0, 0, 0)
_SPACES = {"RGB ": "RGB", "GRAY": "L", "CMYK": "CMYK"}


def profile_mode(profile: bytes) -> str | None:
    """Return the Pillow mode that a profile is made for, or None when it is damaged."""
    try:
        opened = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        space = _SPACES.get(opened.profile.xcolor_space)
        if space:  # a profile that opens may still lack its curves; building a transform tells
            target = ImageCms.createProfile("sRGB")
            ImageCms.buildTransform(opened, target, space, "RGB")
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return None
    return space


def profile_label(profile: bytes) -> str:
    """Return the name a profile gives itself, in one line."""
    try:
        text = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(profile)))
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return "a profile without a name"
    return " ".join(text.split())[:80] or "a profile without a name"


def rgb_from_cmyk(image: Image.Image, profile: bytes) -> Image.Image:
    """Return a CMYK picture in sRGB by its own profile, relative colorimetric."""
    converted = ImageCms.profileToProfile(
        image,
        ImageCms.ImageCmsProfile(io.BytesIO(profile)),
        ImageCms.createProfile("sRGB"),
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        outputMode="RGB",
    )
    return image.convert("RGB") if converted is None else converted


def srgb_for_the_eye(image: Image.Image, profile: bytes | None) -> Image.Image:
    """Return an RGB picture as a screen without colour management should show it."""
    if profile is None or image.mode != "RGB" or SRGB in profile_label(profile):
        return image
    converted = ImageCms.profileToProfile(
        image,
        ImageCms.ImageCmsProfile(io.BytesIO(profile)),
        ImageCms.createProfile("sRGB"),
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )
    return image if converted is None else converted


def srgb_profile() -> bytes:
    """Return the bytes of a plain sRGB profile, the same every time."""
    made = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return made[:24] + _MADE_ON + made[36:]
