"""The legend: what each code is, and the pattern, colour and width it is drawn with."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum

from softmend.pictures.drawing import Drawing


class Pattern(Enum):
    """How a code is drawn: lines, then areas, then points; the shapes stay apart in grey."""

    SOLID = "solid"
    DOUBLE = "double"
    DASH_DOT = "dash-dot"
    CHAIN = "chain"
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
    QUESTION = "question"
    NUMBER = "number"
    SQUARE = "square"
    CROSS = "cross"


LINE_PATTERNS = frozenset({Pattern.SOLID, Pattern.DOUBLE, Pattern.DASH_DOT, Pattern.CHAIN})
POINT_PATTERNS = frozenset({Pattern.NUMBER, Pattern.SQUARE, Pattern.CROSS})


@dataclass(frozen=True)
class LegendEntry:
    """One code, its class in words and its drawing; `width` is in drawing units (points)."""

    code: str
    name: str
    pattern: Pattern
    colour: str
    width: float = 2.0


UNCERTAIN = LegendEntry("?", "uncertain", Pattern.QUESTION, "#595959")

_ROWS = (
    LegendEntry("C", "crack", Pattern.SOLID, "#0072b2"),
    LegendEntry("D", "delamination, hollow", Pattern.WAVY, "#0072b2"),
    LegendEntry("L", "lifting, flaking", Pattern.TRIANGLES, "#d55e00"),
    LegendEntry("X", "loss", Pattern.EMPTY, "#000000", 3.0),
    LegendEntry("P", "powdering", Pattern.DOTS, "#d55e00"),
    LegendEntry("S", "soiling, accretion", Pattern.STIPPLE, "#cc79a7"),
    LegendEntry("T", "stain, tide line", Pattern.DASH_DOT, "#cc79a7"),
    LegendEntry("B", "biological", Pattern.CIRCLES, "#009e73"),
    LegendEntry("OF", "old fill", Pattern.DIAGONAL, "#009e73"),
    LegendEntry("OP", "old overpaint", Pattern.CROSS_HATCH, "#009e73"),
    LegendEntry("OC", "old coating", Pattern.HORIZONTAL, "#009e73"),
    LegendEntry("NF", "new fill", Pattern.DIAGONAL_BACK, "#56b4e9"),
    LegendEntry("NT", "new tone on fill", Pattern.DIAGONAL_BACK_DENSE, "#56b4e9"),
    LegendEntry("J", "join, bonded", Pattern.DOUBLE, "#000000"),
    LegendEntry("F", "fragment seat", Pattern.NUMBER, "#000000"),
    LegendEntry("TP", "test patch", Pattern.SQUARE, "#000000"),
    LegendEntry("SA", "sample", Pattern.CROSS, "#000000"),
    LegendEntry("E", "evidence: tool mark, wear", Pattern.CHAIN, "#e69f00"),
    UNCERTAIN,
)


def legend() -> dict[str, LegendEntry]:
    """Return the legend by code."""
    return {entry.code: entry for entry in _ROWS}


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
