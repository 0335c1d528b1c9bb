"""A still of a scan: a grey picture as PNG, and over it what was picked, drawn and placed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import base64
import struct
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
from numpy.typing import NDArray

PAPER = (250, 248, 243)
BONE = (205, 181, 138)
MARK = "#1b2023"
WARM = "#b4491a"
PAD = "#1c5d63"


@dataclass(frozen=True)
class DrawnLine:
    """A line over a still in its pixels, with its name; a forbidden one is warm and dashed."""

    name: str
    points: tuple[tuple[float, float], ...]
    is_forbidden: bool = False
    is_closed: bool = False


@dataclass(frozen=True)
class DrawnPoint:
    """A place over a still in its pixels: a pad ("P1") or the centre of gravity ("G")."""

    name: str
    at: tuple[float, float]
    is_pad: bool = False


def grey_png(brightness: NDArray[np.float64]) -> bytes:
    """Return a brightness picture as PNG in the colours of paper and object."""
    share = np.clip(brightness, 0, 1)[..., None]
    ink = np.asarray(BONE, dtype=np.float64) * share
    pixels = np.where(share > 0, ink, np.asarray(PAPER, dtype=np.float64)).round().astype(np.uint8)
    height, width = brightness.shape
    rows = b"".join(b"\0" + pixels[y].tobytes() for y in range(height))
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"".join(
        (
            b"\x89PNG\r\n\x1a\n",
            _chunk(b"IHDR", head),
            _chunk(b"IDAT", zlib.compress(rows, 6)),
            _chunk(b"IEND", b""),
        )
    )


def still_svg(
    size: tuple[int, int],
    lines: Sequence[DrawnLine] = (),
    points: Sequence[DrawnPoint] = (),
    bar: tuple[float, str] | None = None,
    png: bytes = b"",
) -> str:
    """Return what stands on a still as SVG, over its picture where that is given.

    `bar` is a length in pixels and its words.
    """
    width, height = size
    unit = width / 900
    inside = "".join(_line(one, unit) for one in lines)
    inside += "".join(_point(one, unit) for one in points)
    inside += _bar(bar, size, unit) if bar else ""
    under = ""
    if png:
        data = base64.b64encode(png).decode()
        href = f"data:image/png;base64,{data}"
        under = f'<image href="{href}" width="{width}" height="{height}"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" font-family="Source Sans 3" font-weight="600" '
        f'font-size="{26 * unit:.1f}">'
        f"{under}{inside}</svg>"
    )


def _chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def _line(one: DrawnLine, unit: float) -> str:
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in one.points)
    shape = "polygon" if one.is_closed else "polyline"
    colour = WARM if one.is_forbidden else MARK
    dash = f' stroke-dasharray="{9 * unit:.1f} {6 * unit:.1f}"' if one.is_forbidden else ""
    common = f'fill="none" stroke-linejoin="round" points="{points}"'
    x, y = one.points[-1]
    return (
        f'<{shape} {common} stroke="#fff" stroke-width="{6 * unit:.1f}"/>'
        f'<{shape} {common} stroke="{colour}" stroke-width="{2.5 * unit:.1f}"{dash}/>'
        + _label(one.name, x + 8 * unit, y - 8 * unit, colour, unit)
    )


def _point(one: DrawnPoint, unit: float) -> str:
    x, y = one.at
    colour = PAD if one.is_pad else MARK
    r = 9 * unit
    if one.is_pad:
        drawn = (
            f'<path d="M{x:.1f} {y:.1f}l{r:.1f} {1.8 * r:.1f}h{-2 * r:.1f}z" fill="{colour}" '
            f'stroke="#fff" stroke-width="{1.5 * unit:.1f}"/>'
        )
        return drawn + _label(one.name, x + 1.2 * r, y + 1.8 * r, colour, unit)
    drawn = (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}" fill="#fff" stroke="{colour}" '
        f'stroke-width="{2.5 * unit:.1f}"/>'
        f'<path d="M{x - r:.1f} {y:.1f}h{2 * r:.1f}M{x:.1f} {y - r:.1f}v{2 * r:.1f}" '
        f'stroke="{colour}" stroke-width="{2 * unit:.1f}"/>'
    )
    return drawn + _label(one.name, x + 1.4 * r, y - 0.6 * r, colour, unit)


def _label(text: str, x: float, y: float, colour: str, unit: float) -> str:
    words = escape(text)
    at = f'x="{x:.1f}" y="{y:.1f}"'
    return (
        f'<text {at} stroke="#fff" stroke-width="{5 * unit:.1f}" stroke-linejoin="round">{words}'
        f'</text><text {at} fill="{colour}">{words}</text>'
    )


def _bar(bar: tuple[float, str], size: tuple[int, int], unit: float) -> str:
    length, words = bar
    x, y = 24 * unit, size[1] - 24 * unit
    return (
        f'<path d="M{x:.1f} {y - 6 * unit:.1f}v{12 * unit:.1f}m0 {-6 * unit:.1f}h{length:.1f}'
        f'm0 {-6 * unit:.1f}v{12 * unit:.1f}" fill="none" stroke="{MARK}" '
        f'stroke-width="{2 * unit:.1f}"/>' + _label(words, x, y - 12 * unit, MARK, unit)
    )
