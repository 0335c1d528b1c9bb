"""Marks: recorded with their sightings, joined across views, never renumbered."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

from softmend.errors import InputError, RuleError
from softmend.records.drawing import checked_geometry
from softmend.records.entry import Entry
from softmend.records.mark import DepthStation, Mark, Role, Shape, Sighting, State
from softmend.services.bench import Author, Bench
from softmend.services.examine.vocabulary import term
from softmend.services.numbered import human_number
from softmend.services.recording import (
    append_record,
    append_strike,
    current_record,
    current_records,
)
from softmend.services.store import Reader


def record_mark(
    bench: Bench,
    author: Author,
    dossier_id: str,
    mark: Mark,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record a mark; a new one is given its number here, an old one keeps it for ever."""
    subject_id = subject_id or bench.fresh_id()
    with bench.store.writing() as writer:
        checked = _checked(writer, dossier_id, mark)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=subject_id,
            record=replace(checked, number=human_number(writer, dossier_id, "mark", subject_id)),
            based_on=based_on,
        )
        writer.drop_draft(author.person_id, "mark", subject_id)
        writer.commit()
    return entry


def join_marks(
    bench: Bench,
    author: Author,
    dossier_id: str,
    *,
    kept_id: str,
    kept_based_on: str,
    joined_id: str,
    joined_based_on: str,
    role: Role,
    overlap_fraction: float = 0.0,
) -> Entry:
    """Say that two marks are one: "the same crack continues here"; the kept number stands."""
    if kept_id == joined_id:
        raise InputError("A mark cannot be joined with itself", remedy="Choose another mark")
    with bench.store.writing() as writer:
        _, kept = current_record(writer, dossier_id, "mark", kept_id)
        _, joined = current_record(writer, dossier_id, "mark", joined_id)
        if _shape(kept) is not _shape(joined):
            raise RuleError(
                f"Mark {kept.number} and mark {joined.number} are drawn in different ways",
                remedy="Join a line with a line, an area with an area",
            )
        first, *others = joined.sightings
        arriving = (replace(first, role=role, overlap_fraction=overlap_fraction), *others)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=kept_id,
            record=_checked(writer, dossier_id, replace(kept, sightings=kept.sightings + arriving)),
            based_on=kept_based_on,
        )
        append_strike(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            kind="mark",
            subject_id=joined_id,
            because=f"joined into mark {kept.number}",
            based_on=joined_based_on,
        )
        writer.commit()
    return entry


def marks_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, Mark]]:
    """Return the current marks of a dossier in order of their numbers."""
    return current_records(reader, dossier_id, "mark")


def marks_on_view(reader: Reader, dossier_id: str, view_id: str) -> list[tuple[Entry, Mark]]:
    """Return the marks that have a sighting on a view."""
    return [
        (entry, mark)
        for entry, mark in marks_in(reader, dossier_id)
        if any(sighting.view_id == view_id for sighting in mark.sightings)
    ]


def _shape(mark: Mark) -> Shape:
    return mark.sightings[0].geometry.shape


def _checked(reader: Reader, dossier_id: str, mark: Mark) -> Mark:
    wanted = term(mark.term_id)
    if not mark.sightings:
        raise InputError("A mark is drawn at least once", remedy="Draw it on a photograph")
    sightings = tuple(_checked_sighting(reader, dossier_id, seen) for seen in mark.sightings)
    for seen in sightings:
        if seen.geometry.shape.value not in wanted.shapes:
            raise InputError(
                f"“{wanted.term}” is not drawn as a {seen.geometry.shape.value}",
                allowed=", ".join(wanted.shapes),
                remedy="Draw it so, or choose another term",
            )
    if sightings[0].role is not Role.FIRST:
        raise InputError("The first sighting of a mark counts whole", value=sightings[0].role.value)
    _refuse_unfounded_growth(mark)
    _refuse_disordered_depths(mark.depths)
    return replace(mark, sightings=sightings)


def _checked_sighting(reader: Reader, dossier_id: str, seen: Sighting) -> Sighting:
    _, view = current_record(reader, dossier_id, "view", seen.view_id)
    if not 0.0 <= seen.overlap_fraction <= 1.0:
        raise InputError(
            "The overlap of a sighting is a share", value=seen.overlap_fraction, allowed="0 to 1"
        )
    geometry = checked_geometry(seen.geometry, view.width_px, view.height_px)
    return replace(seen, geometry=geometry)


def _refuse_unfounded_growth(mark: Mark) -> None:
    if mark.state in (State.GROWN, State.NO_CHANGE_SHOWN) and mark.state_grounds == "not known":
        raise RuleError(
            f"“{mark.state.value}” needs its grounds: two dates and the smallest change "
            "that could have been seen, at like humidity and temperature",
            remedy="Give the grounds, or leave the state as not known",
        )


def _refuse_disordered_depths(depths: tuple[DepthStation, ...]) -> None:
    for depth in depths:
        if not 0 <= depth.low_mm <= depth.typical_mm <= depth.high_mm:
            raise InputError(
                "A depth is a range: low, typical, high",
                value=f"{depth.low_mm:g}, {depth.typical_mm:g}, {depth.high_mm:g} mm",
                allowed="0 ≤ low ≤ typical ≤ high",
                remedy="Put them in order",
            )
