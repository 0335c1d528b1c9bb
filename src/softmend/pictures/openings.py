"""How a crack opens as the air dries: the modelled band and the measured one, under each other."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.pictures.hatch import pattern
from softmend.pictures.legend import LegendEntry, Pattern
from softmend.pictures.svg import ACCENT, GREY, INK, WHITE, document, element, group, text

WIDTH = 640.0
_LEFT, _RIGHT, _ROW, _BAR, _TOP = 118.0, 16.0, 58.0, 22.0, 34.0
_SIZE, _SMALL, _WEIGHT = 12.5, 11.0, "500"
_LINE, _PALE = "#d8d2c5", "#c6dadb"
_TICKS = 6
MODELLED = LegendEntry("openings-modelled", "modelled", Pattern.DIAGONAL, GREY)


@dataclass(frozen=True)
class OpeningBand:
    """One way to know an opening: its 5, 50 and 95 % points in mm; + opens on drying."""

    name: str
    low_mm: float
    typical_mm: float
    high_mm: float
    said: str
    is_measured: bool


def openings_svg(bands: Sequence[OpeningBand]) -> str:
    """Return the bands on one axis of millimetres, closing to the left and opening to the right."""
    if not bands:
        raise InputError("There is no opening to draw", allowed="one band or more")
    low = min(0.0, *(one.low_mm for one in bands))
    high = max(0.0, *(one.high_mm for one in bands))
    axis = _Axis(low, high)
    floor = _TOP + _ROW * len(bands)
    inside = [f"<defs>{pattern(MODELLED, MODELLED.code, 0.7)}</defs>", *_grid(axis, floor)]
    for at, one in enumerate(bands):
        inside.append(_band(one, axis, _TOP + _ROW * at))
    return document(WIDTH, floor + 34, inside)


def openings_words(bands: Sequence[OpeningBand]) -> str:
    """Return what the picture shows, for whoever does not see it."""
    return " ".join(f"{one.name}: {one.said}." for one in bands)


class _Axis:
    """From millimetres to the picture, with round ticks."""

    def __init__(self, low: float, high: float) -> None:
        span = max(high - low, 1e-6)
        step = 10.0 ** math.floor(math.log10(span / _TICKS))
        self.step: float = next(
            step * many for many in (1, 2, 5, 10) if span / (step * many) <= _TICKS
        )
        self.low = math.floor(low / self.step + 1e-9) * self.step
        self.high = math.ceil(high / self.step - 1e-9) * self.step

    def x(self, value: float) -> float:
        """Return where a value stands."""
        wide = WIDTH - _LEFT - _RIGHT
        return _LEFT + wide * (value - self.low) / (self.high - self.low)

    def ticks(self) -> list[float]:
        """Return the round values from end to end."""
        count = round((self.high - self.low) / self.step)
        return [self.low + self.step * at for at in range(count + 1)]


def _grid(axis: _Axis, floor: float) -> list[str]:
    found = []
    for tick in axis.ticks():
        is_zero = abs(tick) < axis.step / 1000
        x = axis.x(tick)
        stroke, wide = (INK, 1.6) if is_zero else (_LINE, 1.0)
        found.append(
            element("line", x1=x, y1=_TOP - 8, x2=x, y2=floor, stroke=stroke, stroke_width=wide)
        )
        label = "0" if is_zero else f"{tick:+.6g}".replace("-", "−")
        found.append(text(label, x, floor + 16, _SMALL, fill=GREY, font_weight=_WEIGHT,
                          text_anchor="middle"))  # fmt: skip
    zero = axis.x(0.0)
    ends = (("closes", zero - 8, "end", axis.low < 0), ("opens", zero + 8, "start", axis.high > 0))
    found += [
        text(word, x, _TOP - 14, _SMALL, fill=GREY, font_weight=_WEIGHT, text_anchor=anchor)
        for word, x, anchor, is_there in ends
        if is_there
    ]
    found.append(text("mm", WIDTH - _RIGHT, floor + 30, _SMALL, fill=GREY, font_weight=_WEIGHT,
                      text_anchor="end"))  # fmt: skip
    return found


def _band(one: OpeningBand, axis: _Axis, y: float) -> str:
    left, right, middle = (axis.x(value) for value in (one.low_mm, one.high_mm, one.typical_mm))
    paint, pale = (ACCENT, _PALE) if one.is_measured else (GREY, WHITE)
    bar = {"x": left, "y": y + 4, "width": max(right - left, 2.0), "height": _BAR}
    inside = [element("rect", **bar, fill=pale, stroke=paint, stroke_width=1.4)]
    if not one.is_measured:
        inside.append(element("rect", **bar, fill=f"url(#{MODELLED.code})"))
    inside += [
        element("line", x1=middle, y1=y, x2=middle, y2=y + _BAR + 8, stroke=INK, stroke_width=3),
        text(one.name, 0, y + 19, _SIZE, fill=INK, font_weight="600"),
        text(one.said, 0 if len(one.said) > 60 else _LEFT, y + 44, _SMALL, fill=INK,
             font_weight=_WEIGHT),
    ]  # fmt: skip
    return group(inside)
