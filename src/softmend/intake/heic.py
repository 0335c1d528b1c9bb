"""HEIC photographs, as phones make them: read through the same limits, upright, with profile.

Only the child process of an import calls this module.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from softmend.errors import InputError
from softmend.intake.camera import camera_facts
from softmend.intake.facts import CameraFacts
from softmend.intake.header import Header
from softmend.intake.limits import Limits
from softmend.intake.pixels import Decoded
from softmend.intake.sniff import Kind

CUT_TO_EIGHT = "its 10 or 12 bits a channel became 8"
_EIGHT = 8


def heic_header(path: Path, limits: Limits) -> Header:
    """Return the header of a HEIC photograph, checked against the limits before any decoding."""
    pi_heif = _reader()

    try:
        opened = pi_heif.open_heif(path, convert_hdr_to_8bit=True)
        width, height = opened.size
        bits = int(opened.info.get("bit_depth", _EIGHT))
        pages = len(opened)
    except (ValueError, OSError, RuntimeError, EOFError, SyntaxError) as error:
        raise _unreadable() from error
    limits.check_size(width, height)
    return Header(
        kind=Kind.HEIC,
        width=width,
        height=height,
        bits=bits,
        mode="HEIF",
        orientation=1,
        has_profile=bool(opened.info.get("icc_profile")),
        has_more_pages=pages > 1,
        is_planar=False,
    )


def decode_heic(path: Path, header: Header) -> Decoded:
    """Return the pixels of a HEIC photograph; its own turns are applied by the decoder."""
    pi_heif = _reader()

    pi_heif.register_heif_opener()
    try:
        with Image.open(path, formats=["HEIF"]) as image:
            image.load()
            camera, notes = _camera(image)
            profile = image.info.get("icc_profile")
            pixels = np.asarray(image.convert("RGB"), dtype=np.uint8)
    except (ValueError, OSError, RuntimeError, EOFError, SyntaxError) as error:
        raise _unreadable() from error
    if header.bits > _EIGHT:
        notes.append(CUT_TO_EIGHT)
    return Decoded(pixels, bytes(profile) if profile else None, notes, camera=camera)


def _reader() -> Any:
    """Return the HEIC reader, which says nothing of its types."""
    from importlib import import_module

    return import_module("pi_heif")


def _camera(image: Image.Image) -> tuple[CameraFacts, list[str]]:
    try:
        return camera_facts(image), []
    except ValueError as damaged:
        return CameraFacts(), [str(damaged)]


def _unreadable() -> InputError:
    return InputError(
        "the HEIC photograph cannot be read: the file is damaged or of a rare kind",
        remedy="copy it again from the phone, or export it as JPEG and bring that in",
    )
