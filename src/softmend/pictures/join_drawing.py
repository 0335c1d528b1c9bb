"""A join from the side, to scale: the piece, its weight at its arm, the edge that opens first.

Beside it three strengths on one axis: what the weight asks for, the bond's, the object's own.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.pictures.hatch import pattern
from softmend.pictures.legend import LegendEntry, Pattern
from softmend.pictures.svg import (
    ACCENT,
    GREY,
    INK,
    OBJECT,
    WARM,
    WHITE,
    document,
    element,
    group,
    number,
    text,
)

WIDTH, HEIGHT = 720.0, 268.0
_SIDE, _MIDDLE = 300.0, 122.0
_LEFT, _RIGHT, _TOP, _ROW = 344.0, 704.0, 44.0, 58.0
_SIZE, _SMALL, _WEIGHT, _STRONG = 12.5, 11.0, "500", "600"
_LINE, _PIECE = "#d8d2c5", "#e6d9b8"
_BAR_STEPS_MM = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
ASKED = LegendEntry("join-asked", "asked", Pattern.DIAGONAL, WARM)

Band = tuple[float, float, float]


@dataclass(frozen=True)
class StrengthBand:
    """One strength in MPa: its 5, 50 and 95 % points, its name and its printed text."""

    name: str
    band: Band
    said: str
    is_asked: bool = False


@dataclass(frozen=True)
class JoinDrawing:
    """A join as it is drawn: sizes in mm, the angle of the piece below the horizontal, texts."""

    arm_mm: float
    height_mm: float
    hang_degrees: float
    weight_said: str
    arm_said: str
    strengths: tuple[StrengthBand, ...]


def join_svg(drawn: JoinDrawing) -> str:
    """Return the join from the side and its strengths as an SVG."""
    if not (drawn.height_mm > 0 and drawn.arm_mm >= 0):
        raise InputError("A join without a height has no drawing", value=f"{drawn.height_mm:g} mm")
    side = _Side(drawn)
    inside = [f"<defs>{pattern(ASKED, ASKED.code, 0.7)}</defs>", *side.drawn()]
    if drawn.strengths:
        axis = _Axis(drawn.strengths)
        inside += axis.drawn(_TOP + _ROW * len(drawn.strengths))
        for at, one in enumerate(drawn.strengths):
            inside.append(_row(one, axis, _TOP + _ROW * at))
    return document(WIDTH, HEIGHT, inside)


def join_words(drawn: JoinDrawing) -> str:
    """Return what the picture shows, for whoever does not see it."""
    angle = drawn.hang_degrees
    if angle > 75:
        how = "hangs down"
    elif angle < -75:
        how = "stands on its joint"
    else:
        how = f"points {abs(angle):.0f}° {'below' if angle >= 0 else 'above'} the horizontal"
    strengths = " ".join(f"{one.name}: {one.said}." for one in drawn.strengths)
    return (
        f"The join from the side, to scale: a piece of {drawn.weight_said} {how}, its centre of "
        f"mass {drawn.arm_said} from the joint, which is {drawn.height_mm:.3g} mm high. {strengths}"
    ).strip()


class _Side:
    """The piece and its joint from the side, in one scale."""

    def __init__(self, drawn: JoinDrawing) -> None:
        self.drawn_as = drawn
        angle = math.radians(drawn.hang_degrees)
        self.along = (math.cos(angle), math.sin(angle))
        self.across = (-self.along[1], self.along[0])
        self.length = max(1.8 * drawn.arm_mm, 0.6 * drawn.height_mm)
        # The object behind the joint is drawn nearly twice as high as the joint.
        level, upright = abs(self.along[0]), abs(self.along[1])
        wide = level * self.length + upright * 1.9 * drawn.height_mm
        tall = upright * self.length + level * 1.9 * drawn.height_mm
        self.px = min(0.62 * _SIDE / wide, 0.62 * HEIGHT / tall)
        reach = self.length * self.px / 2
        self.joint = (
            _SIDE / 2 - self.along[0] * (reach - 18),
            _MIDDLE - self.along[1] * (reach - 18),
        )

    def at(self, along_mm: float, across_mm: float) -> tuple[float, float]:
        """Return a place by its distances from the middle of the joint."""
        x = self.joint[0] + self.px * (along_mm * self.along[0] + across_mm * self.across[0])
        y = self.joint[1] + self.px * (along_mm * self.along[1] + across_mm * self.across[1])
        return x, y

    def drawn(self) -> list[str]:
        """Return object, piece, glue line, weight and the edge that opens first."""
        drawn = self.drawn_as
        half = drawn.height_mm / 2
        back = 34 / self.px
        body = [(0, -1.5 * half), (0, 1.5 * half), (-back, 1.9 * half), (-back, -1.9 * half)]
        piece = [(0, -half), (self.length, -0.72 * half), (self.length, 0.72 * half), (0, half)]
        centre = self.at(drawn.arm_mm, 0)
        found = [
            self._shape(body, OBJECT),
            self._shape(piece, _PIECE),
            self._line((0, -half), (0, half), ACCENT, 4.5),
            element("circle", cx=centre[0], cy=centre[1], r=4.5, fill=INK),
            _arrow(centre, 40.0),
            text(drawn.weight_said, centre[0] + 8, centre[1] + 42, _SMALL, fill=INK,
                 font_weight=_STRONG),
            self._arm(half),
        ]  # fmt: skip
        if abs(drawn.hang_degrees) < 85 and drawn.arm_mm > 0:
            edge = self.at(0, -half)
            found.append(element("circle", cx=edge[0], cy=edge[1], r=8, fill="none", stroke=WARM,
                                 stroke_width=2.4))  # fmt: skip
        return [*found, self._bar()]

    def _shape(self, places: Sequence[tuple[float, float]], fill: str) -> str:
        points = [self.at(*place) for place in places]
        line = "L".join(f"{number(x)} {number(y)}" for x, y in points)
        return element("path", d=f"M{line}Z", fill=fill, stroke=INK, stroke_width=1.2)

    def _line(
        self, start: tuple[float, float], end: tuple[float, float], paint: str, width: float
    ) -> str:
        (x1, y1), (x2, y2) = self.at(*start), self.at(*end)
        return element("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=paint, stroke_width=width)

    def _arm(self, half: float) -> str:
        off = -half - 12 / self.px
        x, y = self.at(self.drawn_as.arm_mm / 2, off)
        # The label stands clear of the piece: above it, or on the open side of a steep arm.
        anchor, y = "middle", y - 7
        if abs(self.along[1]) > 0.3:
            open_side = 1 if self.along[1] > 0 else -1
            x, y, anchor = x + 10 * open_side, y + 5, "start" if open_side > 0 else "end"
        return group(
            [
                self._line((0, off), (self.drawn_as.arm_mm, off), GREY, 1.4),
                text(self.drawn_as.arm_said, x, y, _SMALL, fill=GREY, font_weight=_WEIGHT,
                     text_anchor=anchor),
            ]
        )  # fmt: skip

    def _bar(self) -> str:
        fits = [one for one in _BAR_STEPS_MM if one * self.px <= 90]
        length = fits[-1] if fits else _BAR_STEPS_MM[0]
        y, x = HEIGHT - 12, 10.0
        path = f"M{number(x)} {number(y - 4)}v8m0 -4H{number(x + length * self.px)}m0 -4v8"
        label = text(f"{length} mm", x + length * self.px + 8, y + 4, _SMALL, fill=INK,
                     font_weight=_WEIGHT)  # fmt: skip
        return group([element("path", d=path, fill="none", stroke=INK, stroke_width=1.6), label])


class _Axis:
    """Strengths on one logarithmic axis, whole decades."""

    def __init__(self, strengths: Sequence[StrengthBand]) -> None:
        points = [point for one in strengths for point in one.band if point > 0] or [0.1, 10.0]
        self.low = math.floor(math.log10(max(min(points), 1e-5)) + 1e-9)
        self.high = max(math.ceil(math.log10(max(points)) - 1e-9), self.low + 1)

    def x(self, value: float) -> float:
        """Return where a strength stands; what is below the axis stands at its end."""
        at = math.log10(max(value, 10.0**self.low))
        return _LEFT + (_RIGHT - _LEFT) * (at - self.low) / (self.high - self.low)

    def drawn(self, floor: float) -> list[str]:
        """Return the decades with their values."""
        found = []
        step = 2 if self.high - self.low > 6 else 1
        for decade in range(self.low, self.high + 1, step):
            x = self.x(10.0**decade)
            found.append(element("line", x1=x, y1=_TOP - 12, x2=x, y2=floor, stroke=_LINE))
            found.append(text(f"{10.0**decade:.6g}", x, floor + 16, _SMALL, fill=GREY,
                              font_weight=_WEIGHT, text_anchor="middle"))  # fmt: skip
        said = "MPa, each step ten times as much"
        found.append(text(said, _RIGHT, floor + 34, _SMALL, fill=GREY, font_weight=_WEIGHT,
                          text_anchor="end"))  # fmt: skip
        return found


def _arrow(start: tuple[float, float], length: float) -> str:
    x, y = start
    head = f"M{number(x)} {number(y + length)}l-5 -9h10Z"
    return group(
        [
            element("line", x1=x, y1=y, x2=x, y2=y + length - 8, stroke=WARM, stroke_width=2.6),
            element("path", d=head, fill=WARM),
        ]
    )


def _row(one: StrengthBand, axis: _Axis, y: float) -> str:
    left, right, middle = axis.x(one.band[0]), axis.x(one.band[2]), axis.x(one.band[1])
    paint, pale = (WARM, WHITE) if one.is_asked else (ACCENT, "#c6dadb")
    box = {"x": left, "y": y + 16, "width": max(right - left, 3.0), "height": 15.0}
    stroke = {"x1": middle, "y1": y + 13, "x2": middle, "y2": y + 34}
    inside = [
        text(f"{one.name}: {one.said}", _LEFT, y + 8, _SIZE, fill=INK, font_weight=_STRONG),
        element("rect", **box, fill=pale, stroke=paint, stroke_width=1.3),
    ]
    if one.is_asked:
        inside.append(element("rect", **box, fill=f"url(#{ASKED.code})"))
    inside.append(element("line", **stroke, stroke=INK, stroke_width=2.6))
    return group(inside)
