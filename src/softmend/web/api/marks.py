"""Marks of one view, for programs: list, record, and take out with a reason."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, Field

from softmend.records.mark import Mark, Sighting
from softmend.services.examine.annotations import annotations_of_view
from softmend.services.examine.marks import marks_on_view, record_mark
from softmend.services.recording import current_record, strike
from softmend.web.api.answers import Refusals
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.shapes import AnyShape, geometry_of
from softmend.web.viewing import mark_json

router = APIRouter(prefix="/dossiers/{dossier_id}", tags=["marks"], responses=Refusals)

Words = Annotated[str, Field(max_length=20_000)]
EntryId = Annotated[str, Field(max_length=40)]


class MarkIn(BaseModel):
    """A new mark: what was drawn on a view, and the term for it."""

    term_id: Annotated[str, Field(min_length=1, max_length=200)]
    geometry: AnyShape
    note_observed: Words = "not known"


class StrikeIn(BaseModel):
    """Why a mark is taken out, and the entry that its author last saw."""

    because: Words
    based_on: EntryId


class Recorded(BaseModel):
    """What was recorded: the mark's id, its number and the entry that now stands."""

    mark_id: str
    number: int
    entry_id: str


class Struck(BaseModel):
    """The entry that took a mark out."""

    entry_id: str


@router.get("/views/{view_id}/marks")
def list_marks(bench: BenchHere, dossier_id: Id, view_id: Id) -> list[dict[str, Any]]:
    """List the marks that a view shows, as the viewer draws them."""
    with bench.store.reading() as reader:
        current_record(reader, dossier_id, "view", view_id)
        marks = marks_on_view(reader, dossier_id, view_id)
    return [one for entry, mark in marks for one in mark_json(entry, mark, view_id)]


@router.get("/views/{view_id}/annotations")
def web_annotations(bench: BenchHere, dossier_id: Id, view_id: Id) -> dict[str, Any]:
    """Give the marks of a view as W3C Web Annotations."""
    with bench.store.reading() as reader:
        return annotations_of_view(reader, dossier_id, view_id)


@router.post("/views/{view_id}/marks", status_code=201)
def record(
    bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id, body: MarkIn
) -> Recorded:
    """Record a new mark; it is given its number here."""
    sighting = Sighting(view_id, geometry_of(body.geometry))
    mark = Mark(
        0, body.term_id, (sighting,), note_observed=body.note_observed.strip() or "not known"
    )
    entry = record_mark(bench, person.author, dossier_id, mark)
    with bench.store.reading() as reader:
        _entry, kept = current_record(reader, dossier_id, "mark", entry.subject_id)
    return Recorded(mark_id=entry.subject_id, number=kept.number, entry_id=entry.id)


@router.post("/marks/{mark_id}/strike")
def take_out(
    bench: BenchHere, person: PersonHere, dossier_id: Id, mark_id: Id, body: StrikeIn
) -> Struck:
    """Take a mark out of the current state; its number is never used again."""
    entry = strike(
        bench,
        person.author,
        dossier_id=dossier_id,
        kind="mark",
        subject_id=mark_id,
        because=body.because,
        based_on=body.based_on,
    )
    return Struck(entry_id=entry.id)
