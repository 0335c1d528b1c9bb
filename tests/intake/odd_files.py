"""Pictures that are odd but honest: turned, deep, printed, see-through, with strange company."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import struct
from pathlib import Path

import cv2
import numpy as np
import tifffile
from PIL import Image

ORIENTATION = 0x0112

# EXIF 2.3, tag Orientation: where the stored row 0 and the stored column 0 are seen.
SEEN_AT = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}


def picture(bits: int = 8, channels: int = 3, width: int = 90, height: int = 60) -> np.ndarray:
    """Return smooth pixels without any symmetry, using the whole range of the depth."""
    across = np.linspace(0, 0.6, width)[None, :]
    down = np.linspace(0, 0.4, height)[:, None]
    planes = [across + down, 1 - across - down / 2, across * down * 4][:channels]
    dtype = np.uint8 if bits == 8 else np.uint16
    pixels = np.rint(np.stack(planes, axis=-1) * (2**bits - 1)).astype(dtype)
    return pixels if channels > 1 else pixels[..., 0]


def stored(upright: np.ndarray, orientation: int) -> np.ndarray:
    """Return upright pixels as a camera stores them that was held in this orientation."""
    row, column = SEEN_AT[orientation]
    pixels = upright if row in {"top", "bottom"} else upright.swapaxes(0, 1)
    pixels = pixels[::-1] if row in {"bottom", "right"} else pixels
    pixels = pixels[:, ::-1] if column in {"right", "bottom"} else pixels
    return np.ascontiguousarray(pixels)


def exif(orientation: int) -> bytes:
    """Return an EXIF record with nothing but the orientation."""
    record = Image.Exif()
    record[ORIENTATION] = orientation
    return record.tobytes()


def write_turned(path: Path, upright: np.ndarray, orientation: int) -> None:
    """Write pixels as stored, with the orientation told; 16-bit colour by tifffile and OpenCV."""
    pixels = stored(upright, orientation)
    if path.suffix == ".tif":
        tag = (ORIENTATION, 3, 1, orientation, True)
        tifffile.imwrite(path, pixels, photometric="rgb", compression="zlib", extratags=[tag])
    elif pixels.dtype == np.uint16:
        _, data = cv2.imencode(".png", pixels[..., ::-1])
        path.write_bytes(with_png_exif(data.tobytes(), exif(orientation)))
    else:
        options = (
            {"lossless": True} if path.suffix == ".webp" else {"quality": 98, "subsampling": 0}
        )
        Image.fromarray(pixels).save(path, exif=exif(orientation), **options)


def with_png_exif(data: bytes, record: bytes) -> bytes:
    """Return a PNG with an eXIf chunk put behind its pixels, where the standard allows it too."""
    from tests.hostile.files import chunk

    body = record.removeprefix(b"Exif\x00\x00")
    return data[:-12] + chunk(b"eXIf", body) + data[-12:]


def green_cyan_profile() -> bytes:
    """Return an invented CMYK profile in which a full cyan ink is a bright green.

    Layout: ICC.1:2001-04, header 6.1, lut8Type 6.5.7. Two grid points an ink, so 16 colours in
    Lab: paper white for no ink, one green for cyan alone, black for everything else.
    """
    white, green, black = (255, 128, 128), (200, 60, 200), (0, 128, 128)
    corners = {(0, 0, 0, 0): white, (1, 0, 0, 0): green}
    grid = [
        corners.get((c, m, y, k), black)
        for c in (0, 1)
        for m in (0, 1)
        for y in (0, 1)
        for k in (0, 1)
    ]
    ramp = bytes(range(256))
    identity = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    table = b"mft1" + bytes(4) + bytes([4, 3, 2, 0]) + identity + ramp * 4
    table += bytes(value for colour in grid for value in colour) + ramp * 3
    white_point = b"XYZ " + bytes(4) + struct.pack(">3i", 63190, 65536, 54061)
    tags = [(b"A2B0", table), (b"A2B1", table), (b"wtpt", white_point)]
    place = 128 + 4 + 12 * len(tags)
    index, bodies = struct.pack(">I", len(tags)), b""
    for name, body in tags:
        padded = body + bytes(-len(body) % 4)
        index += name + struct.pack(">II", place + len(bodies), len(body))
        bodies += padded
    head = struct.pack(">I4sI4s4s4s", 0, bytes(4), 0x02400000, b"prtr", b"CMYK", b"Lab ")
    head += bytes(12) + b"acsp" + bytes(28) + struct.pack(">3i", 63190, 65536, 54061)
    head = head.ljust(128, b"\x00")
    whole = head + index + bodies
    return struct.pack(">I", len(whole)) + whole[4:]


def jpeg_bytes(image: Image.Image, **options: object) -> bytes:
    """Return a picture as JPEG in memory."""
    out = io.BytesIO()
    image.save(out, "JPEG", quality=95, **options)
    return out.getvalue()
