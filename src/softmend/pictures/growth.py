"""How far cracks opened over the dates, and the humidity of the same days beside it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from softmend.errors import InputError
from softmend.pictures.svg import ACCENT, GREY, INK, WHITE, document, element, text

WIDTH, HEIGHT = 760.0, 330.0
_LEFT, _RIGHT, _TOP, _FLOOR = 56.0, 60.0, 34.0, 196.0
_AIR_TOP, _AIR_FLOOR = 234.0, 296.0
_SMALL, _WEIGHT, _TICKS = 12.0, "500", 5
_LINE, _PALE = "#d8d2c5", "#ece9e1"
_X = Callable[[date], float]
_Y = Callable[[float], float]
_DASHES = ("", "7 4", "2 4", "10 3 2 3")


@dataclass(frozen=True)
class GrowthPoint:
    """One opening (+) or closing (-) since the first date, with ±; open where below the floor."""

    on: str
    opened_mm: float
    expanded_mm: float
    is_shown: bool


@dataclass(frozen=True)
class GrowthLine:
    """One mark over the dates."""

    number: int
    points: tuple[GrowthPoint, ...]


@dataclass(frozen=True)
class Growth:
    """Marks since a first date; the floor that a change must pass; humidity, None not known."""

    first_on: str
    lines: tuple[GrowthLine, ...]
    floor_mm: float
    air: tuple[tuple[str, float | None], ...]


def growth_svg(growth: Growth) -> str:
    """Return openings above, humidity below, on one axis of dates."""
    if not growth.lines:
        raise InputError("There is no opening to draw", allowed="one mark or more")
    days = sorted({_day(growth.first_on), *(_day(one.on) for one in _points(growth))})
    span = max((days[-1] - days[0]).days, 1)
    ends = [abs(one.opened_mm) + one.expanded_mm for one in _points(growth)]
    top = 1.1 * max([growth.floor_mm, *ends, 1e-6])

    def x(day: date) -> float:
        return _LEFT + (WIDTH - _LEFT - _RIGHT) * (day - days[0]).days / span

    def y(opened: float) -> float:
        return (_TOP + _FLOOR) / 2 - (_FLOOR - _TOP) / 2 * opened / top

    inside = [
        element("rect", x=_LEFT, y=y(growth.floor_mm), width=WIDTH - _LEFT - _RIGHT,
                height=y(-growth.floor_mm) - y(growth.floor_mm), fill=_PALE),
        _label("opened since the first date, mm", 2, 16, "start"),
    ]  # fmt: skip
    for tick in _ticks(top):
        inside.append(_rule(y(tick), INK if tick == 0 else _LINE))
        inside.append(_label(_signed(tick), _LEFT - 7, y(tick) + 4, "end"))
    for at, line in enumerate(growth.lines):
        inside += _line(line, _day(growth.first_on), x, y, _DASHES[at % len(_DASHES)])
    inside += _air(growth, x)
    for day in days:
        anchor = "start" if day == days[0] else "end" if day == days[-1] else "middle"
        inside.append(_label(day.isoformat(), x(day), HEIGHT - 10, anchor))
    return document(WIDTH, HEIGHT, inside)


def growth_words(growth: Growth) -> str:
    """Return what the drawing shows, for whoever does not see it."""
    said = [
        f"Mark {line.number} on {one.on}: {_signed(round(one.opened_mm, 3))} mm"
        f"{'' if one.is_shown else ', below the floor'}"
        for line in growth.lines
        for one in line.points
    ]
    return f"Opened since {growth.first_on}. {'; '.join(said)}."


def _points(growth: Growth) -> list[GrowthPoint]:
    return [one for line in growth.lines for one in line.points]


def _line(line: GrowthLine, first: date, x: _X, y: _Y, dashes: str) -> list[str]:
    places = [(x(first), y(0.0)), *((x(_day(one.on)), y(one.opened_mm)) for one in line.points)]
    path = "M" + "L".join(f"{a:.1f},{b:.1f}" for a, b in places)
    stroke = {"stroke_dasharray": dashes} if dashes else {}
    found = [element("path", d=path, fill="none", stroke=ACCENT, stroke_width=1.8, **stroke)]
    for one, (left, middle) in zip(line.points, places[1:], strict=True):
        low, high = y(one.opened_mm - one.expanded_mm), y(one.opened_mm + one.expanded_mm)
        found.append(element("line", x1=left, y1=low, x2=left, y2=high, stroke=INK,
                             stroke_width=1.2))  # fmt: skip
        fill = ACCENT if one.is_shown else WHITE
        found.append(element("circle", cx=left, cy=middle, r=4.5, fill=fill, stroke=ACCENT,
                             stroke_width=1.8))  # fmt: skip
    left, middle = places[-1]
    found.append(_label(f"mark {line.number}", left + 9, middle + 4, "start"))
    return found


def _air(growth: Growth, x: _X) -> list[str]:
    found = [_label("relative humidity, %", 2, _AIR_TOP - 10, "start")]
    known = [(_day(on), value) for on, value in growth.air if value is not None]

    def y(percent: float) -> float:
        return _AIR_FLOOR - (_AIR_FLOOR - _AIR_TOP) * percent / 100

    for tick in (0, 50, 100):
        found.append(_rule(y(tick), _LINE))
        found.append(_label(f"{tick}", _LEFT - 7, y(tick) + 4, "end"))
    if not known:
        found.append(_label("not known at these dates", _LEFT + 8, y(50) - 5, "start"))
        return found
    path = "M" + "L".join(f"{x(day):.1f},{y(value):.1f}" for day, value in known)
    found.append(element("path", d=path, fill="none", stroke=GREY, stroke_width=1.6))
    for day, value in known:
        found.append(element("rect", x=x(day) - 4, y=y(value) - 4, width=8, height=8, fill=GREY))
        found.append(_label(f"{value:g}", x(day) + 9, y(value) - 6, "start"))
    return found


def _rule(y: float, stroke: str) -> str:
    return element("line", x1=_LEFT, y1=y, x2=WIDTH - _RIGHT, y2=y, stroke=stroke)


def _label(words: str, x: float, y: float, anchor: str) -> str:
    return text(words, x, y, _SMALL, fill=GREY, font_weight=_WEIGHT, text_anchor=anchor)


def _ticks(top: float) -> list[float]:
    step = 10.0 ** math.floor(math.log10(2 * top / _TICKS))
    step = next(step * many for many in (1, 2, 5, 10) if 2 * top / (step * many) <= _TICKS)
    count = int(top / step)
    return [round(step * at, 6) for at in range(-count, count + 1)]


def _signed(value: float) -> str:
    return "0" if value == 0 else f"{value:+g}".replace("-", "−")


def _day(text_of_day: str) -> date:
    try:
        return date.fromisoformat(text_of_day[:10])
    except ValueError as wrong:
        raise InputError(
            "This is not a day that can be drawn", value=text_of_day, allowed="such as 2026-01-10"
        ) from wrong
