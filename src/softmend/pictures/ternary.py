"""A still ternary chart of solvents on one named scale; for Workings, never to choose by."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.pictures.svg import ACCENT, GREY, INK, WHITE, document, element, number, text

WIDTH, HEIGHT = 420.0, 400.0
_LEFT, _BOTTOM, _SIDE = 46.0, 356.0, 328.0
_SMALL = 11.0


@dataclass(frozen=True)
class TernaryPoint:
    """One agent: its name and its three fractions, which sum to 100 %."""

    name: str
    dispersion_percent: float
    polar_percent: float
    hydrogen_percent: float


def ternary_svg(points: Sequence[TernaryPoint], scale: str) -> str:
    """Return the chart of agents on one scale; the scale's name stands on it."""
    if not scale.strip():
        raise InputError("A ternary chart names its scale", allowed="calculated, or published")
    inside = [*_frame(), text(f"Scale: {scale}", _LEFT - 40, 18, 12, font_weight="600", fill=INK)]
    for place, one in enumerate(points, 1):
        x, y = place_of(one)
        inside += [
            element("circle", cx=x, cy=y, r=7.5, fill=WHITE, stroke=ACCENT, stroke_width=1.6),
            text(str(place), x, y + 3.8, _SMALL, text_anchor="middle", font_weight="600", fill=INK),
        ]
    return document(WIDTH, HEIGHT, inside)


def ternary_words(points: Sequence[TernaryPoint], scale: str) -> str:
    """Return what the chart shows in words."""
    listed = "; ".join(
        f"{place} {one.name}: {one.dispersion_percent:.0f}/{one.polar_percent:.0f}/"
        f"{one.hydrogen_percent:.0f}"
        for place, one in enumerate(points, 1)
    )
    return f"Fractions of dispersion, polar and hydrogen part, {scale}: {listed}."


def place_of(point: TernaryPoint) -> tuple[float, float]:
    """Return where an agent stands: dispersion grows to the left, hydrogen up, polar right."""
    total = point.dispersion_percent + point.polar_percent + point.hydrogen_percent
    if not math.isclose(total, 100, abs_tol=1.0):
        raise InputError("The three fractions do not make the whole", value=f"{total:g} %")
    up, right = point.hydrogen_percent / total, point.polar_percent / total
    x = _LEFT + _SIDE * (right + up / 2)
    return x, _BOTTOM - _SIDE * math.sqrt(3) / 2 * up


def _frame() -> list[str]:
    top = _BOTTOM - _SIDE * math.sqrt(3) / 2
    found = [
        element("path", d=f"M{number(_LEFT)} {number(_BOTTOM)}H{number(_LEFT + _SIDE)}"
                f"L{number(_LEFT + _SIDE / 2)} {number(top)}Z", fill=WHITE, stroke=INK,
                stroke_width=1.4),
        text("dispersion 100 %", _LEFT - 40, _BOTTOM + 18, 12, font_weight="500", fill=INK),
        text("polar 100 %", _LEFT + _SIDE + 40, _BOTTOM + 18, 12, text_anchor="end",
             font_weight="500", fill=INK),
        text("hydrogen 100 %", _LEFT + _SIDE / 2, top - 8, 12, text_anchor="middle",
             font_weight="500", fill=INK),
    ]  # fmt: skip
    for share in (0.25, 0.5, 0.75):
        for ends in _grid(share):
            (x1, y1), (x2, y2) = ends
            found.append(
                element("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=GREY, stroke_width=0.5,
                        stroke_dasharray="3 3")
            )  # fmt: skip
    return found


def _grid(share: float) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    rest = 100 * (1 - share)
    fixed = 100 * share
    return [
        (_corner(fixed, rest, 0), _corner(fixed, 0, rest)),
        (_corner(rest, fixed, 0), _corner(0, fixed, rest)),
        (_corner(rest, 0, fixed), _corner(0, rest, fixed)),
    ]


def _corner(dispersion: float, polar: float, hydrogen: float) -> tuple[float, float]:
    return place_of(TernaryPoint("", dispersion, polar, hydrogen))
