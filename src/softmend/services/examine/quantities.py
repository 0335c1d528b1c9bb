"""Quantities: derived from pixels and scale each time, never stored beside a mark."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from softmend import catalogue
from softmend.errors import InputError, NotFoundError
from softmend.records.entry import Entry
from softmend.records.mark import Geometry, Mark, Role, Shape, Sighting
from softmend.records.view import Scale
from softmend.records.zone import BodyZone, OnZone
from softmend.services.recording import current_records
from softmend.services.store import Reader

Outcome = dict[str, Any]


@dataclass(frozen=True)
class Measured:
    """One quantity of a mark or a zone: printed text, band, and all that it was computed from.

    `text` is "no scale" when the view has none; then there are no millimetres.
    """

    name: str
    text: str
    mean: float | None
    expanded: float | None
    unit: str
    warnings: tuple[str, ...]
    runs: tuple[tuple[str, Outcome], ...]


@dataclass(frozen=True)
class Scaled:
    """The scale that stands on a view: its entry, and the computation's own inputs."""

    entry_id: str
    inputs: dict[str, Any]


NO_SCALE = "no scale on this view"
NOT_HERE = "cannot be measured on this view"


@lru_cache(maxsize=4096)
def _tried(name: str, payload: str) -> Outcome | InputError:
    # A computation is a pure function of its inputs: the same text gives the same answer, and a
    # drawing that was refused once is refused again without being computed.
    try:
        return catalogue.run(name, json.loads(payload))
    except InputError as refused:
        return refused


def outcome(name: str, payload: dict[str, Any]) -> Outcome:
    """Run a computation, or return what it answered to the same inputs before."""
    found = _tried(name, json.dumps(payload, sort_keys=True))
    if isinstance(found, InputError):
        raise found.with_traceback(None)
    return found


def scales_in(reader: Reader, dossier_id: str) -> dict[str, Scaled]:
    """Return the scale of each view that has one."""
    found: dict[str, Scaled] = {}
    for entry, scale in current_records(reader, dossier_id, "scale"):
        checked: Scale = scale
        found[checked.view_id] = Scaled(entry.id, checked.inputs)
    return found


def mark_quantities(mark: Mark, scales: dict[str, Scaled]) -> list[Measured]:
    """Return a mark's length or area, its sightings joined and each stretch counted once."""
    shape = mark.sightings[0].geometry.shape
    if shape is Shape.POINT:
        return []
    if shape is Shape.LINE:
        return [_joined(mark, scales, "photo.length", "length", "length_mm", "mm")]
    return [
        _joined(mark, scales, "photo.area", "area", "area_mm2", "mm²"),
        _joined(mark, scales, "photo.area", "perimeter", "perimeter_mm", "mm"),
    ]


def zone_area(zone: BodyZone | OnZone, scales: dict[str, Scaled]) -> Measured:
    """Return the area of a zone."""
    geometry = Geometry(Shape.AREA, zone.rings)
    sighting = Sighting(zone.view_id, geometry)
    return _one(sighting, scales, "photo.area", "area", "area_mm2", "mm²")


def measured_drawing(geometry: Geometry, scale: Scaled | None) -> Measured:
    """Return the length or area of something being drawn, for the line that follows the hand."""
    if geometry.shape is Shape.POINT:
        raise InputError("A point has no length", remedy="Draw a line or an outline")
    scales = {"": scale} if scale else {}
    sighting = Sighting("", geometry)
    if geometry.shape is Shape.LINE:
        return _one(sighting, scales, "photo.length", "length", "length_mm", "mm")
    return _one(sighting, scales, "photo.area", "area", "area_mm2", "mm²")


def _one(
    seen: Sighting, scales: dict[str, Scaled], computation: str, name: str, field: str, unit: str
) -> Measured:
    scale = scales.get(seen.view_id)
    if scale is None:
        return Measured(name, NO_SCALE, None, None, unit, (), ())
    try:
        found = outcome(computation, _drawn(seen, scale))
    except InputError as refused:
        # What was drawn cannot be measured on this view; a page or print must still open.
        return Measured(name, NOT_HERE, None, None, unit, (refused.sentence(),), ())
    value = found[field]
    return Measured(
        name=name,
        text=value["text"],
        mean=value["mean"],
        expanded=value["expanded"],
        unit=unit,
        warnings=tuple(found["warnings"]),
        runs=((computation, found),),
    )


def _drawn(seen: Sighting, scale: Scaled) -> dict[str, Any]:
    rings = [[list(point) for point in part] for part in seen.geometry.parts]
    spread = {} if seen.drawn_sd_px is None else {"click_sd_px": seen.drawn_sd_px}
    if seen.geometry.shape is Shape.LINE:
        return {"scale": scale.inputs, "line_px": rings[0], **spread}
    return {"scale": scale.inputs, "outline_px": rings[0], "holes_px": rings[1:], **spread}


def _joined(
    mark: Mark, scales: dict[str, Scaled], computation: str, name: str, field: str, unit: str
) -> Measured:
    from softmend.science.digits import rounded

    parts = [(seen, _one(seen, scales, computation, name, field, unit)) for seen in mark.sightings]
    counted = counted_once(parts)
    if not counted:
        return parts[0][1]
    mean = sum(share * (one.mean or 0.0) for share, _, one in counted)
    expanded = _together(counted)
    warnings = {text: None for _, _, one in counted for text in one.warnings}
    unscaled = sum(one.mean is None for _, one in parts)
    if unscaled:
        warnings[f"{unscaled} of its {len(parts)} sightings have no scale and are not counted."] = (
            None
        )
    return Measured(
        name=name,
        text=rounded(mean, expanded).text(unit),
        mean=mean,
        expanded=expanded,
        unit=unit,
        warnings=tuple(warnings),
        runs=tuple(run for _, _, one in counted for run in one.runs),
    )


def counted_once(
    parts: list[tuple[Sighting, Measured]],
) -> list[tuple[float, Sighting, Measured]]:
    """Return each sighting that counts with its share: overlaps once, the best-seen stretch wins.

    A sighting of the same stretch says what share of the mark it shows; where it is known better,
    relative to its size, it takes that share's place. A continuation counts but for the share
    that another sighting shows.
    """
    scaled = [(seen, one) for seen, one in parts if one.mean]
    counted = [
        (1.0 - seen.overlap_fraction, seen, one)
        for seen, one in scaled
        if seen.role is Role.CONTINUES
    ]
    first = [(seen, one) for seen, one in scaled if seen.role is Role.FIRST]
    again = [(seen, one) for seen, one in scaled if seen.role is Role.SAME_STRETCH]
    if first and again:
        best = min(again, key=_relative)
        if _relative(best) < _relative(first[0]):
            return [(1.0, *best), (1.0 - best[0].overlap_fraction, *first[0]), *counted]
    # Without a scale on the first view the same stretch is read where there is one.
    return [*((1.0, *pair) for pair in (first or again)[:1]), *counted]


def _relative(pair: tuple[Sighting, Measured]) -> float:
    return (pair[1].expanded or 0.0) / (pair[1].mean or 1.0)


def _together(counted: list[tuple[float, Sighting, Measured]]) -> float:
    # One view's scale is wrong by the same share everywhere: its parts add up straight; the
    # scales of different views are set apart from each other: those add in squares (JCGM 100, 5.2).
    by_view: dict[str, float] = {}
    for share, seen, one in counted:
        by_view[seen.view_id] = by_view.get(seen.view_id, 0.0) + share * (one.expanded or 0.0)
    return math.sqrt(sum(part**2 for part in by_view.values()))


@dataclass(frozen=True)
class Total:
    """A sum of one quantity over several marks or zones, and how many could not be counted."""

    by: str
    name: str
    quantity: str
    count: int
    uncounted: int
    text: str


def totals(rows: Iterable[tuple[str, str, Measured]]) -> list[Total]:
    """Return sums by ("term", "crack"), ("side", "left") and the like; uncertainties add straight.

    Marks of one dossier mostly share their scales, so adding straight is the careful sum.
    """
    from softmend.science.digits import rounded

    groups: dict[tuple[str, str, str], list[Measured]] = {}
    for by, name, one in rows:
        groups.setdefault((by, name, one.name), []).append(one)
    found = []
    for (by, name, quantity), members in groups.items():
        known = [one for one in members if one.mean is not None]
        mean = sum(one.mean or 0.0 for one in known)
        expanded = sum(one.expanded or 0.0 for one in known)
        text = rounded(mean, expanded).text(members[0].unit) if known else members[0].text
        missing = len(members) - len(known)
        found.append(Total(by, name, quantity, len(members), missing, text))
    return found


def scale_statement(scale: Scaled | None) -> tuple[str, Outcome | None]:
    """Return one sentence about the scale of a view, and the run behind it."""
    if scale is None:
        return "No scale was set on this view: it gives no millimetres.", None
    found = outcome("photo.scale", {"scale": scale.inputs})
    words = {
        "two_clicks": "two clicks on a bar",
        "markers": "printed markers",
        "rectangle": "the four corners of a rectangle",
        "cylinder": "a cylinder",
    }
    method = words[scale.inputs["method"]]
    text = found["scale_px_per_mm"]["text"]
    percent = found["relative_expanded_percent"]
    return f"Scale by {method}: {text} (± {percent:.2g} %, k = 2).", found


def measurable(reader: Reader, dossier_id: str, view_id: str) -> Scaled | None:
    """Return the scale of one view of a dossier, or None."""
    if not any(entry.subject_id == view_id for entry in reader.current(dossier_id, "view")):
        raise NotFoundError("There is no such view in this dossier")
    return scales_in(reader, dossier_id).get(view_id)


def entry_ids(entries: Iterable[tuple[Entry, Any]]) -> tuple[str, ...]:
    """Return the ids of entries that a run has read."""
    return tuple(entry.id for entry, _ in entries)
