"""A tracer that fades in a case: what was read, and the curve that was fitted through it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

from softmend.errors import InputError
from softmend.pictures.svg import ACCENT, GREY, INK, WARM, document, element, line_path, text

WIDTH, HEIGHT = 640.0, 250.0
_LEFT, _RIGHT, _TOP, _FLOOR = 52.0, 14.0, 22.0, 212.0
_SMALL, _LINE, _DOT = 11.5, "#d8d2c5", 2.2
_APART = (0.1, 0.5, 1, 2, 4, 6, 12, 24, 48, 96, 240, 960, 1e4)
_STEPS = (1.0, 2.0, 5.0, 10.0)


def decay_svg(
    hours: Sequence[float], read: Sequence[float], curve: Sequence[float], background: float | None
) -> str:
    """Return readings as dots and the fitted curve as a line; the background is a dashed line."""
    if not len(hours) == len(read) == len(curve) >= 2:
        raise InputError(
            "There is no decay to draw", value=len(hours), allowed="two readings or more"
        )
    most_x, top = max(hours[-1], 1e-9), _round_up(max(*read, *curve))

    def x(value: float) -> float:
        return _LEFT + (WIDTH - _LEFT - _RIGHT) * value / most_x

    def y(value: float) -> float:
        return _FLOOR - (_FLOOR - _TOP) * value / top

    inside = []
    for step in range(5):
        value = top * step / 4
        inside.append(
            element("line", x1=_LEFT, y1=y(value), x2=WIDTH - _RIGHT, y2=y(value), stroke=_LINE,
                    stroke_width=1.0)
        )  # fmt: skip
        inside.append(_label(f"{value:.0f}", _LEFT - 6, y(value) + 4, "end"))
    for at in _ticks(most_x):
        inside.append(_label(f"{at:g}", x(at), _FLOOR + 16, "middle"))
    inside.append(_label("ppm", _LEFT - 6, _TOP - 9, "end"))
    inside.append(_label("hours since the decay began", WIDTH - _RIGHT, _FLOOR + 32, "end"))
    if background is not None:
        inside.append(
            element("line", x1=_LEFT, y1=y(background), x2=WIDTH - _RIGHT, y2=y(background),
                    stroke=WARM, stroke_width=1.6, stroke_dasharray="6 4")
        )  # fmt: skip
        inside.append(
            text(f"background {background:.0f}", WIDTH - _RIGHT, y(background) - 5, _SMALL,
                 fill=WARM, font_weight="600", text_anchor="end")
        )  # fmt: skip
    inside += [
        element("circle", cx=x(hour), cy=y(value), r=_DOT, fill=ACCENT)
        for hour, value in zip(hours, read, strict=True)
    ]
    fitted = [(x(hour), y(value)) for hour, value in zip(hours, curve, strict=True)]
    inside.append(element("path", d=line_path(fitted), fill="none", stroke=INK, stroke_width=1.8))
    return document(WIDTH, HEIGHT, inside)


def decay_words(hours: Sequence[float], read: Sequence[float], curve: Sequence[float]) -> str:
    """Return what the picture shows, for whoever does not see it."""
    worst = max(abs(one - other) for one, other in zip(read, curve, strict=True))
    return (
        f"Readings fall from {read[0]:.0f} to {read[-1]:.0f} ppm in {hours[-1]:.1f} hours; the "
        f"fitted curve runs from {curve[0]:.0f} to {curve[-1]:.0f}, at most {worst:.0f} ppm apart."
    )


def _round_up(value: float) -> float:
    if value <= 0:
        return 1.0
    scale = 1.0
    while scale * 10 < value:
        scale *= 10
    return next(step * scale for step in _STEPS if step * scale >= value)


def _ticks(most: float) -> list[float]:
    step = next(
        one for one in (0.1, 0.5, 1, 2, 4, 6, 12, 24, 48, 96, 240, 960, 1e4) if most / one <= 9
    )
    return [at * step for at in range(int(most / step) + 1)]


def _label(content: str, x: float, y: float, anchor: str) -> str:
    return text(content, x, y, _SMALL, fill=GREY, font_weight="500", text_anchor=anchor)
