"""Chances as bands: 5 to 95 %, the middle, and the mean; one row a part, one group a fill.

Every row says its name and its number; hatch before colour, so that it reads in grey.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.pictures.hatch import pattern
from softmend.pictures.legend import LegendEntry, Pattern
from softmend.pictures.svg import ACCENT, GREY, INK, WARM, WHITE, document, element, group, text

WIDTH = 620.0
_LEFT, _RIGHT, _ROW, _BAR, _TITLE = 176.0, 92.0, 27.0, 13.0, 30.0
_TOP, _SIZE, _SMALL, _WEIGHT = 24.0, 13.5, 12.0, "500"
_LINE = "#d8d2c5"
_HALO: dict[str, str | float] = {
    "stroke": "#faf8f3", "stroke_width": 4.0, "paint_order": "stroke",
}  # fmt: skip
_PAINTS = {True: (WARM, "#f0d3c3"), False: (ACCENT, "#c6dadb")}
OBJECT_SIDE = LegendEntry("bands-object", "the object", Pattern.DIAGONAL, WARM)


@dataclass(frozen=True)
class BandRow:
    """One chance in percent: its 5, 50 and 95 % points and its mean, and whose it is.

    `is_object` marks what happens to the object itself; `is_nothing` that nothing gives.
    """

    name: str
    low: float
    typical: float
    high: float
    mean: float
    is_object: bool = False
    is_nothing: bool = False


@dataclass(frozen=True)
class BandGroup:
    """The rows of one fill under its name."""

    title: str
    rows: tuple[BandRow, ...]


def bands_svg(groups: Sequence[BandGroup]) -> str:
    """Return the groups as an SVG on one axis of 0 to 100 %."""
    if not any(one.rows for one in groups):
        raise InputError("There is no chance to draw", allowed="one row or more")
    height = _TOP + sum(_TITLE + _ROW * len(one.rows) for one in groups) + 26
    inside = [f"<defs>{pattern(OBJECT_SIDE, 'bands-object', 0.6)}</defs>"]
    inside += _grid(height - 24)
    y = _TOP
    for one in groups:
        inside.append(text(one.title, 0, y + 20, _SIZE, font_weight="600", fill=INK, **_HALO))
        y += _TITLE
        for row in one.rows:
            inside.append(_row(row, y))
            y += _ROW
    inside.append(_key(height - 6))
    return document(WIDTH, height, inside)


def bands_words(groups: Sequence[BandGroup]) -> str:
    """Return what the chart shows, for whoever does not see it."""
    said = [
        f"{one.title}: "
        + "; ".join(f"{row.name} {percent(row.mean)} on average, 5 to 95 % {percent(row.low)} to "
                    f"{percent(row.high)}" for row in one.rows)
        for one in groups
    ]  # fmt: skip
    return "Chances in a year of who gives first. " + ". ".join(said) + "."


def percent(value: float) -> str:
    """Return a chance as it is printed: never nearer to never or always than 1 %."""
    if value < 1:
        return "below 1 %"
    return "above 99 %" if value > 99 else f"{value:.0f} %"


def _x(value: float) -> float:
    return _LEFT + (WIDTH - _LEFT - _RIGHT) * min(max(value, 0.0), 100.0) / 100


def _grid(floor: float) -> list[str]:
    found = []
    for tick in (0, 25, 50, 75, 100):
        x = _x(tick)
        found += [
            element("line", x1=x, y1=_TOP, x2=x, y2=floor, stroke=_LINE, stroke_width=1),
            text(f"{tick} %", x, 14, _SMALL, font_weight=_WEIGHT, fill=GREY, text_anchor="middle"),
        ]
    said = text("mean", WIDTH, 14, _SMALL, font_weight=_WEIGHT, fill=GREY, text_anchor="end")
    return [*found, said]


def _row(row: BandRow, top: float) -> str:
    y, middle = top + (_ROW - _BAR) / 2, top + _ROW / 2
    dark, pale = (GREY, WHITE) if row.is_nothing else _PAINTS[row.is_object]
    place: dict[str, str | float] = {
        "x": _x(row.low), "y": y, "width": max(_x(row.high) - _x(row.low), 2.0), "height": _BAR,
    }  # fmt: skip
    drawn = [
        text(row.name, 12, middle + 4, _SIZE, font_weight=_WEIGHT, fill=INK),
        element("rect", **place, fill=pale, stroke=dark, stroke_width=0.8),
    ]
    if row.is_object:
        drawn.append(element("rect", **place, fill="url(#bands-object)", fill_opacity=0.55))
    x, m = _x(row.typical), _x(row.mean)
    drawn += [
        element("line", x1=x, y1=y - 3, x2=x, y2=y + _BAR + 3, stroke=dark, stroke_width=3),
        element("path", d=f"M{m:.2f} {middle - 6:.2f}l5 6l-5 6l-5 -6Z", fill=WHITE, stroke=dark,
                stroke_width=1.6),
        text(percent(row.mean), WIDTH, middle + 4, _SIZE, font_weight="600", fill=INK,
             text_anchor="end"),
    ]  # fmt: skip
    return group(drawn)


def _key(y: float) -> str:
    return group(
        [
            element("rect", x=_LEFT, y=y - 9, width=22, height=10, fill=_PAINTS[False][1],
                    stroke=ACCENT, stroke_width=0.8),
            text("5 to 95 %", _LEFT + 28, y, _SMALL, font_weight=_WEIGHT, fill=INK),
            element("line", x1=_LEFT + 108, y1=y - 12, x2=_LEFT + 108, y2=y + 3, stroke=ACCENT,
                    stroke_width=3),
            text("middle", _LEFT + 115, y, _SMALL, font_weight=_WEIGHT, fill=INK),
            element("path", d=f"M{_LEFT + 180:.2f} {y - 10:.2f}l5 6l-5 6l-5 -6Z", fill=WHITE,
                    stroke=ACCENT, stroke_width=1.6),
            text("mean of all that is possible", _LEFT + 191, y, _SMALL, font_weight=_WEIGHT,
                 fill=INK),
        ]
    )  # fmt: skip
