"""The legend: what each code is, and the pattern, colour and width it is drawn with."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache

from softmend.pictures.drawing import Drawing
from softmend.tables import table


class Pattern(Enum):
    """How a code is drawn: lines, then areas, then points; the shapes stay apart in grey."""

    SOLID = "solid"
    DOUBLE = "double"
    DASH_DOT = "dash-dot"
    CHAIN = "chain"
    DOTTED = "dotted"
    EMPTY = "empty"
    WAVY = "wavy"
    TRIANGLES = "triangles"
    DOTS = "dots"
    STIPPLE = "stipple"
    CIRCLES = "circles"
    DIAGONAL = "diagonal"
    DIAGONAL_BACK = "diagonal-back"
    DIAGONAL_BACK_DENSE = "diagonal-back-dense"
    CROSS_HATCH = "cross-hatch"
    HORIZONTAL = "horizontal"
    VERTICAL = "vertical"
    GRID = "grid"
    DASHES = "dashes"
    PLUS = "plus"
    SQUARES = "squares"
    QUESTION = "question"
    NUMBER = "number"
    SQUARE = "square"
    CROSS = "cross"


POINT_PATTERNS = frozenset({Pattern.NUMBER, Pattern.SQUARE, Pattern.CROSS})


# The table gives widths for the screen; a CSS pixel is three quarters of a drawing unit (a point).
_UNITS_PER_SCREEN_PX = 0.75


@dataclass(frozen=True)
class LegendEntry:
    """One code, its class in words and its drawing; `width` is in drawing units (points)."""

    code: str
    name: str
    pattern: Pattern
    colour: str
    width: float = 2.0


UNCERTAIN = LegendEntry("?", "uncertain", Pattern.QUESTION, "#595959")


@cache
def _entries() -> tuple[LegendEntry, ...]:
    return tuple(
        LegendEntry(
            code=str(row["code"]),
            name=str(row["class"]),
            pattern=Pattern(row["pattern"]),
            colour=str(row["colour"]),
            width=float(row["width_px"] or 2.0) * _UNITS_PER_SCREEN_PX,
        )
        for row in table("legend").rows
    )


def legend() -> dict[str, LegendEntry]:
    """Return the legend by code, from the table that every page and print reads."""
    return {entry.code: entry for entry in _entries()}


def entry_for(code: str, entries: Mapping[str, LegendEntry]) -> LegendEntry:
    """Return the entry of a code; a code without one is drawn as uncertain, never dropped."""
    return entries.get(code, UNCERTAIN)


def used_entries(
    drawings: Iterable[Drawing], entries: Mapping[str, LegendEntry]
) -> tuple[LegendEntry, ...]:
    """Return the entries that the drawings need, in the legend's own order."""
    used = {entry_for(drawing.code, entries).code for drawing in drawings}
    known = {**entries, UNCERTAIN.code: entries.get(UNCERTAIN.code, UNCERTAIN)}
    return tuple(entry for entry in known.values() if entry.code in used)
