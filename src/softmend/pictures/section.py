"""A crack in section, drawn to scale: object, fill, bond, and where the load goes.

Fill and object differ by hatch, not by colour alone. What the picture shows is also said in words.
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
    text_width,
)

WIDTH, HEIGHT = 420.0, 372.0
_TOP, _FLOOR, _MIDDLE = 46.0, 356.0, WIDTH / 2
_SIZE, _SMALL, _LINE_HEIGHT = 13.5, 12.0, 16.0
_WEIGHT, _STRONG = "500", "600"
_LONGEST_ARROW, _ARROWS = 62.0, 6
_FILL, _EDGE = "#cfe1e3", "#7c6232"
_BAR_STEPS_MM = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
FILL = LegendEntry("section-fill", "fill", Pattern.DIAGONAL, "#1c5d63")


@dataclass(frozen=True)
class AtDepth:
    """The pull on the walls at one depth; positive draws them together."""

    depth_mm: float
    traction_mpa: float


@dataclass(frozen=True)
class SectionDrawing:
    """A crack in section: sizes in mm, the fill ("" none), the pull along it, and its labels.

    `radius_mm` is None for a flat side. The labels are lines that already carry unit and band;
    `is_tip_loaded` marks the tip in the warm colour.
    """

    depth_mm: float
    width_mm: float
    radius_mm: float | None
    fill: str = ""
    is_v: bool = True
    pull: tuple[AtDepth, ...] = ()
    pull_lines: tuple[str, ...] = ()
    opening_lines: tuple[str, ...] = ()
    tip_lines: tuple[str, ...] = ()
    is_tip_loaded: bool = True


def section_svg(drawn: SectionDrawing) -> str:
    """Return the section as an SVG, to scale in both directions."""
    if not (drawn.depth_mm > 0 and drawn.width_mm > 0):
        raise InputError("A crack without depth or width has no section",
                         value=f"{drawn.depth_mm:g} by {drawn.width_mm:g} mm",
                         allowed="above 0 mm")  # fmt: skip
    scale = _Scale(drawn)
    inside = [
        f"<defs>{pattern(FILL, 'section-fill', 0.8)}</defs>",
        _body(drawn, scale),
        _crack(drawn, scale),
        *_arrows(drawn, scale),
        _tip(drawn, scale),
        *_labels(drawn, scale),
        _scale_bar(scale),
    ]
    return document(WIDTH, HEIGHT, inside)


def section_words(drawn: SectionDrawing) -> str:
    """Return what the picture shows, for whoever does not see it."""
    round_ = f"a shaft of {drawn.radius_mm:.3g} mm radius" if drawn.radius_mm else "a flat side"
    fill = f"filled with {drawn.fill}" if drawn.fill else "open"
    shape = "narrowing to its tip" if drawn.is_v else "of even width"
    lines = [
        f"Section to scale: a crack {drawn.depth_mm:.3g} mm deep and {drawn.width_mm:.2g} mm wide "
        f"at the mouth, {shape}, in {round_}, {fill}.",
        *(f"{' '.join(part)}." for part in
          (drawn.pull_lines, drawn.opening_lines, drawn.tip_lines) if part),
    ]  # fmt: skip
    return " ".join(lines)


class _Scale:
    """From millimetres of the object to the picture: one scale for both directions."""

    def __init__(self, drawn: SectionDrawing) -> None:
        below = 1.32 * drawn.depth_mm
        self.px_per_mm = min((_FLOOR - _TOP) / below, 0.5 * WIDTH / drawn.width_mm)
        self.radius = None if drawn.radius_mm is None else drawn.radius_mm * self.px_per_mm
        self.depth = drawn.depth_mm * self.px_per_mm
        self.half = max(drawn.width_mm * self.px_per_mm / 2, 0.7)

    def surface(self, x: float) -> float:
        """Return how far down the surface lies at a place across."""
        away = abs(x - _MIDDLE)
        if self.radius is None or away >= self.radius:
            return _TOP if self.radius is None else _FLOOR
        return _TOP + self.radius - math.sqrt(self.radius**2 - away**2)


def _body(drawn: SectionDrawing, scale: _Scale) -> str:
    steps = [WIDTH * i / 60 for i in range(61)]
    rim = [(x, min(scale.surface(x), _FLOOR)) for x in steps]
    line = "L".join(f"{number(x)} {number(y)}" for x, y in rim)
    shape = f"M{line}L{number(WIDTH)} {number(_FLOOR)}L0 {number(_FLOOR)}Z"
    return group(
        [
            element("path", d=shape, fill=OBJECT),
            element("path", d=f"M{line}", fill="none", stroke=_EDGE, stroke_width=2.4),
        ]
    )


def _outline(drawn: SectionDrawing, scale: _Scale) -> str:
    mouth, bottom = _TOP - 2, _TOP + scale.depth
    foot = 0.0 if drawn.is_v else scale.half
    points = [
        (_MIDDLE - scale.half, mouth), (_MIDDLE + scale.half, mouth),
        (_MIDDLE + foot, bottom), (_MIDDLE - foot, bottom),
    ]  # fmt: skip
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points) + "Z"


def _crack(drawn: SectionDrawing, scale: _Scale) -> str:
    path = _outline(drawn, scale)
    if not drawn.fill:
        return element("path", d=path, fill=WHITE, stroke=INK, stroke_width=1.2)
    return group(
        [
            element("path", d=path, fill=_FILL),
            element("path", d=path, fill="url(#section-fill)", stroke=INK, stroke_width=1.4),
        ]
    )


def _arrows(drawn: SectionDrawing, scale: _Scale) -> list[str]:
    """Return the pull on both walls, longer where it is greater."""
    most = max((abs(one.traction_mpa) for one in drawn.pull), default=0.0)
    if not drawn.fill or most <= 0:
        return []
    found = []
    for one in _spread(drawn.pull, drawn.depth_mm):
        length = _LONGEST_ARROW * abs(one.traction_mpa) / most
        if length < 5:
            continue
        down = one.depth_mm / drawn.depth_mm
        y = _TOP + scale.depth * down
        wall = scale.half * (1 - down if drawn.is_v else 1) + 3
        is_pull = one.traction_mpa > 0
        for side in (-1, 1):
            near, far = _MIDDLE + side * wall, _MIDDLE + side * (wall + length)
            found.append(_arrow(far, near, y) if is_pull else _arrow(near, far, y))
    return found


def _spread(pull: Sequence[AtDepth], depth_mm: float) -> list[AtDepth]:
    found = []
    for i in range(_ARROWS):
        wanted = depth_mm * (i + 0.5) / _ARROWS
        away = [abs(one.depth_mm - wanted) for one in pull]
        found.append(pull[away.index(min(away))])
    return found


def _arrow(start: float, end: float, y: float) -> str:
    back = 5.0 if end > start else -5.0
    head = f"M{number(end)} {number(y)}l{number(-back)} -3.2l0 6.4Z"
    return group(
        [
            element("line", x1=start, y1=y, x2=end - back, y2=y, stroke=WARM, stroke_width=1.8),
            element("path", d=head, fill=WARM),
        ]
    )


def _tip(drawn: SectionDrawing, scale: _Scale) -> str:
    paint = WARM if drawn.is_tip_loaded else GREY
    dash = {} if drawn.is_tip_loaded else {"stroke_dasharray": "3 3"}
    return element("circle", cx=_MIDDLE, cy=_TOP + scale.depth, r=9.0, fill="none",
                   stroke=paint, stroke_width=2.2, **dash)  # fmt: skip


def _labels(drawn: SectionDrawing, scale: _Scale) -> list[str]:
    """Return the labels: pull on the left, opening on the right, tip beside the tip."""
    y = _TOP + scale.depth
    room = _MIDDLE - scale.half - _LONGEST_ARROW - 16
    left = _block(drawn.pull_lines, 12, max(_TOP + 62, scale.surface(12) + 22), max(room, 118))
    right_x = _MIDDLE + scale.half + _LONGEST_ARROW + 12
    right = _block(drawn.opening_lines, min(right_x, WIDTH - 122),
                   max(_TOP + 62, scale.surface(WIDTH - 12) + 22), 120)  # fmt: skip
    tip = _block(drawn.tip_lines, _MIDDLE + 18, y + 4, WIDTH - _MIDDLE - 24)
    above = text(drawn.fill or "open, without a fill", _MIDDLE, 16, _SIZE, font_weight=_STRONG,
                 fill=INK, text_anchor="middle")  # fmt: skip
    lead = element("line", x1=_MIDDLE, y1=21, x2=_MIDDLE, y2=_TOP - 5, stroke=GREY, stroke_width=1)
    return [above, lead, *left, *right, *tip]


def _block(lines: Sequence[str], x: float, y: float, room: float) -> list[str]:
    """Return lines of text under each other, wrapped to their room, the second one strong."""
    found = []
    for index, line in enumerate(lines):
        strong = index == 1
        for part in _wrapped(line, room):
            found.append(
                text(part, x, y, _SIZE if strong else _SMALL,
                     font_weight=_STRONG if strong else _WEIGHT, fill=INK,
                     stroke=OBJECT, stroke_width=3, paint_order="stroke")
            )  # fmt: skip
            y += _LINE_HEIGHT
    return found


def _wrapped(line: str, room: float) -> list[str]:
    found = [""]
    for word in line.split():
        longer = f"{found[-1]} {word}".strip()
        if found[-1] and text_width(longer, _SMALL) > 1.12 * room:
            found.append(word)
        else:
            found[-1] = longer
    return found


def _scale_bar(scale: _Scale) -> str:
    fits = [step for step in _BAR_STEPS_MM if step * scale.px_per_mm <= 110]
    step = fits[-1] if fits else _BAR_STEPS_MM[0]
    long, y, x = step * scale.px_per_mm, HEIGHT - 6, 12.0
    return group(
        [
            element("path", d=f"M{number(x)} {number(y - 9)}v6h{number(long)}v-6", fill="none",
                    stroke=INK, stroke_width=1.4),
            text(f"{step:g} mm", x + long + 7, y, _SMALL, font_weight=_WEIGHT, fill=INK),
            text("drawn to scale", WIDTH, y, _SMALL, font_weight=_WEIGHT, fill=GREY,
                 text_anchor="end"),
        ]
    )  # fmt: skip
