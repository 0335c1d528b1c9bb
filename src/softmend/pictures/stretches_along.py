"""The stretches along an object on which nothing may press, with the pads, as one small picture."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

from softmend.pictures.svg import GREY, INK, OBJECT, WARM, document, element, text

WIDTH, LEFT, RIGHT = 600.0, 24.0, 24.0
ROW, BODY, PAD, SIZE = 20.0, 14.0, 12.0, 13.0
LEAST_APART = 3.0


def stretches_along(stretches: Sequence[tuple[float, float]], pads: Sequence[float]) -> str:
    """Return the object as a bar from 0 to 100 %: each stretch numbered above it, pads below it."""
    rows = _rows(stretches)
    top = ROW * (max(rows, default=-1) + 1) + 6
    height = top + BODY + PAD + 24
    drawn = [element("rect", x=LEFT, y=top, width=_x(100) - LEFT, height=BODY, fill=OBJECT)]
    for k, ((low, high), row) in enumerate(zip(stretches, rows, strict=True)):
        x, wide = _x(low), max(_x(high) - _x(low), 1.5)
        y = top - ROW * row - 4
        drawn += [
            element("rect", x=x, y=top, width=wide, height=BODY, fill=WARM, opacity=0.4),
            element("path", d=f"M{x:.1f} {y + 4:.1f}v-5h{wide:.1f}v5", fill="none", stroke=WARM,
                    stroke_width=1.5),
            text(f"{k + 1}", x + wide / 2, y - 4, SIZE, text_anchor="middle", fill=INK,
                 font_weight=600),
        ]  # fmt: skip
    for at in pads:
        wedge = f"M{_x(at):.1f} {top + BODY + 1:.1f}l-7 {PAD:g}h14z"
        drawn.append(element("path", d=wedge, fill=INK))
    drawn += [
        text(f"{at} %", _x(at), height - 4, SIZE, text_anchor="middle", fill=GREY, font_weight=400)
        for at in (0, 25, 50, 75, 100)
    ]
    return document(WIDTH, height, drawn)


def _rows(stretches: Sequence[tuple[float, float]]) -> list[int]:
    """Return the row of each stretch: the lowest in which no other is in its way."""
    ends: list[list[tuple[float, float]]] = []
    found = []
    for low, high in stretches:
        row = next(
            (
                k
                for k, taken in enumerate(ends)
                if all(high + LEAST_APART < a or b + LEAST_APART < low for a, b in taken)
            ),
            len(ends),
        )
        if row == len(ends):
            ends.append([])
        ends[row].append((low, high))
        found.append(row)
    return found


def _x(percent: float) -> float:
    return LEFT + (WIDTH - LEFT - RIGHT) * percent / 100
