"""How large a fill is, for the eye: its width and length from what is drawn and measured."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median

from softmend.records.entry import Entry
from softmend.records.mark import Mark, Position, Shape
from softmend.services.examine.marks import marks_in
from softmend.services.examine.quantities import Scaled, mark_quantities, scales_in
from softmend.services.examine.vocabulary import term
from softmend.services.store import Reader

_LEAST_STRETCH_MM, _WIDTHS_LONG = 12.0, 12.0
"""Of a crack so much is looked at round its middle, in mm and in its own widths."""
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


def fill_ring(mark: Mark, scales: dict[str, Scaled]) -> tuple[tuple[Position, ...], float] | None:
    """Return the outline of a fill on its first view and the scale there, or None without one.

    Of a crack drawn as a line it is a stretch round its middle, as wide as was measured.
    """
    seen = mark.sightings[0]
    if seen.geometry.shape is Shape.AREA:
        scale = px_per_mm(mark, scales)
        return None if scale is None else (seen.geometry.parts[0], scale)
    if seen.geometry.shape is Shape.POINT or not mark.widths:
        return None
    alone = replace(mark, sightings=(seen,))
    length = mark_quantities(alone, scales)[0].mean
    drawn = math.fsum(_drawn(part) for part in seen.geometry.parts)
    if not length or not drawn:
        return None
    scale = drawn / length
    longest = max(seen.geometry.parts, key=_drawn)
    width = median(one.width_mm for one in mark.widths)
    middle = _stretch(longest, scale * max(_LEAST_STRETCH_MM, _WIDTHS_LONG * width))
    return ribbon(middle, scale * width), scale


def ribbon(line: tuple[Position, ...], width: float) -> tuple[Position, ...]:
    """Return the outline of a line that is as wide as said, in the units of its points."""
    left, right = [], []
    for place, (x, y) in enumerate(line):
        (x1, y1), (x2, y2) = line[max(place - 1, 0)], line[min(place + 1, len(line) - 1)]
        along = math.hypot(x2 - x1, y2 - y1) or 1.0
        aside = (-(y2 - y1) / along * width / 2, (x2 - x1) / along * width / 2)
        left.append((x + aside[0], y + aside[1]))
        right.append((x - aside[0], y - aside[1]))
    return (*left, *reversed(right))


def _stretch(line: tuple[Position, ...], length: float) -> tuple[Position, ...]:
    """Return so much of a line, round its middle."""
    whole = _drawn(line)
    ends = [(whole - length) / 2, (whole + length) / 2]
    if length >= whole:
        return line
    kept, gone = [], 0.0
    for (x1, y1), (x2, y2) in pairwise(line):
        step = math.dist((x1, y1), (x2, y2))
        cuts = [min(max((end - gone) / step, 0.0), 1.0) if step else 0.0 for end in ends]
        if cuts[0] < cuts[1]:
            kept += [(x1 + cut * (x2 - x1), y1 + cut * (y2 - y1)) for cut in cuts]
        gone += step
    return tuple(dict.fromkeys(kept))


def _drawn(line: tuple[Position, ...]) -> float:
    return math.fsum(math.dist(a, b) for a, b in pairwise(line))


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
