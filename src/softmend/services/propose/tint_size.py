"""How large a fill is, for the eye: its width and length from what is drawn and measured."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median

from softmend.records.entry import Entry
from softmend.records.mark import Mark, Position, Shape
from softmend.services.examine.marks import marks_in
from softmend.services.examine.quantities import Scaled, mark_quantities, scales_in
from softmend.services.examine.vocabulary import term
from softmend.services.store import Reader

TINTED_FAMILIES = ("cracks", "joins", "loss", "earlier work")


@dataclass(frozen=True)
class FillSize:
    """The size of a fill on the surface in words and numbers; None where it is not known."""

    width_mm: float | None
    length_mm: float | None
    basis: str


@dataclass(frozen=True)
class TintedPlace:
    """One mark that a tint can lie on: its name, its entry, and its size."""

    entry_id: str
    mark_id: str
    mark: Mark
    words: str
    size: FillSize


def tinted_places(reader: Reader, dossier_id: str) -> list[TintedPlace]:
    """Return the marks that a fill, and so a tint, can lie on: every line and area."""
    scales = scales_in(reader, dossier_id)
    return [
        _place(entry, mark, scales)
        for entry, mark in marks_in(reader, dossier_id)
        if mark.sightings[0].geometry.shape is not Shape.POINT
    ]


def px_per_mm(mark: Mark, scales: dict[str, Scaled]) -> float | None:
    """Return the mean scale over an area on its first view, or None where it has none."""
    seen = mark.sightings[0]
    if seen.geometry.shape is not Shape.AREA:
        return None
    area = mark_quantities(mark, scales)[0].mean
    drawn = abs(_shoelace(seen.geometry.parts[0]))
    return math.sqrt(drawn / area) if area and drawn else None


def _place(entry: Entry, mark: Mark, scales: dict[str, Scaled]) -> TintedPlace:
    words = f"Mark {mark.number}, {term(mark.term_id).term}"
    return TintedPlace(entry.id, entry.subject_id, mark, words, fill_size(mark, scales))


def fill_size(mark: Mark, scales: dict[str, Scaled]) -> FillSize:
    """Return how wide and long a mark is on the surface."""
    seen = mark.sightings[0]
    if seen.geometry.shape is Shape.LINE:
        length = mark_quantities(mark, scales)[0].mean
        width = median(one.width_mm for one in mark.widths) if mark.widths else None
        return FillSize(_short(width), _short(length), "measured widths and traced length")
    scale = px_per_mm(mark, scales)
    if scale is None:
        return FillSize(None, None, "no scale on its view")
    short, long = _sides(seen.geometry.parts[0])
    return FillSize(_short(short / scale), _short(long / scale), "box round its outline")


def _sides(ring: tuple[Position, ...]) -> tuple[float, float]:
    """Return the sides of the narrowest box round an outline, whichever way it lies."""
    best = (math.inf, math.inf)
    for degrees in range(0, 90, 3):
        turn = math.radians(degrees)
        across = [x * math.cos(turn) + y * math.sin(turn) for x, y in ring]
        down = [y * math.cos(turn) - x * math.sin(turn) for x, y in ring]
        sides = sorted((max(across) - min(across), max(down) - min(down)))
        best = min(best, (sides[0], sides[1]))
    return best


def _shoelace(ring: tuple[Position, ...]) -> float:
    turned = (*ring[1:], ring[0])
    return 0.5 * math.fsum(
        x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(ring, turned, strict=True)
    )


def _short(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.2g}")
