"""Hatches as SVG patterns: white casing, dark core, colour last."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable

from softmend.pictures.legend import LegendEntry, Pattern
from softmend.pictures.svg import INK, WHITE, attributes, element, text

Tile = Callable[[str], list[str]]


def pattern(
    entry: LegendEntry, name: str, unit_px: float, centre: tuple[float, float] = (0.0, 0.0)
) -> str:
    """Return the SVG pattern of an entry's hatch, called `name`; empty where it has none.

    One tile lies with its middle at `centre` (in units), so that a small swatch shows it whole.
    """
    if entry.pattern not in _TILES:
        return ""
    width, height, turn, tile = _TILES[entry.pattern]
    placed = f"translate({centre[0]:g} {centre[1]:g}) rotate({turn:g})"
    middle = f"translate({-width / 2:g} {-height / 2:g})"
    head = attributes(
        id=name,
        width=width,
        height=height,
        patternUnits="userSpaceOnUse",
        patternTransform=f"scale({unit_px:.4f}) {placed} {middle}",
    )
    return f"<pattern{head}>{''.join(tile(entry.colour))}</pattern>"


def has_hatch(entry: LegendEntry) -> bool:
    """Say whether an area of this entry is filled with a hatch."""
    return entry.pattern in _TILES


def _cased(path: str, core: float = 1.5) -> Tile:
    def tile(colour: str) -> list[str]:
        paints = ((WHITE, core + 1.1), (INK, core), (colour, core - 0.5))
        return [
            element("path", d=path, fill="none", stroke=paint, stroke_width=width)
            for paint, width in paints
        ]

    return tile


def _triangle(colour: str) -> list[str]:
    path = "M2 8.5L5.5 2.5L9 8.5Z"
    return [
        element("path", d=path, fill=WHITE, stroke=WHITE, stroke_width=2.0),
        element("path", d=path, fill=colour, stroke=INK, stroke_width=0.6),
    ]


def _discs(radius: float, *centres: tuple[float, float]) -> Tile:
    def tile(colour: str) -> list[str]:
        white = [element("circle", cx=x, cy=y, r=radius + 0.7, fill=WHITE) for x, y in centres]
        return white + [
            element("circle", cx=x, cy=y, r=radius, fill=colour, stroke=INK, stroke_width=0.4)
            for x, y in centres
        ]

    return tile


def _question(colour: str) -> list[str]:
    around: dict[str, str | float] = {"stroke": WHITE, "stroke_width": 2.0, "fill": WHITE}
    return [
        text("?", 4.2, 10.2, 10.0, font_weight="700", **around),
        text("?", 4.2, 10.2, 10.0, font_weight="700", fill=colour),
    ]


_RING = "M2.8 5.5A2.7 2.7 0 1 0 8.2 5.5A2.7 2.7 0 1 0 2.8 5.5Z"

# Width, height and turn of each tile, in drawing units and degrees. Shapes differ before colours.
_TILES: dict[Pattern, tuple[float, float, float, Tile]] = {
    Pattern.WAVY: (12.0, 7.0, 0.0, _cased("M-3 3.5Q0 0.5 3 3.5T9 3.5T15 3.5")),
    Pattern.TRIANGLES: (11.0, 11.0, 0.0, _triangle),
    Pattern.DOTS: (6.0, 6.0, 45.0, _discs(1.15, (3.0, 3.0))),
    Pattern.STIPPLE: (13.0, 13.0, 20.0, _discs(0.8, (3.0, 3.5), (8.5, 9.0))),
    Pattern.CIRCLES: (11.0, 11.0, 45.0, _cased(_RING)),
    Pattern.DIAGONAL: (8.0, 8.0, -45.0, _cased("M-1 4H9")),
    Pattern.DIAGONAL_BACK: (8.0, 8.0, 45.0, _cased("M-1 4H9")),
    Pattern.DIAGONAL_BACK_DENSE: (4.0, 4.0, 45.0, _cased("M-1 2H5", core=1.2)),
    Pattern.CROSS_HATCH: (9.0, 9.0, 45.0, _cased("M-1 4.5H10M4.5 -1V10")),
    Pattern.HORIZONTAL: (7.0, 7.0, 0.0, _cased("M-1 3.5H8")),
    Pattern.VERTICAL: (7.0, 7.0, 90.0, _cased("M-1 3.5H8")),
    Pattern.GRID: (9.0, 9.0, 0.0, _cased("M-1 4.5H10M4.5 -1V10")),
    Pattern.DASHES: (12.0, 12.0, 0.0, _cased("M1 3H6M7 9H12")),
    Pattern.PLUS: (11.0, 11.0, 0.0, _cased("M3 5.5H8M5.5 3V8")),
    Pattern.SQUARES: (12.0, 12.0, 0.0, _cased("M3.5 3.5H8.5V8.5H3.5Z")),
    Pattern.QUESTION: (14.0, 14.0, 0.0, _question),
}
