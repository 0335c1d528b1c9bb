"""Whether a file ends where it says it does: told by walking it, without decoding a pixel."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import mmap
import struct
from pathlib import Path
from typing import BinaryIO

from PIL import ImageFile, TiffImagePlugin

from softmend.errors import InputError, LimitError
from softmend.intake.limits import Limits
from softmend.intake.sniff import Kind

_PNG_SIGNATURE_BYTES = 8
_START_OF_SCAN = b"\xff\xda"
_STRIPS = ((273, 279), (324, 325))  # offsets and byte counts of strips, of tiles


def cut_off() -> InputError:
    """Return the sentence for a file that ends too early."""
    return InputError(
        "the file ends before the picture does: it was cut off or damaged on its way here",
        remedy="copy it again from the camera, card or sender",
    )


def check_whole(path: Path, kind: Kind, limits: Limits) -> None:
    """Raise when the file is cut off, or built to keep a decoder busy for ever."""
    with path.open("rb") as file:
        if kind is Kind.PNG:
            _check_png(file)
        elif kind is Kind.WEBP:
            _check_webp(file, path.stat().st_size)
        elif kind is Kind.JPEG:
            _check_scans(file, limits)


def check_strips(image: ImageFile.ImageFile, path: Path) -> None:
    """Raise when a TIFF says that some of its pixels lie beyond the end of the file."""
    if not isinstance(image, TiffImagePlugin.TiffImageFile):
        return
    size = path.stat().st_size
    for offsets_tag, counts_tag in _STRIPS:
        offsets = _numbers(image, offsets_tag)
        counts = _numbers(image, counts_tag) or (0,) * len(offsets)
        if any(start + count > size for start, count in zip(offsets, counts, strict=False)):
            raise cut_off()


def _check_png(file: BinaryIO) -> None:
    """Step from chunk to chunk: the last is IEND, or the file is cut off."""
    file.seek(_PNG_SIGNATURE_BYTES)
    while len(start := file.read(8)) == 8:
        length, name = struct.unpack(">I4s", start)
        if name == b"IEND":
            return
        file.seek(length + 4, 1)
    raise cut_off()


def _check_webp(file: BinaryIO, size: int) -> None:
    (length,) = struct.unpack("<4xI", file.read(8))
    if length + 8 > size:
        raise cut_off()


def _check_scans(file: BinaryIO, limits: Limits) -> None:
    """Count the scans: inside coded data FF is always followed by 00, so FF DA is a scan's start.

    A progressive JPEG may repeat a scan of some bytes ten thousand times, each of which costs a
    walk over the whole picture.
    """
    with mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as data:
        scans, at = 0, data.find(_START_OF_SCAN)
        while at >= 0 and scans <= limits.jpeg_scans:
            scans, at = scans + 1, data.find(_START_OF_SCAN, at + 2)
    if scans > limits.jpeg_scans:
        raise LimitError(
            "the JPEG is built of so many layers that reading it could take hours",
            allowed=f"up to {limits.jpeg_scans} scans",
            remedy="open it in a picture editor and save it anew",
        )


def _numbers(image: TiffImagePlugin.TiffImageFile, tag: int) -> tuple[int, ...]:
    value = image.tag_v2.get(tag, ())
    values = value if isinstance(value, tuple) else (value,)
    return tuple(number for number in values if isinstance(number, int))
