"""Photographs laid along a scan: what is drawn on each, and which stretches are set aside."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from softmend.records.entry import Entry
from softmend.records.mark import Mark, Shape
from softmend.records.scan import ScanHolding
from softmend.records.scan_seen import ScanView, StretchSetAside
from softmend.records.view import View
from softmend.records.zone import Body, OnIt
from softmend.services.examine.quantities import Scaled, scales_in
from softmend.services.examine.vocabulary import term
from softmend.services.recording import current_records
from softmend.services.store import Reader

Rings = tuple[tuple[tuple[float, float], ...], ...]
_OF_TERM = {
    "old_number": "inscription",
    "old_fill": "old fill",
    "overfill": "old fill",
    "fill_on_original": "old fill",
    "invented_part": "old fill",
    "adhesive_line": "join",
    "metal_part": "join",
    "new_fill": "new fill",
}
_OF_FAMILY = {
    "cracks": "crack",
    "joins": "join",
    "evidence": "protected",
    "detachment": "lifting or loose",
}
_OF_ZONE = {
    Body.OLD_KEPT: "old fill",
    Body.TO_BE_REMOVED: "old fill",
    Body.NEW_FILL: "new fill",
    OnIt.PROTECTED_EVIDENCE: "protected",
    OnIt.UNTREATED_RESERVE: "protected",
    OnIt.FACING: "lifting or loose",
}
BY_HAND_PX = 1.0
"""How far off a point that is drawn by hand may lie, one standard deviation."""
ZONE_KINDS = ("body_zone", "on_zone")


@dataclass(frozen=True)
class Drawn:
    """A mark or zone on a photograph on which nothing should press: its name, kind, outline.

    `drawn_sd_px` is how far off a point of it may lie, one standard deviation.
    """

    entry: Entry
    name: str
    kind: str
    parts: Rings
    is_outline: bool
    drawn_sd_px: float


@dataclass(frozen=True)
class LaidView:
    """A photograph laid along a scan, its scale (None where it has none now), what is drawn on it.

    `aside` holds by the id of the mark or zone what was set aside: its entry, and whether all that
    it rests on still stands.
    """

    entry: Entry
    laid: ScanView
    view: View
    scale: Scaled | None
    drawn: tuple[Drawn, ...]
    aside: dict[str, tuple[Entry, StretchSetAside, bool]]

    @property
    def name(self) -> str:
        """Return the photograph as it is called."""
        return f"view {self.view.number}"

    @property
    def read_entry_ids(self) -> tuple[str, ...]:
        """Return the entries that its stretches rest on."""
        scale = (self.scale.entry_id,) if self.scale else ()
        return (self.entry.id, *scale, *(one.entry.id for one in self.drawn))

    @property
    def set_aside(self) -> dict[str, StretchSetAside]:
        """Return by name what is set aside and holds."""
        return {
            one.name: self.aside[one.entry.subject_id][1]
            for one in self.drawn
            if one.entry.subject_id in self.aside and self.aside[one.entry.subject_id][2]
        }

    def inputs(self) -> dict[str, Any]:
        """Return what the computation asks of the photograph."""
        return {
            "scale": self.scale.inputs if self.scale else {},
            "places": [{"at_px": list(one.at_px), "at": list(one.at)} for one in self.laid.places],
            "drawn": [
                {"name": one.name, "kind": one.kind, "is_outline": one.is_outline,
                 "drawn_sd_px": one.drawn_sd_px,
                 "parts_px": [[list(at) for at in part] for part in one.parts]}
                for one in self.drawn
            ],
            "pick_mm": self.laid.pick_mm,
            "pick_px": self.laid.pick_px,
            "clear_mm": self.laid.clear_mm,
        }  # fmt: skip


def laid_views(
    reader: Reader, dossier_id: str, scan_id: str, held: ScanHolding
) -> tuple[LaidView, ...]:
    """Return the photographs that are laid along a scan, by their numbers."""
    said = [
        (entry, laid)
        for entry, laid in current_records(reader, dossier_id, "scan_view")
        if laid.scan_id == scan_id
    ]
    if not said:
        return ()
    views = {entry.subject_id: view for entry, view in current_records(reader, dossier_id, "view")}
    scales = scales_in(reader, dossier_id)
    aside = [
        (entry, one)
        for entry, one in current_records(reader, dossier_id, "stretch_set_aside")
        if one.scan_id == scan_id
    ]
    found = []
    for entry, laid in said:
        if laid.view_id not in views:
            continue
        drawn = drawn_on(reader, dossier_id, laid.view_id)
        scale = scales.get(laid.view_id)
        here = {
            one.drawn_id: (of, one, _holds(one, entry, scale, drawn, held))
            for of, one in aside
            if one.view_id == laid.view_id
        }
        found.append(LaidView(entry, laid, views[laid.view_id], scale, drawn, here))
    return tuple(sorted(found, key=lambda one: one.view.number))


def drawn_on(reader: Reader, dossier_id: str, view_id: str) -> tuple[Drawn, ...]:
    """Return the marks and zones of a photograph on which no support should press."""
    found = []
    for entry, mark in current_records(reader, dossier_id, "mark"):
        kind = kind_of_mark(mark)
        sightings = [one for one in mark.sightings if one.view_id == view_id]
        seen = [one.geometry for one in sightings]
        if not kind or not seen:
            continue
        words = f"mark {mark.number}, {term(mark.term_id).term}"
        areas = seen[0].shape is Shape.AREA
        parts = tuple(part for one in seen for part in one.parts if part)
        spread = max(one.drawn_sd_px or BY_HAND_PX for one in sightings)
        found.append(Drawn(entry, words, kind, parts, areas, spread))
    for zone_kind in ZONE_KINDS:
        for entry, zone in current_records(reader, dossier_id, zone_kind):
            what = zone.body if zone_kind == "body_zone" else zone.on_it
            kind = _OF_ZONE.get(what, "")
            if zone.view_id == view_id and kind:
                name = f"{zone.name}, {what.value}"
                # "Drawn to within ±" is said of nearly all of its edge: two standard deviations.
                spread = zone.accuracy_px / 2
                found.append(Drawn(entry, name, kind, zone.rings, True, spread))
    return tuple(found)


def kind_of_mark(mark: Mark) -> str:
    """Return why nothing should press on a mark, or "" where it keeps no support away."""
    return _OF_TERM.get(mark.term_id) or _OF_FAMILY.get(term(mark.term_id).family, "")


def aside_rests_on(laid: LaidView, drawn: Drawn) -> tuple[str, ...]:
    """Return the entries that setting a stretch aside rests on: drawing, places and scale."""
    scale = (laid.scale.entry_id,) if laid.scale else ()
    return (drawn.entry.id, laid.entry.id, *scale)


def _holds(
    one: StretchSetAside, entry: Entry, scale: Scaled | None, drawn: tuple[Drawn, ...],
    held: ScanHolding,
) -> bool:  # fmt: skip
    standing = {entry.id, *(each.entry.id for each in drawn)}
    standing |= {scale.entry_id} if scale else set()
    return set(one.rests_on_entry_ids) <= standing and one.down == held.down
