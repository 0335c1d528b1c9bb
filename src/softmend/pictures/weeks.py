"""The weeks of a plan as bars: work, drying and waiting each in its own hatch, bands of 5 to 95 %.

Page and print draw the same picture; a table beside it says the same in words.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from softmend.errors import InputError
from softmend.pictures.hatch import pattern
from softmend.pictures.legend import LegendEntry, Pattern
from softmend.pictures.svg import (
    ACCENT,
    GREY,
    INK,
    WARM,
    WHITE,
    document,
    element,
    group,
    text,
    text_width,
)

_WIDTH, _NAMES = 720.0, 188.0
_ROW, _BAR = 31.0, 13.0
_TOP, _SIZE, _SMALL = 26.0, 11.0, 9.5
# At 400 the print sets the variable face in its default cut, which is far too light.
_WEIGHT = "500"
_MOST_TICKS = 10
_WEEK_STEPS = (1, 2, 4, 8, 13, 26, 52, 104, 208)
_PALE, _LINE = "#d5e2e2", "#d8d2c5"
_DAYS_A_WEEK = 7.0
_ALL_DONE = "All of it"
# A deadline that lies this much later than the latest end would squeeze the work to a sliver:
# then the axis is cut once, and the cut says how many weeks it leaves out.
_FAR, _BEYOND, _CUT = 1.6, 118.0, 7.0

WAITS = {
    "drying": LegendEntry("drying", "drying", Pattern.DOTS, INK),
    "consent": LegendEntry("consent", "waiting for consent", Pattern.DIAGONAL, WARM),
    "other": LegendEntry("other", "waiting", Pattern.HORIZONTAL, GREY),
}


@dataclass(frozen=True)
class Span:
    """The 5, 50 and 95 % points of a moment, in days from the first morning."""

    low: float
    typical: float
    high: float


@dataclass(frozen=True)
class WeekBar:
    """One task: when it starts and ends, when its wait ends, and what is waited for ("" none)."""

    name: str
    start: Span
    end: Span
    wait_end: Span
    wait: str = ""


@dataclass(frozen=True)
class Weeks:
    """A plan as it is drawn: its first day, the day it is wanted by ("" none), and its bars."""

    start_on: str
    wanted_on: str
    end: Span
    bars: tuple[WeekBar, ...]


def weeks_of(inputs: Mapping[str, Any], outputs: Mapping[str, Any]) -> Weeks:
    """Return what effort.finish was asked and answered as a picture's content."""
    start_on = str(inputs["start_on"])
    ends = [_days(start_on, outputs[f"{point}_on"]) + 1.0 for point in ("early", "middle", "late")]
    return Weeks(
        start_on=start_on,
        wanted_on=str(inputs.get("wanted_on") or ""),
        end=Span(*ends),
        bars=tuple(
            WeekBar(
                name=bar["name"],
                start=_span(bar["start"]),
                end=_span(bar["end"]),
                wait_end=_span(bar["wait_end"]),
                wait=bar["wait"],
            )
            for bar in outputs["bars"]
        ),
    )


def weeks_size(weeks: Weeks) -> tuple[float, float]:
    """Return how wide and how high the picture of a plan is, in its own units."""
    return _WIDTH, _floor(weeks) + 28


def _floor(weeks: Weeks) -> float:
    return _TOP + _ROW * (len(weeks.bars) + 1)


def weeks_svg(weeks: Weeks) -> str:
    """Return the plan as an SVG, 720 units wide and as high as it has tasks.

    A deadline far behind the latest end is drawn behind a cut in the axis that says its length.
    """
    if not weeks.bars:
        raise InputError("A plan without a task has no picture", remedy="Choose a task")
    wanted = _days(weeks.start_on, weeks.wanted_on) + 1.0 if weeks.wanted_on else 0.0
    work = max(weeks.end.high, *(bar.wait_end.high for bar in weeks.bars), _DAYS_A_WEEK)
    is_far = wanted > work * _FAR
    axis = _Axis(work * 1.02, _BEYOND) if is_far else _Axis(max(work, wanted) * 1.02)
    floor = _floor(weeks)
    inside = [_patterns(weeks.bars), *_grid(axis, weeks.start_on, floor)]
    for row, bar in enumerate(weeks.bars):
        inside.append(_row(axis, bar, _TOP + _ROW * row))
    inside.append(_all_done(axis, weeks.end, floor - _ROW))
    if is_far:
        inside.append(_wanted_far(axis, wanted, weeks.wanted_on, floor))
    elif weeks.wanted_on:
        inside.append(_wanted(axis, wanted, weeks.wanted_on, floor))
    inside.append(_key(weeks, floor + 16))
    return document(*weeks_size(weeks), inside)


@dataclass(frozen=True)
class _Axis:
    """Days from the first morning to places on the picture; `beyond` is kept free at its end."""

    days: float
    beyond: float = 6.0

    def x(self, day: float) -> float:
        """Return how far right a day lies."""
        return _NAMES + (_WIDTH - _NAMES - self.beyond) * day / self.days

    @property
    def end(self) -> float:
        """Return how far right the last day of the axis lies."""
        return self.x(self.days)


def _days(start_on: str, day: Any) -> float:
    return float((date.fromisoformat(str(day)) - date.fromisoformat(start_on)).days)


def _span(band: Mapping[str, float]) -> Span:
    return Span(band["low_days"], band["typical_days"], band["high_days"])


def _patterns(bars: Sequence[WeekBar]) -> str:
    used = [WAITS[name] for name in WAITS if any(bar.wait == name for bar in bars)]
    return f"<defs>{''.join(pattern(entry, _pattern_name(entry), 0.75) for entry in used)}</defs>"


def _pattern_name(entry: LegendEntry) -> str:
    return f"weeks-{entry.code}"


def _grid(axis: _Axis, start_on: str, floor: float) -> list[str]:
    weeks = axis.days / _DAYS_A_WEEK
    step = next((one for one in _WEEK_STEPS if weeks / one <= _MOST_TICKS), _WEEK_STEPS[-1])
    drawn = [text(f"weeks from {start_on}", 0, 12, _SMALL, font_weight=_WEIGHT, fill=GREY)]
    for week in range(0, int(weeks) + 1, step):
        x = axis.x(week * _DAYS_A_WEEK)
        drawn += [
            element("line", x1=x, y1=_TOP - 8, x2=x, y2=floor, stroke=_LINE, stroke_width=0.6),
            text(str(week), x, 12, _SMALL, font_weight=_WEIGHT, fill=GREY, text_anchor="middle"),
        ]
    return drawn


def _row(axis: _Axis, bar: WeekBar, top: float) -> str:
    y = top + (_ROW - _BAR) / 2
    drawn = [
        *_name(bar.name, top),
        _box(axis, bar.start.low, bar.end.high, y + 2, _BAR - 4, fill=_PALE),
    ]
    if bar.wait:
        drawn.append(
            _box(axis, bar.end.typical, bar.wait_end.high, y + _BAR / 2 - 0.6, 1.2, fill=GREY)
        )
    drawn.append(_box(axis, bar.start.typical, bar.end.typical, y, _BAR, fill=ACCENT))
    if bar.wait:
        drawn += [
            _box(axis, bar.end.typical, bar.wait_end.typical, y, _BAR, fill=paint, stroke=INK,
                 stroke_width=0.7)
            for paint in (WHITE, f"url(#{_pattern_name(WAITS[bar.wait])})")
        ]  # fmt: skip
    return group(drawn)


def _name(name: str, top: float) -> list[str]:
    """Return a task's name on one line or two, right before its bar."""
    lines = [""]
    for word in name.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, _SIZE) > _NAMES * 1.12 and len(lines) == 1:
            lines.append(word)
        else:
            lines[-1] = longer
    middle = top + _ROW / 2 + 3.6 - 6.2 * (len(lines) - 1)
    return [
        text(line, 0, middle + 12.4 * index, _SIZE, font_weight=_WEIGHT, fill=INK)
        for index, line in enumerate(lines)
    ]


def _all_done(axis: _Axis, end: Span, top: float) -> str:
    y, x = top + _ROW / 2, axis.x(end.typical)
    return group(
        [
            element("line", x1=0, y1=top, x2=_WIDTH, y2=top, stroke=GREY, stroke_width=0.8),
            text(_ALL_DONE, 0, y + 3.6, _SIZE, font_weight="600", fill=INK),
            _box(axis, end.low, end.high, y - 4.5, 9, fill=_PALE, stroke=ACCENT, stroke_width=0.8),
            element("path", d=f"M{x:.2f} {y - 6:.2f}l5 6l-5 6l-5 -6Z", fill=ACCENT, stroke=WHITE,
                    stroke_width=0.8),
        ]
    )  # fmt: skip


def _wanted(axis: _Axis, day: float, wanted_on: str, floor: float) -> str:
    x, said = axis.x(day), f"wanted {wanted_on}"
    is_late = x + text_width(said, _SMALL) + 4 > _WIDTH
    return group(
        [
            element("line", x1=x, y1=_TOP - 8, x2=x, y2=floor, stroke=WARM, stroke_width=1.6,
                    stroke_dasharray="5 3"),
            text(said, x - 4 if is_late else x + 4, floor - _ROW - 4, _SMALL, font_weight="600",
                 fill=WARM, text_anchor="end" if is_late else "start", paint_order="stroke",
                 stroke=WHITE, stroke_width=3.0),
        ]
    )  # fmt: skip


def _wanted_far(axis: _Axis, day: float, wanted_on: str, floor: float) -> str:
    """Return the deadline behind a cut in the axis, with the weeks that are not drawn."""
    cut, x = axis.end + _CUT, _WIDTH - 6.0
    weeks = (day - axis.days) / _DAYS_A_WEEK
    down = (floor - _TOP + 8) / 8
    slants = "".join(f"l{side * _CUT:g} {down:.2f}" for side in (1, -1) * 4)
    return group(
        [
            element("path", d=f"M{cut - _CUT / 2:.2f} {_TOP - 8:.2f}{slants}", fill="none",
                    stroke=GREY, stroke_width=1.0),
            text("axis cut:", cut + 10, _TOP + 16, _SMALL, font_weight="600", fill=GREY),
            text(f"{weeks:.0f} weeks", cut + 10, _TOP + 28, _SMALL, font_weight="600", fill=GREY),
            text("not drawn", cut + 10, _TOP + 40, _SMALL, font_weight="600", fill=GREY),
            element("line", x1=x, y1=_TOP - 8, x2=x, y2=floor, stroke=WARM, stroke_width=1.6,
                    stroke_dasharray="5 3"),
            text(f"wanted {wanted_on}", x - 4, floor - _ROW - 4, _SMALL, font_weight="600",
                 fill=WARM, text_anchor="end"),
        ]
    )  # fmt: skip


def _key(weeks: Weeks, y: float) -> str:
    """Return the legend: every drawing carries its own."""
    used = [WAITS[name] for name in WAITS if any(bar.wait == name for bar in weeks.bars)]
    rows: list[tuple[str, str]] = [(ACCENT, "bench hours"), (_PALE, "5 to 95 %")]
    rows += [(f"url(#{_pattern_name(entry)})", entry.name) for entry in used]
    drawn, x = [], 0.0
    for paint, said in rows:
        swatch: dict[str, str | float] = {"x": x, "y": y - 9, "width": 20, "height": 10}
        drawn += [
            element("rect", **swatch, fill=WHITE),
            element("rect", **swatch, fill=paint, stroke=INK, stroke_width=0.6),
            text(said, x + 25, y, _SMALL, font_weight=_WEIGHT, fill=INK),
        ]
        x += 25 + text_width(said, _SMALL) + 16
    return group(drawn)


def _box(
    axis: _Axis, start: float, end: float, y: float, height: float, **paint: str | float
) -> str:
    width = max(axis.x(end) - axis.x(start), 0.8)
    return element("rect", x=axis.x(start), y=y, width=width, height=height, **paint)
