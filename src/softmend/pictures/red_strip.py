"""How near an agent stays to a coating as it dries: a strip at shares that have evaporated."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from softmend.pictures.svg import (
    ACCENT,
    GREY,
    INK,
    WHITE,
    document,
    element,
    number,
    text,
)

WIDTH = 460.0
_LEFT, _RIGHT, _TOP, _ROW = 138.0, 448.0, 40.0, 34.0
_LEAST, _MOST = 0.0, 2.0
_WEIGHT = "500"
"""A text without a weight is printed in the lightest."""
_GREY_FROM, _GREY_TO = 0.9, 1.3
_SIZE, _SMALL = 13.0, 12.0


@dataclass(frozen=True)
class StripRow:
    """One stage: how much has gone, what is left in words, and the band of the distance."""

    gone_percent: float
    left: str
    low: float
    typical: float
    high: float


def strip_size(rows: Sequence[StripRow]) -> tuple[float, float]:
    """Return the width and height of a strip."""
    return WIDTH, _TOP + _ROW * len(rows) + 26.0


def strip_svg(rows: Sequence[StripRow]) -> str:
    """Return the strip: bands on a scale of RED with the grey band between in and out marked."""
    width, height = strip_size(rows)
    bottom = height - 22
    inside = [
        element("rect", x=_LEFT, y=_TOP - 8, width=_RIGHT - _LEFT, height=bottom - _TOP + 8,
                fill=WHITE, stroke="#d8d2c5"),
        element("rect", x=_at(_GREY_FROM), y=_TOP - 8, width=_at(_GREY_TO) - _at(_GREY_FROM),
                height=bottom - _TOP + 8, fill="#d8d2c5"),
        text("inside", _LEFT + 4, 24, _SMALL, font_weight=_WEIGHT, fill=GREY),
        text("grey band", _at(1.1), 24, _SMALL, font_weight=_WEIGHT, fill=GREY,
             text_anchor="middle"),
        text("outside", _RIGHT - 4, 24, _SMALL, font_weight=_WEIGHT, fill=GREY, text_anchor="end"),
        text("gone", 4, 24, _SMALL, font_weight=_WEIGHT, fill=GREY),
    ]  # fmt: skip
    for place, row in enumerate(rows):
        inside += _row(row, _TOP + _ROW * place + 12)
    for tick in (0.0, 0.5, 1.0, 1.5, 2.0):
        x = _at(tick)
        inside += [
            element("line", x1=x, y1=bottom, x2=x, y2=bottom + 4, stroke=INK),
            text(
                f"{tick:g}",
                x,
                bottom + 17,
                _SMALL,
                text_anchor="middle",
                font_weight=_WEIGHT,
                fill=INK,
            ),
        ]
    inside.append(text("RED", 4, bottom + 17, _SMALL, font_weight=_WEIGHT, fill=GREY))
    return document(width, height, inside)


def strip_words(agent: str, coating: str, rows: Sequence[StripRow]) -> str:
    """Return what the strip shows, for whoever does not see it."""
    lines = [
        f"at {row.gone_percent:g} % gone RED {row.typical:.2f}, between {row.low:.2f} and "
        f"{row.high:.2f}, left: {row.left}"
        for row in rows
    ]
    return f"{agent} against {coating} as it dries: {'; '.join(lines)}."


def _row(row: StripRow, y: float) -> list[str]:
    low, high = _at(row.low), _at(row.high)
    left = row.left if len(row.left) < 21 else f"{row.left[:19]}…"
    return [
        text(f"{row.gone_percent:g} %", 4, y + 1, _SIZE, font_weight="600", fill=INK),
        text(left, 4, y + 15, 11, font_weight=_WEIGHT, fill=GREY),
        element("rect", x=low, y=y - 6, width=max(high - low, 1.0), height=11, rx=2,
                fill=ACCENT, fill_opacity=0.35, stroke=ACCENT),
        element("path", d=f"M{number(_at(row.typical))} {number(y - 10)}v19", stroke=INK,
                stroke_width=2.2, fill="none"),
    ]  # fmt: skip


def _at(red: float) -> float:
    share = (min(max(red, _LEAST), _MOST) - _LEAST) / (_MOST - _LEAST)
    return _LEFT + share * (_RIGHT - _LEFT)
