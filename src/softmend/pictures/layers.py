"""A coating on its layers, to scale: at each plane the energy that pulls and the hold against it.

Energy and hold differ by hatch, not by colour alone; what the picture shows is also said in words.
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
from softmend.science.digits import few_digits

WIDTH = 720.0
_STACK, _TOP, _DEEP = 168.0, 34.0, 210.0
_LEFT, _RIGHT, _ROW = 236.0, 704.0, 78.0
_SIZE, _SMALL, _WEIGHT, _STRONG = 12.5, 11.0, "500", "600"
_LINE, _COAT, _LAYER = "#d8d2c5", "#cfe1e3", "#e6d9b8"
_BODY_SHARE = 0.45
_BAR_STEPS_UM = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000)
ENERGY = LegendEntry("layers-energy", "energy", Pattern.DIAGONAL, WARM)


@dataclass(frozen=True)
class DrawnLayer:
    """One layer as it is drawn: its name and its thickness in µm; the body has none."""

    name: str
    thickness_um: float | None
    said: str = ""


@dataclass(frozen=True)
class PlaneBands:
    """One plane: the bands of energy and hold in J/m², and what is said of it."""

    name: str
    energy: tuple[float, float, float]
    hold: tuple[float, float, float]
    said: str
    is_weakest: bool


def layers_svg(layers: Sequence[DrawnLayer], planes: Sequence[PlaneBands]) -> str:
    """Return the stack to scale with a row for each plane, top to bottom, on one log axis."""
    if len(planes) != len(layers) or len(layers) < 2:
        raise InputError(
            "A stack needs a coating, a body, and a plane for each",
            value=f"{len(layers)} layers, {len(planes)} planes",
        )
    axis = _Axis(planes)
    floor = _floor(planes)
    stack = _Stack(layers, floor)
    inside = [f"<defs>{pattern(ENERGY, ENERGY.code, 0.7)}</defs>", *stack.drawn()]
    inside += axis.drawn(floor)
    for at, one in enumerate(planes):
        y = _TOP + _ROW * at
        inside.append(_leader(stack.plane_y(at), y + 30))
        inside.append(_row(one, axis, y))
    return document(WIDTH, floor + 46, inside)


def layers_size(planes: Sequence[PlaneBands]) -> tuple[float, float]:
    """Return how wide and how high the picture of a stack is, in its own units."""
    return WIDTH, _floor(planes) + 46


def _floor(planes: Sequence[PlaneBands]) -> float:
    return max(_TOP + _ROW * len(planes), _TOP + _DEEP)


def layers_words(layers: Sequence[DrawnLayer], planes: Sequence[PlaneBands]) -> str:
    """Return what the picture shows, for whoever does not see it."""
    stack = ", ".join(f"{one.name} {one.said}".strip() for one in layers)
    rows = " ".join(
        f"{one.name}: energy {_band(one.energy)}, hold {_band(one.hold)} J/m²; {one.said}."
        for one in planes
    )
    return f"Layers to scale, top to bottom: {stack}. {rows}"


class _Stack:
    """The layers from the top down, in one scale."""

    def __init__(self, layers: Sequence[DrawnLayer], floor: float) -> None:
        self.layers, self.floor = layers, floor
        known = [one.thickness_um or 0.0 for one in layers[:-1]]
        self.px_per_um = (floor - _TOP) * (1 - _BODY_SHARE) / max(sum(known), 1e-9)
        self.tops = [_TOP]
        for thickness in known:
            self.tops.append(self.tops[-1] + thickness * self.px_per_um)

    def plane_y(self, at: int) -> float:
        """Return where a plane lies: under each layer, the last one inside the body."""
        if at < len(self.layers) - 1:
            return self.tops[at + 1]
        return (self.tops[-1] + self.floor) / 2

    def drawn(self) -> list[str]:
        """Return the layers, their names beside those that are too thin to hold them."""
        fills = [_COAT, *[_LAYER] * (len(self.layers) - 2), OBJECT]
        ends = [*self.tops[1:], self.floor]
        found = []
        for one, fill, top, end in zip(self.layers, fills, self.tops, ends, strict=True):
            box = {"x": 0.0, "y": top, "width": _STACK, "height": max(end - top, 1.5)}
            found.append(element("rect", **box, fill=fill, stroke=INK, stroke_width=1.2))
            room = end - top
            size = _SIZE if room >= 36 else _SMALL
            y = (top + end) / 2 + (0 if room >= 36 else 4)
            label = one.name if room >= 36 or not one.said else f"{one.name} · {one.said}"
            if room >= 15:
                found.append(text(label, 10, y, size, fill=INK, font_weight=_STRONG))
            if room >= 36 and one.said:
                found.append(text(one.said, 10, y + 16, _SMALL, fill=INK, font_weight=_WEIGHT))
        return [*found, self._bar()]

    def _bar(self) -> str:
        fits = [one for one in _BAR_STEPS_UM if one * self.px_per_um <= self.floor - _TOP - 30]
        length = fits[-1] if fits else _BAR_STEPS_UM[0]
        x, y = _STACK - 14, self.floor - 8
        top = y - length * self.px_per_um
        path = f"M{number(x - 4)} {number(top)}h8m-4 0V{number(y)}m-4 0h8"
        return group(
            [
                element("path", d=path, fill="none", stroke=INK, stroke_width=1.6),
                text(f"{length} µm", x - 8, self.floor - 12, _SMALL, fill=INK, font_weight=_WEIGHT,
                     text_anchor="end"),
            ]
        )  # fmt: skip


class _Axis:
    """Energies by area on one logarithmic axis, whole decades."""

    def __init__(self, planes: Sequence[PlaneBands]) -> None:
        points = [point for one in planes for point in (*one.energy, *one.hold) if point > 0]
        low, high = (min(points), max(points)) if points else (0.1, 10.0)
        self.low = math.floor(math.log10(max(low, 1e-4)) + 1e-9)
        self.high = max(math.ceil(math.log10(high) - 1e-9), self.low + 1)

    def x(self, value: float) -> float:
        """Return where an energy stands; what is below the axis stands at its end."""
        at = math.log10(max(value, 10.0**self.low))
        return _LEFT + (_RIGHT - _LEFT) * (at - self.low) / (self.high - self.low)

    def drawn(self, floor: float) -> list[str]:
        """Return the decades with their values."""
        found = []
        for decade in range(self.low, self.high + 1):
            x = self.x(10.0**decade)
            found.append(element("line", x1=x, y1=_TOP - 4, x2=x, y2=floor, stroke=_LINE))
            found.append(text(f"{10.0**decade:.6g}", x, floor + 16, _SMALL, fill=GREY,
                              font_weight=_WEIGHT, text_anchor="middle"))  # fmt: skip
        said = "J/m², each step ten times as much"
        found.append(text(said, _RIGHT, floor + 34, _SMALL, fill=GREY, font_weight=_WEIGHT,
                          text_anchor="end"))  # fmt: skip
        return found


def _leader(start: float, end: float) -> str:
    path = f"M{number(_STACK)} {number(start)}L{number(_STACK + 34)} {number(end)}H{_LEFT - 8:g}"
    return element("path", d=path, fill="none", stroke=GREY, stroke_width=1.2)


def _row(one: PlaneBands, axis: _Axis, y: float) -> str:
    inside = [text(f"{one.name}: {one.said}", _LEFT, y + 12, _SIZE, fill=INK, font_weight=_STRONG)]
    rows = (
        (one.energy, 20.0, "pulls", WARM, f"url(#{ENERGY.code})", WHITE),
        (one.hold, 40.0, "holds", ACCENT, "", "#c6dadb"),
    )
    for (low, typical, high), down, word, paint, hatch, pale in rows:
        left, right = axis.x(low), axis.x(high)
        box = {"x": left, "y": y + down, "width": max(right - left, 3.0), "height": 14.0}
        inside.append(element("rect", **box, fill=pale, stroke=paint, stroke_width=1.3))
        if hatch:
            inside.append(element("rect", **box, fill=hatch))
        middle = axis.x(typical)
        stroke = {"x1": middle, "y1": y + down - 2, "x2": middle, "y2": y + down + 16}
        inside.append(element("line", **stroke, stroke=INK, stroke_width=2.6))
        is_roomy = right < _RIGHT - 44
        x, anchor = (right + 6, "start") if is_roomy else (left - 6, "end")
        name = text(word, x, y + down + 11, _SMALL, fill=paint, font_weight=_STRONG,
                    text_anchor=anchor)  # fmt: skip
        inside.append(name)
    if one.is_weakest:
        box = {"x": _LEFT - 8, "y": y - 3, "width": 3.0, "height": _ROW - 16}
        inside.append(element("rect", **box, fill=WARM))
    return group(inside)


def _band(band: tuple[float, float, float]) -> str:
    low, typical, high = (few_digits(point) for point in band)
    return f"{typical} ({low} to {high})"
