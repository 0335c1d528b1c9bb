"""What an object goes through in each plan: from driest to dampest, in the air, surface and core.

A bar runs from the driest to the dampest moment of a typical case and object; its thin ends run as
far as slow, fast, leaky and tight ones go. Page and print draw the same picture.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.pictures.hatch import pattern
from softmend.pictures.legend import LegendEntry, Pattern
from softmend.pictures.svg import ACCENT, GREY, INK, WARM, document, element, group, text

WIDTH = 680.0
_LEFT, _RIGHT, _TOP, _TITLE, _ROW, _BAR = 128.0, 62.0, 30.0, 26.0, 24.0, 11.0
_SIZE, _SMALL, _WEIGHT = 13.0, 11.5, "500"
_LINE, _PALE = "#d8d2c5", "#c6dadb"
OUTSIDE = LegendEntry("case-outside", "outside", Pattern.DIAGONAL, WARM)

Place = Callable[[float], float]


@dataclass(frozen=True)
class Through:
    """One place of the object in one plan [%RH]: least and most, each low, typical and high."""

    name: str
    least: tuple[float, float, float]
    most: tuple[float, float, float]


@dataclass(frozen=True)
class PlanBars:
    """One plan and the places of the object in it."""

    title: str
    rows: tuple[Through, ...]


def case_bands_svg(
    plans: Sequence[PlanBars], low_limit: float, high_limit: float, sensor: float
) -> str:
    """Return the plans on one axis of humidity; a limit is as wide as the sensor's error."""
    if not any(one.rows for one in plans):
        raise InputError("There is nothing to draw of a case", allowed="one plan or more")
    height = case_bands_height(plans)
    floor = height - 30
    ends = [value for one in plans for row in one.rows for value in (*row.least, *row.most)]
    low = min(*ends, low_limit - sensor) - 2
    high = max(*ends, high_limit + sensor) + 2
    low, high = max(0.0, 10 * (low // 10)), min(100.0, -10 * (-high // 10))

    def x(value: float) -> float:
        return _LEFT + (WIDTH - _LEFT - _RIGHT) * (value - low) / (high - low)

    inside = [f"<defs>{pattern(OUTSIDE, OUTSIDE.code, 0.55)}</defs>"]
    tick = low
    while tick <= high + 1e-9:
        inside.append(
            element("line", x1=x(tick), y1=_TOP - 6, x2=x(tick), y2=floor, stroke=_LINE,
                    stroke_width=1.0)
        )  # fmt: skip
        inside.append(_label(f"{tick:.0f}", x(tick), floor + 15))
        tick += 10
    inside.append(_label("%RH", WIDTH - _RIGHT + 32, floor + 15))
    for limit in (low_limit, high_limit):
        inside.append(
            element("rect", x=x(limit - sensor), y=_TOP - 6, height=floor - _TOP + 6,
                    width=x(limit + sensor) - x(limit - sensor), fill=f"url(#{OUTSIDE.code})",
                    stroke="none")
        )  # fmt: skip
        inside.append(
            element("line", x1=x(limit), y1=_TOP - 6, x2=x(limit), y2=floor, stroke=WARM,
                    stroke_width=1.6)
        )  # fmt: skip
        inside.append(
            text(f"{limit:g} ± {sensor:g}", x(limit), _TOP - 13, _SMALL, fill=WARM,
                 font_weight="600", text_anchor="middle")
        )  # fmt: skip
    y = _TOP
    for one in plans:
        inside.append(text(one.title, 0, y + 16, _SIZE, fill=INK, font_weight="600"))
        y += _TITLE
        for row in one.rows:
            inside.append(_row(row, y, x))
            y += _ROW
    return document(WIDTH, height, inside)


def case_bands_height(plans: Sequence[PlanBars]) -> float:
    """Return how tall the picture is."""
    return _TOP + sum(_TITLE + _ROW * len(one.rows) for one in plans) + 36


def case_bands_words(plans: Sequence[PlanBars]) -> str:
    """Return what the picture shows, for whoever does not see it."""
    return " ".join(
        f"{one.title}: {row.name} {row.least[1]:.0f} to {row.most[1]:.0f} %RH."
        for one in plans
        for row in one.rows
    )


def _row(row: Through, y: float, x: Place) -> str:
    left, right = x(row.least[1]), x(row.most[1])
    far_left, far_right = x(row.least[0]), x(row.most[2])
    middle = y + _BAR / 2 + 4
    inside = [
        text(row.name, 12, y + 14, _SMALL, fill=INK, font_weight=_WEIGHT),
        element("line", x1=far_left, y1=middle, x2=far_right, y2=middle, stroke=ACCENT,
                stroke_width=1.6),
        element("line", x1=far_left, y1=middle - 4, x2=far_left, y2=middle + 4, stroke=ACCENT,
                stroke_width=1.6),
        element("line", x1=far_right, y1=middle - 4, x2=far_right, y2=middle + 4, stroke=ACCENT,
                stroke_width=1.6),
        element("rect", x=left, y=y + 4, width=max(right - left, 1.5), height=_BAR, fill=_PALE,
                stroke=ACCENT, stroke_width=1.4),
        text(f"{row.least[1]:.0f}–{row.most[1]:.0f}", WIDTH, y + 14, _SMALL, fill=INK,
             font_weight="600", text_anchor="end"),
    ]  # fmt: skip
    return group(inside)


def _label(content: str, x: float, y: float) -> str:
    return text(content, x, y, _SMALL, fill=GREY, font_weight=_WEIGHT, text_anchor="middle")
