"""The width and height that a JPEG states in its frame header; no pixel is decoded.

Source: itu-t81, B.2.2 (frame header) and table B.1 (markers).
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import BinaryIO

from softmend.errors import InputError

_START = b"\xff\xd8"
# SOF0 to SOF15, but for the three markers among them that are no frames (DHT, JPG, DAC).
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}


def jpeg_size(stream: BinaryIO) -> tuple[int, int]:
    """Return the width and height in pixels of a JPEG."""
    if stream.read(2) != _START:
        raise _unreadable()
    while True:
        marker = stream.read(2)
        length = int.from_bytes(stream.read(2), "big")
        if len(marker) < 2 or marker[0] != 0xFF or length < 2:
            raise _unreadable()
        body = stream.read(length - 2)
        if marker[1] in _FRAMES:
            if len(body) < 5:
                raise _unreadable()
            return int.from_bytes(body[3:5], "big"), int.from_bytes(body[1:3], "big")


def _unreadable() -> InputError:
    return InputError("This picture is not a whole JPEG")
