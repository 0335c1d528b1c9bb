"""The plan of the object: where each view was taken, and what was not examined."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from softmend.pictures.labels import Plate
from softmend.pictures.svg import (
    ACCENT,
    GREY,
    INK,
    OBJECT,
    WARM,
    document,
    element,
    text,
    text_width,
)

_WIDTH, _HEIGHT = 480.0, 140.0
_SIZE = 8.0
_WORDS_UP_TO = 10
_BEAM = "M52 84Q150 42 290 44Q380 47 436 66L432 74Q380 66 290 68Q160 70 68 108Z"
# Its lower edge leaves room for the words of the views from the front.
_BOX = "M70 44H410V86H70Z"


class PlanShape(Enum):
    """The outline on which views are placed."""

    BEAM = "beam"
    BOX = "box"


_OUTLINES = {PlanShape.BEAM: _BEAM, PlanShape.BOX: _BOX}


@dataclass(frozen=True)
class PlacedView:
    """One view on the plan: its number, a word or two, and where (0 to 1 across and down)."""

    number: int
    words: str
    x: float
    y: float


@dataclass(frozen=True)
class PlacedGap:
    """One place that was not examined, where it is on the plan."""

    place: str
    x: float
    y: float


def view_plan_svg(shape: PlanShape, views: Sequence[PlacedView], gaps: Sequence[PlacedGap]) -> str:
    """Return the plan, 480 × 140 units: the object's outline, its views and its gaps."""
    inside = [
        element("path", d=_OUTLINES[shape], fill=OBJECT, stroke=INK, stroke_width=0.8,
                stroke_linejoin="round")
    ]  # fmt: skip
    places: dict[tuple[float, float], list[PlacedView]] = {}
    for view in views:
        places.setdefault(_at(view.x, view.y), []).append(view)
    standing = [_sign_plate(*at) for at in places]
    for at, here in places.items():
        inside += _sign(at, here[0].y, _said(here, len(views)), standing)
    for gap in gaps:
        inside += _gap(gap, standing)
    return document(_WIDTH, _HEIGHT, inside)


def _sign_plate(x: float, y: float) -> Plate:
    return Plate(x - 6, y - 6, 12, 12, (x, y))


def _said(here: Sequence[PlacedView], count: int) -> str:
    # Views from one place share a sign; on a full plan the numbers must do.
    if len(here) == 1 and count <= _WORDS_UP_TO:
        return f"{here[0].number} {here[0].words}".strip()
    return ", ".join(str(view.number) for view in here)


def _sign(at: tuple[float, float], down: float, said: str, standing: list[Plate]) -> list[str]:
    x, y = at
    plate = _free(x + 8, y - 5.5, text_width(said, _SIZE) + 2, standing)
    if down < 0.4:
        path = f"M{x - 5:.2f} {y - 4:.2f}h10l-5 8Z"
    elif down > 0.6:
        path = f"M{x - 5:.2f} {y + 4:.2f}h10l-5 -8Z"
    else:
        path = f"M{x - 4.5:.2f} {y:.2f}a4.5 4.5 0 1 0 9 0a4.5 4.5 0 1 0 -9 0Z"
    return [
        element("path", d=path, fill=ACCENT, stroke="#ffffff", stroke_width=0.8),
        # The casing keeps the words legible where they lie on the object's outline.
        text(said, plate.x, plate.y + 9, _SIZE, font_weight="600", fill=INK,
             paint_order="stroke", stroke="#ffffff", stroke_width=2.4),
    ]  # fmt: skip


def _gap(gap: PlacedGap, standing: list[Plate]) -> list[str]:
    x, y = _at(gap.x, gap.y)
    width = max(text_width(gap.place, _SIZE), text_width("not examined", 7.0)) + 10
    plate = _free(min(x - width / 2, _WIDTH - width - 2), y - 12, width, standing, height=25.0)
    return [
        element("rect", x=plate.x, y=plate.y, width=width, height=24, rx=2, fill="#ffffff",
                fill_opacity=0.9, stroke=WARM, stroke_width=1.0, stroke_dasharray="3 2"),
        text(gap.place, plate.x + 5, plate.y + 10, _SIZE, font_weight="600", fill=WARM),
        text("not examined", plate.x + 5, plate.y + 19, 7.0, font_weight="500", fill=GREY),
    ]  # fmt: skip


def _at(x: float, y: float) -> tuple[float, float]:
    across, down = (min(max(share, 0.0), 1.0) for share in (x, y))
    return round(12 + across * (_WIDTH - 24), 2), round(14 + down * (_HEIGHT - 28), 2)


def _free(x: float, y: float, width: float, standing: list[Plate], height: float = 12.0) -> Plate:
    """Return the first free place at, below or above the wished one, and take it."""
    x = min(max(x, 2.0), _WIDTH - width - 2)
    plates = [
        Plate(x, min(max(y + step, 1.0), _HEIGHT - height - 1), width, height, (x, y))
        for step in (0, 13, -13, 26, -26, 39, -39, 52, -52)
    ]
    chosen = min(plates, key=lambda plate: sum(plate.overlap(other) for other in standing))
    standing.append(chosen)
    return chosen
