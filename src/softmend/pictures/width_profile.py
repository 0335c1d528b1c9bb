"""The width of a crack along it: stations as dots, stretches as steps with their uncertainty."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.pictures.hatch import pattern
from softmend.pictures.legend import LegendEntry, Pattern
from softmend.pictures.svg import ACCENT, GREY, INK, WHITE, document, element, text

WIDTH, HEIGHT = 760.0, 250.0
_LEFT, _RIGHT, _TOP, _FLOOR = 52.0, 14.0, 30.0, 206.0
_SMALL, _WEIGHT, _TICKS = 12.0, "500", 6
_LINE, _PALE = "#d8d2c5", "#c6dadb"
_Place = Callable[[float], float]
NARROWER = LegendEntry("width-narrower", "narrower than", Pattern.DIAGONAL, GREY)


@dataclass(frozen=True)
class WidthStretch:
    """One stretch: where it runs, its width with ±, or None where it is narrower or not seen."""

    start: float
    end: float
    width: float | None
    expanded: float


@dataclass(frozen=True)
class WidthProfile:
    """What is drawn: stretches, single stations, the limit below which no number is given.

    `unit` is that of all lengths: "mm" with a scale, else "px".
    """

    stretches: Sequence[WidthStretch]
    stations: Sequence[tuple[float, float]]
    limit: float
    unit: str


def width_profile_svg(profile: WidthProfile) -> str:
    """Return the profile as a drawing, the crack's first end at the left."""
    if not profile.stretches:
        raise InputError("There is no width to draw", allowed="one stretch or more")
    end = profile.stretches[-1].end
    tops = [one.width + one.expanded for one in profile.stretches if one.width is not None]
    top = 1.15 * max([profile.limit, *tops, *(wide for _, wide in profile.stations)])

    def x(at: float) -> float:
        return _LEFT + (WIDTH - _LEFT - _RIGHT) * at / end

    def y(wide: float) -> float:
        return _FLOOR - (_FLOOR - _TOP) * wide / top

    inside = [f"<defs>{pattern(NARROWER, NARROWER.code, 0.7)}</defs>"]
    for tick in _round_ticks(top):
        inside.append(element("line", x1=_LEFT, y1=y(tick), x2=WIDTH - _RIGHT, y2=y(tick),
                              stroke=_LINE))  # fmt: skip
        inside.append(_label(f"{tick:g}", _LEFT - 7, y(tick) + 4, "end"))
    for tick in _round_ticks(end):
        inside.append(_label(f"{tick:g}", x(tick), _FLOOR + 18, "middle"))
    inside.append(_label(f"width, {profile.unit}", 2, 16, "start"))
    inside.append(
        _label(f"along the crack from its first end, {profile.unit}", WIDTH - _RIGHT, HEIGHT - 6,
               "end")
    )  # fmt: skip
    for one in profile.stretches:
        inside += _stretch(one, x, y, profile.limit)
    for at, wide in profile.stations:
        inside.append(element("circle", cx=x(at), cy=y(wide), r=1.6, fill=GREY))
    inside.append(element("line", x1=_LEFT, y1=y(profile.limit), x2=WIDTH - _RIGHT,
                          y2=y(profile.limit), stroke=INK, stroke_width=1.4,
                          stroke_dasharray="6 5"))  # fmt: skip
    return document(WIDTH, HEIGHT, inside)


def width_profile_words(profile: WidthProfile) -> str:
    """Return what the drawing shows, for whoever does not see it."""
    known = [one.width for one in profile.stretches if one.width is not None]
    less = len(profile.stretches) - len(known)
    wide = f"{min(known):.2g} to {max(known):.2g} {profile.unit}" if known else "not measurable"
    return (
        f"Width along the crack: {wide} on {len(known)} stretches, narrower or not seen on {less}."
    )


def _stretch(one: WidthStretch, x: _Place, y: _Place, limit: float) -> list[str]:
    left, wide = x(one.start) + 0.5, max(x(one.end) - x(one.start) - 1, 1.0)
    if one.width is None:
        box = {"x": left, "y": y(limit), "width": wide, "height": _FLOOR - y(limit)}
        return [
            element("rect", **box, fill=WHITE, stroke=GREY, stroke_width=0.8),
            element("rect", **box, fill=f"url(#{NARROWER.code})"),
        ]
    top, low = y(one.width + one.expanded), y(max(one.width - one.expanded, 0.0))
    box = {"x": left, "y": top, "width": wide, "height": low - top}
    middle = y(one.width)
    return [
        element("rect", **box, fill=_PALE, stroke=ACCENT, stroke_width=1),
        element("line", x1=left, y1=middle, x2=left + wide, y2=middle, stroke=INK, stroke_width=2),
    ]


def _label(words: str, x: float, y: float, anchor: str) -> str:
    return text(words, x, y, _SMALL, fill=GREY, font_weight=_WEIGHT, text_anchor=anchor)


def _round_ticks(span: float) -> list[float]:
    step = 10.0 ** math.floor(math.log10(span / _TICKS))
    step = next(step * many for many in (1, 2, 5, 10) if span / (step * many) <= _TICKS)
    return [round(step * at, 6) for at in range(int(span / step) + 1)]
