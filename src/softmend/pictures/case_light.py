"""A year's light against each rule's budget: the rule stands on the plot, beside its own bar."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.pictures.hatch import pattern
from softmend.pictures.legend import LegendEntry, Pattern
from softmend.pictures.svg import ACCENT, GREY, INK, WARM, WHITE, document, element, text

WIDTH = 680.0
_LEFT, _RIGHT, _TOP, _ROW, _BAR = 176.0, 16.0, 14.0, 54.0, 16.0
_SIZE, _SMALL, _WEIGHT = 13.0, 11.5, "500"
FALLEN = LegendEntry("case-light-fallen", "fallen this year", Pattern.DIAGONAL, ACCENT)


@dataclass(frozen=True)
class LightBar:
    """One rule: its budget [lx h], what fell this year, what the plan adds, and its words."""

    rule: str
    budget: float
    fallen: float
    planned: float
    said: str


def case_light_svg(bars: Sequence[LightBar]) -> str:
    """Return one bar a rule, each to its own budget; what lies beyond the budget is warm."""
    if not bars:
        raise InputError("There is no budget to draw", allowed="one rule with a budget or more")
    wide = WIDTH - _LEFT - _RIGHT
    inside = [f"<defs>{pattern(FALLEN, FALLEN.code, 0.6)}</defs>"]
    for at, one in enumerate(bars):
        most = max(one.budget, one.fallen + one.planned)
        y = _TOP + _ROW * at

        def x(dose: float, most: float = most) -> float:
            return _LEFT + wide * dose / most

        used = one.fallen + one.planned
        inside += [
            text(one.rule, 0, y + 13, _SIZE, fill=INK, font_weight="600"),
            element("rect", x=_LEFT, y=y, width=x(one.budget) - _LEFT, height=_BAR, fill=WHITE,
                    stroke=GREY, stroke_width=1.2),
            element("rect", x=_LEFT, y=y, width=x(one.fallen) - _LEFT, height=_BAR,
                    fill=f"url(#{FALLEN.code})", stroke="none"),
            element("rect", x=x(one.fallen), y=y, height=_BAR, fill=ACCENT,
                    width=max(0.0, x(min(used, one.budget)) - x(min(one.fallen, one.budget)))),
        ]  # fmt: skip
        if used > one.budget:
            inside.append(
                element("rect", x=x(one.budget), y=y, width=x(used) - x(one.budget), height=_BAR,
                        fill=WARM)
            )  # fmt: skip
        inside += [
            element("line", x1=x(one.budget), y1=y - 4, x2=x(one.budget), y2=y + _BAR + 4,
                    stroke=INK, stroke_width=2.0),
            text(one.said, _LEFT, y + _BAR + 17, _SMALL, fill=INK, font_weight=_WEIGHT),
        ]  # fmt: skip
    return document(WIDTH, case_light_height(bars), inside)


def case_light_height(bars: Sequence[LightBar]) -> float:
    """Return how tall the picture is."""
    return _TOP + _ROW * len(bars) + 4


def case_light_words(bars: Sequence[LightBar]) -> str:
    """Return what the picture shows, for whoever does not see it."""
    return " ".join(one.said for one in bars)
