"""Where a fill is seen: the verdict, the allowed window, and the fill in the user's own picture."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from softmend.errors import MissingEvidenceError, NotFoundError
from softmend.pictures.tint_sight import Hatching, painted, seen_from
from softmend.records.looking import FAR_MM, NEAR_MM
from softmend.records.mark import Position, Shape
from softmend.records.tint_recipe import Sight
from softmend.records.view import View
from softmend.report.content import Working
from softmend.services.bench import Bench
from softmend.services.examine.quantities import Outcome, Scaled, outcome, scales_in
from softmend.services.propose.sight_surround import SURROUND, SurroundShown, surround_round
from softmend.services.propose.tint_cards import surround_of
from softmend.services.propose.tint_size import TintedPlace, fill_ring, tinted_places
from softmend.services.recording import current_record
from softmend.services.store import Reader
from softmend.services.workings import working

ENOUGH_A_DEGREE, LEAST_ACROSS = 60, 8
DIRECTIONS = ("lighter", "darker", "redder", "yellower", "duller")
_CROP_PX, _BESIDE, _WIDTHS_SHOWN = 640, 0.6, 12
"""The crop is so wide at most, and reaches so much of the fill's size beyond it on every side."""


@dataclass(frozen=True)
class AskedOfSight:
    """What is tried out: how far the tint differs from the surround, from where, and a hatch."""

    lightness: float = 0.0
    redness: float = 0.0
    yellowness: float = 0.0
    far_mm: float = FAR_MM
    near_mm: float = NEAR_MM
    width_mm: float | None = None
    length_mm: float | None = None
    surround: str = ""
    hatch_step: float = 0.0
    hatch_period_mm: float = 0.8

    @property
    def step(self) -> tuple[float, float, float]:
        """Return the difference in L*, a*, b*."""
        return (self.lightness, self.redness, self.yellowness)


@dataclass(frozen=True)
class SightShown:
    """Where a fill is seen, in sentences and rows; `missing` says why nothing can be told."""

    missing: str
    width_mm: float | None
    length_mm: float | None
    size_basis: str
    surround_basis: str = ""
    verdict: Outcome | None = None
    window: Outcome | None = None
    works: tuple[Working, ...] = ()
    window_inputs: dict[str, Any] = field(default_factory=dict)
    verdict_inputs: dict[str, Any] = field(default_factory=dict)
    shape: str = "a straight bar"
    around: SurroundShown = field(default_factory=SurroundShown)


def sight_place(reader: Reader, dossier_id: str, mark_id: str) -> TintedPlace:
    """Return one mark that a tint can lie on."""
    found = next((one for one in tinted_places(reader, dossier_id) if one.mark_id == mark_id), None)
    if found is None:
        raise NotFoundError("There is no line or area of that mark in this dossier")
    return found


def sight_shown(
    bench: Bench, reader: Reader, dossier_id: str, place: TintedPlace, asked: AskedOfSight
) -> SightShown:
    """Return where the fill on a mark is seen with what is tried out; nothing is recorded."""
    size = place.size
    width = asked.width_mm if asked.width_mm is not None else size.width_mm
    length = asked.length_mm if asked.length_mm is not None else size.length_mm
    basis = size.basis if asked.width_mm is None and asked.length_mm is None else "typed"
    if width is None or length is None:
        return SightShown("Say how wide and how long the fill is.", width, length, basis)
    lab, surround_basis = surround_of(reader, dossier_id, asked.surround)
    around = surround_round(bench, reader, dossier_id, place, asked.far_mm, asked.near_mm)
    outline = None
    if asked.width_mm is None and asked.length_mm is None:
        outline = _outline_mm(place, scales_in(reader, dossier_id))
    common = {
        "surround": {"name": "surround", "lab": list(lab)},
        "width_mm": width, "length_mm": length, "outline_mm": outline,
        "far_mm": asked.far_mm, "near_mm": asked.near_mm, "texture": around.texture,
    }  # fmt: skip
    fill = [value + step for value, step in zip(lab, asked.step, strict=True)]
    wanted: dict[str, Any] = {**common, "fill": {"name": "fill", "lab": fill}}
    verdict = outcome("sight.verdict", wanted)
    asked_window = {**common, "directions": list(DIRECTIONS)}
    window = outcome("sight.window", asked_window)
    works = [
        working("sight.verdict", place.words, verdict),
        working("sight.window", place.words, window),
    ]
    if around.answer is not None:
        works.append(working(SURROUND, place.words, around.answer))
    return SightShown(
        "", width, length, basis, surround_basis, verdict, window, tuple(works), asked_window,
        wanted, "its own outline" if outline else "a straight bar", around,
    )  # fmt: skip


def sight_kept(shown: SightShown, asked: AskedOfSight) -> Sight | None:
    """Return where a fill is seen as a recipe keeps it, or None where it cannot be told."""
    if shown.verdict is None or shown.window is None:
        return None
    return Sight(
        far_mm=asked.far_mm,
        near_mm=asked.near_mm,
        width_mm=shown.width_mm or 0.0,
        length_mm=shown.length_mm or 0.0,
        text=shown.verdict["text"],
        far_text=shown.verdict["far"]["text"],
        near_text=shown.verdict["near"]["text"],
        window_text=shown.window["text"],
        basis=f"{shown.surround_basis} Taken as {shown.shape}: {shown.size_basis}. "
        f"{shown.around.basis}",
    )


def seen_picture(
    bench: Bench, dossier_id: str, mark_id: str, asked: AskedOfSight, distance_mm: float
) -> bytes:
    """Return a JPEG of the fill on the user's own photograph as it is seen from a distance."""
    from softmend.intake.sheet_picture import jpeg_of

    with bench.store.reading() as reader:
        place = sight_place(reader, dossier_id, mark_id)
        drawn = fill_ring(place.mark, scales_in(reader, dossier_id))
        seen = place.mark.sightings[0]
        _, view = current_record(reader, dossier_id, "view", seen.view_id)
    if drawn is None:
        raise MissingEvidenceError(
            "The fill cannot be shown in the picture",
            remedy="Outline it as an area, or measure the crack's width, on a view with a scale",
        )
    ring, scale = drawn
    is_line = seen.geometry.shape is Shape.LINE
    left, top, right, foot, every = _box(ring, view, is_line=is_line)
    # From afar no eye, and so no picture, needs more than some 60 pixels a degree.
    narrow = math.dist(ring[0], ring[-1]) if is_line else _narrow(ring)
    coarse = min(_samples(scale, distance_mm) / ENOUGH_A_DEGREE, narrow / LEAST_ACROSS)
    every = max(every, int(coarse))
    path = bench.store.files.path(view.canonical_sha256)
    crop = _crop(str(path), left, top, right, foot, every)
    outline = [((x - left) / every, (y - top) / every) for x, y in ring]
    hatching = Hatching(asked.hatch_step, asked.hatch_period_mm) if asked.hatch_step else None
    made = painted(crop, outline, asked.step, scale / every, hatching)
    return jpeg_of(seen_from(made, distance_mm))


def can_be_shown(reader: Reader, dossier_id: str, place: TintedPlace) -> bool:
    """Say whether a fill is outlined on a view with a scale, so that it can be painted there."""
    return fill_ring(place.mark, scales_in(reader, dossier_id)) is not None


def _outline_mm(place: TintedPlace, scales: dict[str, Scaled]) -> list[list[float]] | None:
    """Return the outline of an area in millimetres; a crack is a bar, and its middle counts."""
    if place.mark.sightings[0].geometry.shape is not Shape.AREA:
        return None
    drawn = fill_ring(place.mark, scales)
    if drawn is None:
        return None
    ring, scale = drawn
    return [[round(x / scale, 3), round(y / scale, 3)] for x, y in ring]


def _box(ring: Sequence[Position], view: View, *, is_line: bool) -> tuple[int, int, int, int, int]:
    """Return the part of a view round an outline, and of how many pixels one is kept.

    Of a long crack only a stretch round its middle is shown, or nothing of its width would be.
    """
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    room = _BESIDE * max(max(xs) - min(xs), max(ys) - min(ys))
    box = [min(xs) - room, min(ys) - room, max(xs) + room, max(ys) + room]
    if is_line:
        x, y = ring[len(ring) // 4]
        half = max(_CROP_PX / 4, _WIDTHS_SHOWN * math.dist(ring[0], ring[-1]))
        box = [x - half, y - half, x + half, y + half]
    left, top = max(0, math.floor(box[0])), max(0, math.floor(box[1]))
    right, foot = min(view.width_px, math.ceil(box[2])), min(view.height_px, math.ceil(box[3]))
    every = max(1, math.ceil(max(right - left, foot - top) / _CROP_PX))
    return left, top, right, foot, every


def _narrow(ring: Sequence[Position]) -> float:
    """Return the smaller side of the upright box round an outline, in pixels."""
    sides = [max(one[axis] for one in ring) - min(one[axis] for one in ring) for axis in (0, 1)]
    return min(sides)


def _samples(scale: float, distance_mm: float) -> float:
    from softmend.science.tint.seen_picture import samples_per_degree

    return samples_per_degree(1000 * scale, distance_mm / 1000)


@lru_cache(maxsize=8)
def _crop(path: str, left: int, top: int, right: int, foot: int, every: int) -> Any:
    # A slider asks for the same part of the same picture again and again; it never changes.
    from pathlib import Path

    from softmend.intake.canonical import read_canonical

    return read_canonical(Path(path))[top:foot:every, left:right:every].copy()
