"""What the viewer is given about one view; docs/viewer.md is the contract."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from softmend.pictures.legend import LegendEntry, entry_for, legend
from softmend.pictures.marks import swatch_svg
from softmend.records.entry import Entry
from softmend.records.mark import Geometry, Mark, Shape
from softmend.records.view import View
from softmend.records.zone import BodyZone, OnZone
from softmend.services.examine.report_rows import zone_code, zone_words
from softmend.services.examine.vocabulary import term
from softmend.web.shapes import shape_json


def view_name(view: View) -> str:
    """Return what a view shows, in words."""
    shows = view.shows if view.shows != "not known" else f"view {view.number}"
    side = f", {view.side}" if view.side != "not known" else ""
    return f"{shows}{side}, {view.light.value} light"


def mark_json(entry: Entry, mark: Mark, view_id: str) -> list[dict[str, Any]]:
    """Return the sightings of a mark on a view as the viewer draws them."""
    wanted = term(mark.term_id)
    return [
        {
            "mark_id": entry.subject_id,
            "entry_id": entry.id,
            "number": mark.number,
            "code": wanted.code,
            "term": wanted.term,
            "state": mark.state.value,
            "geometry": shape_json(sighting.geometry),
        }
        for sighting in mark.sightings
        if sighting.view_id == view_id
    ]


def zone_json(entry: Entry, zone: BodyZone | OnZone) -> dict[str, Any]:
    """Return a zone as the viewer draws it; zones have no state."""
    return {
        "mark_id": entry.subject_id,
        "entry_id": entry.id,
        "kind": "zone",
        "number": zone.name,
        "code": zone_code(zone),
        "term": zone_words(zone),
        "state": None,
        "geometry": shape_json(Geometry(Shape.AREA, zone.rings)),
    }


def legend_shown(codes: Iterable[str]) -> list[tuple[LegendEntry, str]]:
    """Return the legend's entries for the codes drawn, each with its swatch as SVG text."""
    entries = legend()
    wanted = {entry_for(code, entries).code for code in codes}
    return [
        (entry, swatch_svg(entry, f"swatch-{index}-"))
        for index, entry in enumerate(entries.values())
        if entry.code in wanted
    ]


def legend_json() -> list[dict[str, Any]]:
    """Return the legend as the viewer draws it; its widths are screen pixels."""
    return [
        {
            "code": entry.code,
            "pattern": entry.pattern.value,
            "colour": entry.colour,
            # Prints count in points, screens in pixels of three quarters of a point.
            "width": round(entry.width / 0.75, 2),
        }
        for entry in legend().values()
    ]
