"""Generators of hostile and odd picture files; nothing of them is kept in the repository.

Bombs, lies in headers, halves, disguises, and things that decoders are known to get quietly wrong.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import tifffile
from PIL import Image

PNG_SIGNATURE = b"\x89PNG\r\n\x1a\n"


def photograph(width: int = 96, height: int = 64) -> np.ndarray:
    """Return a small invented picture without symmetry: a ramp each way and a bright corner."""
    across = np.linspace(0, 200, width)[None, :]
    down = np.linspace(0, 120, height)[:, None]
    picture = np.stack([across + 0 * down, down + 0 * across, 255 - across - 0 * down], axis=-1)
    picture[: height // 4, : width // 4] = 250
    return picture.astype(np.uint8)


def chunk(name: bytes, body: bytes) -> bytes:
    """Return one PNG chunk with its checksum."""
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png(width: int, height: int, depth: int, colour: int, data: bytes, *extra: bytes) -> bytes:
    """Return a PNG of these header values, whatever the packed data really hold."""
    header = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    return b"".join(
        [PNG_SIGNATURE, chunk(b"IHDR", header), *extra, chunk(b"IDAT", data), chunk(b"IEND", b"")]
    )


def jpeg(**options: object) -> bytes:
    """Return the small picture as JPEG."""
    out = io.BytesIO()
    Image.fromarray(photograph(640, 480)).save(out, "JPEG", quality=90, **options)
    return out.getvalue()


def tiff(
    entries: list[tuple[int, int, int, int]], *, after: bytes = b"", next_ifd: int = 0
) -> bytes:
    """Return a little-endian TIFF of one list of (tag, type, count, value)."""
    body = struct.pack("<H", len(entries))
    for tag, kind, count, value in entries:
        body += struct.pack("<HHII", tag, kind, count, value)
    return b"II*\x00" + struct.pack("<I", 8) + body + struct.pack("<I", next_ifd) + after


def grey_tiff(
    width: int, height: int, offset: int, count: int, *, after: bytes = b"", next_ifd: int = 0
) -> bytes:
    """Return an uncompressed 8-bit grey TIFF of one strip, wherever that is said to lie."""
    entries = [
        (256, 4, 1, width),
        (257, 4, 1, height),
        (258, 3, 1, 8),
        (259, 3, 1, 1),
        (262, 3, 1, 1),
        (273, 4, 1, offset),
        (277, 3, 1, 1),
        (278, 4, 1, height),
        (279, 4, 1, count),
    ]
    return tiff(entries, after=after, next_ifd=next_ifd)


def packed_zeros(size: int) -> bytes:
    """Return deflated zeros without ever holding them."""
    packer = zlib.compressobj(1)
    block = bytes(1 << 20)
    parts = [packer.compress(block) for _ in range(size >> 20)]
    parts += [packer.compress(bytes(size & ((1 << 20) - 1))), packer.flush()]
    return b"".join(parts)


def scan_bomb(scans: int = 20_000, side: int = 8000) -> bytes:
    """Return a progressive JPEG that repeats one tiny scan, each a walk over the whole picture."""
    out = io.BytesIO()
    Image.new("L", (side, side), 128).save(out, "JPEG", progressive=True)
    data = out.getvalue()
    last_scan = data[data.rfind(b"\xff\xc4") : -2]  # with the code table before it
    return data[:-2] + last_scan * scans + b"\xff\xd9"


def half(data: bytes) -> bytes:
    """Return the first half of a file."""
    return data[: len(data) // 2]


def tiff_bytes(pixels: np.ndarray, **options: object) -> bytes:
    """Return pixels as TIFF, written by tifffile."""
    out = io.BytesIO()
    tifffile.imwrite(out, pixels, **options)
    return out.getvalue()


def saved(kind: str, **options: object) -> bytes:
    """Return the small picture saved by Pillow."""
    out = io.BytesIO()
    Image.fromarray(photograph()).save(out, kind, **options)
    return out.getvalue()


def _text_bomb() -> bytes:
    body = b"Comment\x00\x00" + packed_zeros(200 << 20)
    data = zlib.compress(bytes(65))
    return png(8, 8, 8, 0, data, chunk(b"zTXt", body))


def _broken_pixels() -> bytes:
    data = bytearray(zlib.compress(np.random.default_rng(1).bytes(97 * 64)))
    data[len(data) // 2] ^= 0xFF
    return png(96, 64, 8, 0, bytes(data))


def _svg() -> bytes:
    return (
        b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9">'
        b'<image href="file:///etc/hostname" width="9" height="9"/></svg>'
    )


def _heic() -> bytes:
    return struct.pack(">I", 24) + b"ftypheic" + bytes(4) + b"mif1heic" + bytes(400)


def _raw_photograph() -> bytes:
    entries = [(254, 4, 1, 1), (256, 4, 1, 4), (257, 4, 1, 4), (258, 3, 1, 8), (259, 3, 1, 1)]
    entries += [(262, 3, 1, 1), (273, 4, 1, 122), (277, 3, 1, 1), (279, 4, 1, 16)]
    return tiff(entries, after=bytes(32))


# name of the file -> its maker, and words that its sentence must hold
REFUSED: dict[str, tuple[Callable[[], bytes], str]] = {
    "png_900_megapixels.png": (
        lambda: png(30_000, 30_000, 1, 0, packed_zeros(30_000 * 3751)),
        "larger than Softmend opens; got 30000 x 30000 px",
    ),
    "png_4_gigapixels.png": (
        lambda: png(65_000, 65_000, 1, 0, packed_zeros(65_000 * 8126)),
        "larger than Softmend opens; got 65000 x 65000 px",
    ),
    "png_long_side.png": (
        lambda: png(40_000, 1, 8, 0, zlib.compress(bytes(40_001))),
        "30000 px a side",
    ),
    "png_200_megapixels_with_alpha.png": (
        lambda: png(14_000, 14_000, 8, 6, zlib.compress(bytes(1000))),
        "more memory than an import may use; got about 4.2 GB; allowed: up to 3.0 GB",
    ),
    "tiff_claims_200000.tif": (
        lambda: grey_tiff(200_000, 200_000, 8, 100),
        "larger than Softmend opens; got 200000 x 200000 px",
    ),
    "tiff_bad_strip_offset.tif": (
        lambda: grey_tiff(64, 64, 4_000_000_000, 4096, after=bytes(4096)),
        "cut off or damaged",
    ),
    "tiff_half.tif": (lambda: half(tiff_bytes(photograph(640, 480))), "cut off or damaged"),
    "tiff_half_deflated.tif": (
        lambda: half(tiff_bytes(photograph(640, 480), compression="zlib", rowsperstrip=480)),
        "damaged",
    ),
    "tiff_float.tif": (
        lambda: tiff_bytes(photograph().astype(np.float32) / 255, photometric="rgb"),
        "floating-point numbers",
    ),
    "tiff_32_bit.tif": (
        lambda: tiff_bytes(photograph()[..., 0].astype(np.uint32)),
        "8 or 16 bits a channel",
    ),
    "camera_raw.tif": (_raw_photograph, "camera's raw file"),
    "jpeg_half.jpg": (lambda: half(jpeg()), "cut off or damaged"),
    "jpeg_header_only.jpg": (lambda: jpeg()[:30], "damaged"),
    "jpeg_of_20000_scans.jpg": (scan_bomb, "so many layers"),
    "png_half.png": (lambda: half(saved("PNG")), "cut off or damaged"),
    "png_broken_pixels.png": (_broken_pixels, "damaged"),
    "png_text_bomb.png": (_text_bomb, "makes no sense"),
    "webp_half.webp": (lambda: half(saved("WEBP")), "cut off or damaged"),
    "photo.heic": (_heic, "the HEIC photograph cannot be read"),
    "drawing.png": (_svg, "an SVG drawing, although its name ends in .png"),
    "page.png": (
        lambda: b"<!DOCTYPE html><html><script>alert(1)</script></html>",
        "a web page, although its name ends in .png",
    ),
    "empty.jpg": (lambda: b"", "the file is empty"),
    "letter.jpg": (
        lambda: "Dear colleague, the t\u00fcsk has arrived.\n".encode() * 40,
        "a text, although its name ends in .jpg",
    ),
    "report.jpg": (lambda: b"%PDF-1.7\n" + bytes(40), "a PDF, although its name ends in .jpg"),
    "moving.gif": (lambda: saved("GIF"), "a GIF picture"),
    "noise.tif": (lambda: np.random.default_rng(2).bytes(5000), "of a kind not known here"),
}


def write_refused(folder: Path) -> list[Path]:
    """Write every file that must be refused; return their paths."""
    paths = []
    for name, (maker, _) in REFUSED.items():
        path = folder / name
        path.write_bytes(maker())
        paths.append(path)
    return paths
