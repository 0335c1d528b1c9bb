"""The form of a mark as it is sent, and the record that it says."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.dossier import Certainty
from softmend.records.mark import (
    DepthStation,
    Geometry,
    KnownHow,
    Mark,
    Role,
    Section,
    Sighting,
    State,
    WidthStation,
)
from softmend.services.examine.drawn import moved_by_hand, traced_sighting
from softmend.web.numbers import known, typed_number
from softmend.web.shapes import geometry_in

Text = Annotated[str, Field(max_length=20_000)]
Line = Annotated[str, Field(max_length=2000)]
AnId = Annotated[str, Field(max_length=40)]
Rows = Annotated[list[Line], Field(max_length=200)]

_LONGEST_MM = 100_000.0
_DEEPEST_MM = 10_000.0


class MarkForm(BaseModel):
    """Everything that the panel asks about one mark; a field not shown keeps what stood there."""

    mark_id: AnId = ""
    draft_id: AnId = ""
    based_on: AnId = ""
    geometry: Annotated[str, Field(max_length=3_000_000)] = ""
    geometry_mark: AnId = ""
    geometry_draft: AnId = ""
    geometry_how: Literal["", "trace"] = ""
    also_mark: AnId = ""
    again_mark: AnId = ""
    role: Literal["continues", "same stretch"] = "continues"
    term_id: Line = ""
    state: State | None = None
    state_grounds: Line | None = None
    age: Line | None = None
    part: Line | None = None
    side: Line | None = None
    place: Line | None = None
    note_observed: Text | None = None
    cause_inferred: Line | None = None
    cause_certainty: Certainty | None = None
    history_reported: Text | None = None
    section: Section | None = None
    asks_stations: bool = False
    depth_along_mm: Rows = []
    depth_low_mm: Rows = []
    depth_typical_mm: Rows = []
    depth_high_mm: Rows = []
    depth_known_how: Rows = []
    width_along_mm: Rows = []
    width_mm: Rows = []
    width_expanded_mm: Rows = []
    width_measured_with: Rows = []

    def drawn(self) -> Geometry | None:
        """Return what was drawn for this mark since the page opened, or None."""
        is_for_this = (
            self.geometry_mark == self.mark_id
            if self.mark_id
            else not self.geometry_mark and self.geometry_draft == self.draft_id
        )
        return geometry_in(self.geometry) if self.geometry and is_for_this else None

    def drawn_at_all(self) -> Geometry:
        """Return what was drawn; InputError when nothing was."""
        geometry = self.drawn()
        if geometry is None:
            raise InputError("A mark is drawn first", remedy="Draw it on the picture, press Done")
        return geometry

    def new_mark(self, view_id: str) -> Mark:
        """Return a new mark as it was drawn and described."""
        geometry = self.drawn_at_all()
        return self.described(Mark(0, self.term_id, (self._sighting(view_id, geometry),)))

    def _sighting(self, view_id: str, geometry: Geometry) -> Sighting:
        return (
            traced_sighting(view_id, geometry) if self.geometry_how else Sighting(view_id, geometry)
        )

    def over(self, standing: Mark, view_id: str) -> Mark:
        """Return a standing mark with what was typed and drawn in place of what it said."""
        geometry = self.drawn()
        sightings = standing.sightings
        if geometry is not None:
            sightings = tuple(
                moved_by_hand(seen, geometry) if seen.view_id == view_id else seen
                for seen in sightings
            )
        return self.described(
            replace(standing, term_id=self.term_id or standing.term_id, sightings=sightings)
        )

    def seen_here_too(self, standing: Mark, view_id: str) -> Mark:
        """Return a standing mark with a further sighting: the same one, seen on this view."""
        geometry = self.drawn_at_all()
        here = replace(self._sighting(view_id, geometry), role=Role(self.role))
        return replace(standing, sightings=(*standing.sightings, here))

    def described(self, mark: Mark) -> Mark:
        """Return the mark with the words and stations of this form."""
        words: dict[str, Any] = {
            name: known(text)
            for name in (
                "state_grounds", "age", "part", "side", "place", "note_observed",
                "cause_inferred", "history_reported",
            )
            if (text := getattr(self, name)) is not None
        }  # fmt: skip
        mark = replace(
            mark,
            state=self.state or mark.state,
            cause_certainty=self.cause_certainty or mark.cause_certainty,
            section=self.section or mark.section,
            **words,
        )
        if self.asks_stations:
            mark = replace(mark, depths=self._depths(), widths=self._widths())
        return mark

    def _depths(self) -> tuple[DepthStation, ...]:
        rows = zip(
            self.depth_along_mm,
            self.depth_low_mm,
            self.depth_typical_mm,
            self.depth_high_mm,
            self.depth_known_how,
            strict=False,
        )
        return tuple(
            DepthStation(
                along_mm=typed_number(along or "0", "The place along it", "mm", 0, _LONGEST_MM),
                low_mm=typed_number(low, "The low depth", "mm", 0, _DEEPEST_MM),
                typical_mm=typed_number(typical, "The typical depth", "mm", 0, _DEEPEST_MM),
                high_mm=typed_number(high, "The high depth", "mm", 0, _DEEPEST_MM),
                known_how=KnownHow(how),
            )
            for along, low, typical, high, how in rows
            if low.strip() or typical.strip() or high.strip()
        )

    def _widths(self) -> tuple[WidthStation, ...]:
        rows = zip(
            self.width_along_mm,
            self.width_mm,
            self.width_expanded_mm,
            self.width_measured_with,
            strict=False,
        )
        return tuple(
            WidthStation(
                along_mm=typed_number(along or "0", "The place along it", "mm", 0, _LONGEST_MM),
                width_mm=typed_number(width, "The width", "mm", 0, _DEEPEST_MM),
                expanded_mm=typed_number(expanded, "The width's ±", "mm", 0, _DEEPEST_MM),
                measured_with=known(how),
            )
            for along, width, expanded, how in rows
            if width.strip()
        )
