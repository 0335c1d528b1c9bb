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
FACE = "'Source Sans 3', sans-serif, SourceSans3VF"
"""The house's face; what draws pictures for a document knows it by no weight, or not at all."""
GONE, WITHIN, COME = (0xB3, 0x58, 0x06), (0xD9, 0xD6, 0xCF), (0x2F, 0x6F, 0xA8)
"""Orange-brown and blue, told apart by colour-blind eyes; in grey by hatch and dots."""
FOOT = 0.1
"""Share of a still's height that is kept clear for its legend, where it has one."""
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
    return _png(pixels)


def change_png(
    brightness: NDArray[np.float64], mm: NDArray[np.float64], level: float, full: float
) -> bytes:
    """Return a still as PNG, coloured by the distances in millimetres that its pixels show.

    Gone is orange-brown with hatch, come is blue with dots, within the level nothing; the foot
    stays clear for the legend.
    """
    height, width = brightness.shape
    over = np.abs(mm) - level
    share = np.where(over <= 0, 0.0, 0.25 + 0.75 * np.clip(over / max(full - level, level), 0, 1))
    to = np.where((mm < 0)[..., None], np.asarray(GONE, float), np.asarray(COME, float))
    ground = np.asarray(WITHIN, dtype=np.float64)
    ink = ground + (to - ground) * share[..., None]
    x, y = np.meshgrid(np.arange(width), np.arange(height))
    is_marked = np.where(mm < 0, (x + y) % 12 < 2, (x % 8 < 3) & (y % 8 < 3)) & (share > 0)
    ink = np.where(is_marked[..., None], (ink + 255) / 2, ink)
    ink *= (0.45 + 0.55 * brightness)[..., None]
    pixels = np.where((brightness > 0)[..., None], ink, np.asarray(PAPER, dtype=np.float64))
    pixels[height - round(FOOT * height) :] = PAPER
    return _png(pixels.round().astype(np.uint8))


def _png(pixels: NDArray[np.uint8]) -> bytes:
    height, width = pixels.shape[:2]
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
    change: tuple[float, float] | None = None,
) -> str:
    """Return what stands on a still as SVG, over its picture where that is given.

    `bar` is a length in pixels and its words; `change` the level and the distance in full colour
    [mm], of a still that shows what changed.
    """
    width, height = size
    unit = width / 900
    inside = "".join(_line(one, unit) for one in lines)
    inside += "".join(_point(one, unit) for one in points)
    inside += _bar(bar, size, unit) if bar else ""
    inside += _legend(change, size, unit) if change else ""
    under = ""
    if png:
        data = base64.b64encode(png).decode()
        href = f"data:image/png;base64,{data}"
        under = f'<image href="{href}" width="{width}" height="{height}"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" font-family="{FACE}" font-weight="600" '
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


def _legend(change: tuple[float, float], size: tuple[int, int], unit: float) -> str:
    """Return what the colours of a change mean, at the foot on the right: colour, mark, words."""
    level, full = (f"{one:.2g}" for one in change)
    hatch = "M2 16l14 -14M16 16l14 -14M30 16l8 -8"
    dots = "".join(f"M{x} {y}h3v3h-3z" for x in (6, 18, 30) for y in (3, 10))
    rows = (
        (0.40, 56, GONE, f'<path d="{hatch}" stroke="#fff" stroke-width="2"/>',
         f"gone, up to \u2212{full} mm"),
        (0.70, 56, COME, f'<path d="{dots}" fill="#fff"/>', f"come, up to {full} mm"),
        (0.40, 26, WITHIN, "", f"within ± {level} mm: nothing is claimed"),
    )  # fmt: skip
    drawn = ""
    for across, up, colour, mark, words in rows:
        x, y = across * size[0], size[1] - up * unit
        fill = f"rgb({colour[0]},{colour[1]},{colour[2]})"
        drawn += (
            f'<g transform="translate({x:.1f} {y:.1f}) scale({unit:.3f})">'
            f'<rect width="40" height="18" fill="{fill}"/>{mark}</g>'
            f'<text x="{x + 48 * unit:.1f}" y="{y + 16 * unit:.1f}" fill="{MARK}" '
            f'font-size="{19 * unit:.1f}">{escape(words)}</text>'
        )
    return drawn
