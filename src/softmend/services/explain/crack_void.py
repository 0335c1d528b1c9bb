"""What a void on a scan says of the crack that it is linked with: how deep, and how wide its mouth.

Only a void that a person linked with a mark says anything of it; what was read on the mark itself
goes before it.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from softmend.catalogue.computation import Sourced
from softmend.services.recording import current_records
from softmend.services.solid.asking import answered
from softmend.services.solid.inputs import VOID
from softmend.services.solid.scans import OnScan, on_scan

if TYPE_CHECKING:
    from softmend.records.entry import Entry
    from softmend.records.scan import ScanVoid
    from softmend.services.store import Reader

LENS = 1.5
"""A lens of a given area and length is so much wider in its middle than on the mean."""
NINETIETH = 1.645 / 2
"""From a half-width at k = 2 to the distance between the middle and the 5 or 95 % point."""


@dataclass(frozen=True)
class Offered:
    """Width at the mouth and depth of the void that a crack is linked with, and what was read."""

    width: Sourced
    depth: Sourced
    read_entry_ids: tuple[str, ...]


def void_offered(reader: Reader, dossier_id: str, mark_id: str) -> Offered | None:
    """Return what the deepest measured void linked with a mark says of it, or None."""
    linked: list[tuple[Entry, ScanVoid]] = [
        one for one in current_records(reader, dossier_id, "scan_void") if one[1].mark_id == mark_id
    ]
    found = []
    for entry, void in linked:
        kept = answered(reader, dossier_id, VOID, entry.subject_id)
        if kept is None or kept.stale or entry.id not in kept.run.read_entry_ids:
            continue
        if kept.outputs["deepest_mm"] and kept.outputs["mouth_mm2"]:
            on = on_scan(reader, dossier_id, void.scan_id)
            name = f"entry:{entry.id}, void {void.number} of scan {on.scan.number}"
            found.append((kept.outputs, name, on, kept.run.read_entry_ids))
    if not found:
        return None
    told, name, on, read = max(found, key=lambda one: one[0]["deepest_mm"])
    return Offered(_width(told, name), _depth(told, name, on), read)


def _depth(told: dict[str, Any], name: str, on: OnScan) -> Sourced:
    """Return the deepest place, as sure as the mesh is fine and the scan's length is."""
    deepest = told["deepest_mm"]
    share = 0.0
    if on.length is not None:
        share = NINETIETH * on.length[1].expanded_mm / on.length[1].length_mm
    blur = min(math.hypot(told["mean_edge_mm"], share * deepest), 0.9 * deepest)
    points = {"low": deepest - blur, "typical": deepest, "high": deepest + blur}
    return Sourced.model_validate(
        {"value": points, "kind": "derived", "origin": f"{name}: its deepest place below the rim"}
    )


def _width(told: dict[str, Any], name: str) -> Sourced:
    """Return the mouth's area over its span: the mean width, and a lens's as how far it may be."""
    mean = told["mouth_mm2"] / _span_mm(told["rim_found"], told["rim_length_mm"])
    points = {"low": mean / LENS, "typical": mean, "high": mean * LENS}
    origin = f"{name}: the mouth's area over its span, its outline not followed"
    return Sourced.model_validate({"value": points, "kind": "estimated", "origin": origin})


def _span_mm(rim: Sequence[Sequence[float]], length_mm: float) -> float:
    """Return how far the mouth reaches from end to end; the rim's own length gives the unit."""
    first = max(rim, key=lambda one: math.dist(one, rim[0]))
    span = max(math.dist(one, first) for one in rim)
    round_it = sum(math.dist(a, b) for a, b in zip(rim, [*rim[1:], rim[0]], strict=True))
    return span / round_it * length_mm


@dataclass(frozen=True)
class GivesFirst:
    """Where which gives first is asked for a void: the crack's number, or else why it is not."""

    crack_number: int | None
    sentence: str


def asked_of_voids(reader: Reader, dossier_id: str) -> dict[str, GivesFirst]:
    """Return for each void of a dossier, by its key, where which gives first is asked of it."""
    from softmend.services.explain.crack import cracks_in

    cracks = {entry.subject_id: mark.number for entry, mark in cracks_in(reader, dossier_id)}
    found = {}
    for _, void in current_records(reader, dossier_id, "scan_void"):
        number = cracks.get(void.mark_id)
        if not void.mark_id:
            words = "Link this void with its mark to ask which gives first."
        elif number is None:
            words = (
                "Its mark is no crack or join drawn as a line: which gives first is asked of those "
                "only."
            )
        else:
            words = (
                f"Which gives first at mark {number}: with this void's depth and width, where the "
                "mark's own were not read"
            )
        found[f"void-{void.number}"] = GivesFirst(number, words)
    return found
