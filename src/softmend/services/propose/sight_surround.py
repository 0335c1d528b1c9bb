"""The surround's own texture round a fill, from the photograph that the fill is outlined on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from softmend import catalogue
from softmend.errors import InputError
from softmend.records.canonical import canonical_json
from softmend.records.mark import Position, Shape
from softmend.records.zone import Body
from softmend.services.bench import Bench
from softmend.services.examine.marks import marks_on_view
from softmend.services.examine.quantities import Outcome, Scaled, scales_in
from softmend.services.examine.zones import zones_on_view
from softmend.services.propose.tint_size import TintedPlace, fill_ring, ribbon
from softmend.services.recording import current_record
from softmend.services.store import Reader

SURROUND = "sight.surround"
_LINE_MM = 1.5
"""A mark drawn as a line is left out of the surround so wide: a crack has edges and a shadow."""


@dataclass(frozen=True)
class SurroundShown:
    """The surround's own texture: the run and its inputs, or why it is taken for even."""

    why_not: str = ""
    answer: Outcome | None = None
    asked: dict[str, Any] | None = None

    @property
    def texture(self) -> dict[str, float] | None:
        """Return it as a verdict takes it."""
        if self.answer is None:
            return None
        return {
            f"{name}_{place}": self.answer[place][name]
            for name in ("noise", "grain")
            for place in ("far", "near")
        }

    @property
    def basis(self) -> str:
        """Return what the texture rests on, in a sentence."""
        if self.answer is None:
            return f"The surround was taken to be even: {self.why_not}"
        return " ".join([self.answer["text"], *self.answer["warnings"]])


def surround_round(
    bench: Bench, reader: Reader, dossier_id: str, place: TintedPlace, far_mm: float, near_mm: float
) -> SurroundShown:
    """Return how the surround of a fill varies by itself, or why that cannot be told."""
    scales = scales_in(reader, dossier_id)
    drawn = fill_ring(place.mark, scales)
    if drawn is None:
        return SurroundShown("the fill is not outlined on a view with a scale.")
    ring, scale = drawn
    view_id = place.mark.sightings[0].view_id
    _, view = current_record(reader, dossier_id, "view", view_id)
    asked: dict[str, Any] = {
        "photograph_file": view.canonical_sha256,
        "px_per_mm": scale,
        "fill_px": _points(ring),
        "left_out_px": _left_out(reader, dossier_id, place, scales, scale),
        "far_mm": far_mm,
        "near_mm": near_mm,
    }
    path = str(bench.store.files.path(view.canonical_sha256))
    refused = ""
    for original in (_original(reader, dossier_id, view_id), []):
        tried = {**asked, "original_px": original}
        found = _tried(path, canonical_json(tried))
        if not isinstance(found, str):
            return SurroundShown("", found, tried)
        refused = refused or found
    return SurroundShown(f"{refused}")


def _original(reader: Reader, dossier_id: str, view_id: str) -> list[list[list[float]]]:
    body, _on_it = zones_on_view(reader, dossier_id, view_id)
    return [_points(ring) for _, zone in body if zone.body is Body.ORIGINAL for ring in zone.rings]


def _left_out(
    reader: Reader, dossier_id: str, place: TintedPlace, scales: dict[str, Scaled], scale: float
) -> list[list[list[float]]]:
    """Return the outlines of the other marks on the fill's view, a line as a ribbon."""
    view_id = place.mark.sightings[0].view_id
    rings = []
    for entry, mark in marks_on_view(reader, dossier_id, view_id):
        if entry.subject_id == place.mark_id:
            continue
        for seen in mark.sightings:
            if seen.view_id != view_id or seen.geometry.shape is Shape.POINT:
                continue
            for part in seen.geometry.parts:
                is_line = seen.geometry.shape is Shape.LINE
                rings.append(_points(ribbon(part, _LINE_MM * scale) if is_line else part))
    return rings


def _points(ring: tuple[Position, ...]) -> list[list[float]]:
    return [[round(x, 2), round(y, 2)] for x, y in ring]


@lru_cache(maxsize=64)
def _tried(path: str, payload: str) -> Outcome | str:
    # A kept picture never changes, and a slider asks for the same surround again and again.
    try:
        part, moved = _cut(path, json.loads(payload))
        return catalogue.run(SURROUND, moved, files={"photograph_file": part})
    except InputError as refused:
        return refused.sentence()


@lru_cache(maxsize=8)
def _pixels(path: str, left: int, top: int, right: int, foot: int) -> Any:
    from pathlib import Path

    from softmend.intake.canonical import read_canonical

    return read_canonical(Path(path))[top:foot, left:right].copy()


def _cut(path: str, asked: dict[str, Any]) -> tuple[Any, dict[str, Any]]:
    """Return the part of a picture that is looked at, with the outlines moved into it.

    Answers do not hang on it: the computation looks no further itself.
    """
    xs, ys = ([point[axis] for point in asked["fill_px"]] for axis in (0, 1))
    room = max(max(xs) - min(xs), max(ys) - min(ys), 8 * asked["px_per_mm"]) + 2
    left, top = max(0, math.floor(min(xs) - room)), max(0, math.floor(min(ys) - room))
    right, foot = math.ceil(max(xs) + room), math.ceil(max(ys) + room)

    def moved(rings: list[list[list[float]]]) -> list[list[list[float]]]:
        return [[[x - left, y - top] for x, y in ring] for ring in rings]

    near = [
        ring for ring in moved(asked["left_out_px"])
        if max(x for x, _ in ring) > 0 and min(x for x, _ in ring) < right - left
        and max(y for _, y in ring) > 0 and min(y for _, y in ring) < foot - top
    ]  # fmt: skip
    return _pixels(path, left, top, right, foot), {
        **asked,
        "fill_px": moved([asked["fill_px"]])[0],
        "original_px": moved(asked["original_px"]),
        "left_out_px": near,
    }
