"""A year of humidity as a hygrograph's pen would leave it: each day from its least to its most.

The print hangs it beside the care sheet; the edges of the band are as wide as the sensor's error.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.pictures.svg import ACCENT, GREY, INK, WARM, WHITE, document, element, group, text

WIDTH, HEIGHT = 720.0, 216.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 40.0, 108.0, 22.0, 34.0
_SMALL, _WEIGHT = 11.5, "500"
_LINE, _EDGE = "#d8d2c5", "#f3ddcf"

Place = Callable[[float], float]


@dataclass(frozen=True)
class StripDay:
    """One day: how many days after the first, the day's least, mean and most [%RH], the month's
    name on its first day.
    """

    at: int
    least: float
    mean: float
    most: float
    month: str = ""


@dataclass(frozen=True)
class Edge:
    """One edge to be seen against: its humidity, how wide it is drawn either side, its words."""

    percent: float
    width: float
    words: str


def year_strip_svg(days: Sequence[StripDay], edges: Sequence[Edge] = ()) -> str:
    """Return the year as a strip; a day without a reading is left blank, never bridged."""
    if not days:
        raise InputError("There is no day to draw", allowed="one day or more")
    last = max(days[-1].at + 1, 30)
    low = min(*(one.least for one in days), *(one.percent - one.width for one in edges), 100)
    high = max(*(one.most for one in days), *(one.percent + one.width for one in edges), 0)
    low, high = 10 * math.floor(low / 10), 10 * math.ceil(high / 10)

    def x(at: float) -> float:
        return _LEFT + (WIDTH - _LEFT - _RIGHT) * at / last

    def y(percent: float) -> float:
        return HEIGHT - _BOTTOM - (HEIGHT - _TOP - _BOTTOM) * (percent - low) / (high - low)

    inside = [
        element("rect", x=_LEFT, y=_TOP, width=x(last) - _LEFT, height=y(low) - _TOP, fill=WHITE,
                stroke=_LINE)
    ]  # fmt: skip
    inside += [_edge_ground(one, x(last), y) for one in edges]
    step = 10 if high - low <= 60 else 20
    for percent in range(int(low), int(high) + 1, step):
        inside.append(
            element("line", x1=_LEFT, y1=y(percent), x2=x(last), y2=y(percent), stroke=_LINE)
        )
        inside.append(_label(str(percent), _LEFT - 7, y(percent) + 4, "end"))
    for one in days:
        if one.month:
            inside.append(
                element("line", x1=x(one.at), y1=_TOP, x2=x(one.at), y2=y(low), stroke=_LINE)
            )
            inside.append(_label(one.month, x(one.at) + 3, HEIGHT - _BOTTOM + 15, "start"))
    wide = max(1.0, (x(1) - x(0)) * 0.8)
    inside += [
        element("line", x1=x(one.at + 0.5), y1=y(one.least) + 0.5, x2=x(one.at + 0.5),
                y2=y(one.most) - 0.5, stroke=ACCENT, stroke_width=wide)
        for one in days
    ]  # fmt: skip
    inside += [
        element("line", x1=x(one.at), y1=y(one.mean), x2=x(one.at + 1), y2=y(one.mean),
                stroke=INK, stroke_width=1.4)
        for one in days
    ]  # fmt: skip
    inside += [_edge_line(one, x(last), y) for one in edges]
    inside.append(_label("%RH", _LEFT - 7, _TOP - 8, "end"))
    return document(WIDTH, HEIGHT, inside)


def year_strip_words(days: Sequence[StripDay]) -> str:
    """Return what the strip shows, for whoever does not see it."""
    if not days:
        return "No day was read."
    driest = min(days, key=lambda one: one.least)
    dampest = max(days, key=lambda one: one.most)
    return (
        f"{len(days)} days of humidity, from {driest.least:.0f} %RH to {dampest.most:.0f} %RH; "
        "the stroke in each day is its mean."
    )


def _edge_ground(one: Edge, right: float, y: Place) -> str:
    top, bottom = y(one.percent + one.width), y(one.percent - one.width)
    return element(
        "rect", x=_LEFT, y=top, width=right - _LEFT, height=max(bottom - top, 0.5), fill=_EDGE
    )


def _edge_line(one: Edge, right: float, y: Place) -> str:
    at = y(one.percent)
    return group(
        [
            element("line", x1=_LEFT, y1=at, x2=right, y2=at, stroke=WARM, stroke_width=1.6,
                    stroke_dasharray="7 4"),
            text(one.words, right + 6, at + 4, _SMALL, fill=WARM, font_weight="600"),
        ]
    )  # fmt: skip


def _label(content: str, x: float, y: float, anchor: str) -> str:
    return text(content, x, y, _SMALL, fill=GREY, font_weight=_WEIGHT, text_anchor=anchor)
