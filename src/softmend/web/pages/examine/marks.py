"""Marks: the panel beside the picture, the search for a term, and a mark's history."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.dossier import Certainty, Size
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.mark import KnownHow, Mark, Role, Section, Shape, State
from softmend.records.payload import as_plain
from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.drafts import drop_draft
from softmend.services.examine.marks import join_marks, marks_in, marks_on_view, record_mark
from softmend.services.examine.quantities import mark_quantities, scales_in
from softmend.services.examine.report_rows import quantity
from softmend.services.examine.vocabulary import parts_of, sides, term, terms_like
from softmend.services.examine.widths import trace_again
from softmend.services.recording import current_record, strike
from softmend.services.solid.seen_stretches import OnAScan, also_on_scans
from softmend.services.store import Reader
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, AtTheBench, BenchHere, Id, PersonHere
from softmend.web.numbers import typed_number
from softmend.web.pages.examine.mark_form import MarkForm
from softmend.web.pages.journal import lines_of
from softmend.web.rendering import render
from softmend.web.telling import changes

router = APIRouter()


class JoinForm(BaseModel):
    """The form that says that two marks are one."""

    based_on: str = Field("", max_length=40)
    joined_id: str = Field(pattern=ID_PATTERN)
    role: Literal["continues", "same stretch"] = "continues"
    overlap_percent: str = Field("", max_length=20)


AShape = Literal["Point", "LineString", "Polygon"]
_FIRST_TERM = {"C": "crack", "X": "loss", "L": "lifting", "OF": "old_fill", "F": "fragment_seat"}


@router.get("/dossiers/{dossier_id}/views/{view_id}/marks/new")
def new_mark(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    draft_id: Annotated[str, Query(max_length=40)] = "",
    shape: AShape = "LineString",
    code: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Give the panel for what was just drawn."""
    mark = Mark(0, _FIRST_TERM.get(code, ""), ())
    with bench.store.reading() as reader:
        size = opened(reader, dossier_id).dossier.size
        others = [
            (entry, other, term(other.term_id))
            for entry, other in marks_in(reader, dossier_id)
            if other.sightings[0].geometry.shape is Shape(shape)
            and all(seen.view_id != view_id for seen in other.sightings)
        ]
        here = [
            (entry.subject_id, other.number, term(other.term_id).term)
            for entry, other in marks_on_view(reader, dossier_id, view_id)
            if shape == "LineString" and other.sightings[0].geometry.shape is Shape.LINE
        ]
    return _panel(
        request, dossier_id, view_id, mark, shape, size,
        draft_id=draft_id, others=others, lines=here,
    )  # fmt: skip


@router.get("/dossiers/{dossier_id}/views/{view_id}/marks/{mark_id}")
def mark_panel(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    mark_id: Id,
    based_on: Annotated[str, Query(max_length=40)] = "",
    edited: bool = False,
) -> Response:
    """Give the panel of a mark; a draft of it stands on the entry that it was begun on."""
    with bench.store.reading() as reader:
        entry, mark = current_record(reader, dossier_id, "mark", mark_id)
        draft = reader.draft(person.person_id, "mark", mark_id)
        size = opened(reader, dossier_id).dossier.size
        scales = scales_in(reader, dossier_id)
        also = also_on_scans(reader, dossier_id, mark_id)
    numbers = [quantity(one) for one in mark_quantities(mark, scales)]
    ground = (draft.based_on if draft else "") or based_on or entry.id
    shape = mark.sightings[0].geometry.shape.value
    return _panel(
        request, dossier_id, view_id, mark, shape, size, mark_id=mark_id, based_on=ground,
        is_changed=edited or draft is not None, numbers=numbers, also=also,
    )  # fmt: skip


@router.post("/dossiers/{dossier_id}/views/{view_id}/marks")
def record(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    form: Annotated[MarkForm, Form()],
) -> Response:
    """Record a mark: a new one, a new state of one, or the same one seen on a further view."""
    if form.again_mark:
        return _record_again(request, bench, person, dossier_id, view_id, form)
    if form.mark_id:
        entry = _record_over(bench, person, dossier_id, view_id, form)
    elif form.also_mark:
        entry = _record_seen_too(bench, person, dossier_id, view_id, form)
    else:
        # The draft's own id becomes the mark's, so that sending a form twice records it once.
        entry = record_mark(
            bench,
            person.author,
            dossier_id,
            form.new_mark(view_id),
            subject_id=form.draft_id,
        )
    return go_on(request, f"/dossiers/{dossier_id}/views/{view_id}?mark={entry.subject_id}")


def _record_again(
    request: Request,
    bench: Bench,
    person: AtTheBench,
    dossier_id: str,
    view_id: str,
    form: MarkForm,
) -> Response:
    trace_again(bench, person.author, dossier_id, form.again_mark, view_id, form.drawn_at_all())
    drop_draft(bench, person.person_id, "mark", form.draft_id)
    return go_on(request, f"/dossiers/{dossier_id}/marks/{form.again_mark}/width?view={view_id}")


def _record_over(
    bench: Bench, person: AtTheBench, dossier_id: str, view_id: str, form: MarkForm
) -> Entry:
    with bench.store.reading() as reader:
        _entry, standing = current_record(reader, dossier_id, "mark", form.mark_id)
    return record_mark(
        bench,
        person.author,
        dossier_id,
        form.over(standing, view_id),
        subject_id=form.mark_id,
        based_on=form.based_on,
    )


def _record_seen_too(
    bench: Bench, person: AtTheBench, dossier_id: str, view_id: str, form: MarkForm
) -> Entry:
    with bench.store.reading() as reader:
        entry, standing = current_record(reader, dossier_id, "mark", form.also_mark)
    recorded = record_mark(
        bench,
        person.author,
        dossier_id,
        form.seen_here_too(standing, view_id),
        subject_id=form.also_mark,
        based_on=entry.id,
    )
    drop_draft(bench, person.person_id, "mark", form.draft_id)
    return recorded


@router.get("/terms")
def search_terms(
    request: Request,
    person: PersonHere,
    search: Annotated[str, Query(max_length=200)] = "",
    shape: AShape = "LineString",
    term_id: Annotated[str, Query(max_length=200)] = "",
) -> Response:
    """Give the terms that match, each with its definition."""
    found = terms_like(search, shape)
    return render(request, "part_terms.html", terms=found, chosen=term_id)


@router.get("/dossiers/{dossier_id}/marks/{mark_id}")
def history(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, mark_id: Id
) -> Response:
    """Show every state that a mark has had; an earlier one can be brought back."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        entry, mark = current_record(reader, dossier_id, "mark", mark_id)
        states = _states(reader, mark_id)
        also = also_on_scans(reader, dossier_id, mark_id)
        others = [
            (one, other)
            for one, other in marks_in(reader, dossier_id)
            if one.subject_id != mark_id
            and other.sightings[0].geometry.shape is mark.sightings[0].geometry.shape
        ]
    return render(
        request,
        "examine/mark.html",
        here="mark",
        dossier=dossier,
        entry=entry,
        mark=mark,
        term=term(mark.term_id),
        states=states,
        others=others,
        also_on_scans=also,
    )


@router.post("/dossiers/{dossier_id}/marks/{mark_id}/strike")
def strike_mark(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    based_on: Annotated[str, Form(max_length=40)],
    because: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Take a mark out of the current state, with a reason; its number is never used again."""
    strike(
        bench,
        person.author,
        dossier_id=dossier_id,
        kind="mark",
        subject_id=mark_id,
        because=because,
        based_on=based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/quantities")


@router.post("/dossiers/{dossier_id}/marks/{mark_id}/join")
def join(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    form: Annotated[JoinForm, Form()],
) -> Response:
    """Say that another mark is this one; this number stands."""
    with bench.store.reading() as reader:
        other, _mark = current_record(reader, dossier_id, "mark", form.joined_id)
    join_marks(
        bench,
        person.author,
        dossier_id,
        kept_id=mark_id,
        kept_based_on=form.based_on,
        joined_id=form.joined_id,
        joined_based_on=other.id,
        role=Role(form.role),
        overlap_fraction=typed_number(form.overlap_percent or "0", "The overlap", "%", 0, 100)
        / 100,
    )
    return go_on(request, f"/dossiers/{dossier_id}/marks/{mark_id}")


def _panel(
    request: Request,
    dossier_id: str,
    view_id: str,
    mark: Mark,
    shape: str,
    size: Size,
    *,
    mark_id: str = "",
    draft_id: str = "",
    based_on: str = "",
    is_changed: bool = False,
    others: list[Any] | None = None,
    numbers: list[Any] | None = None,
    lines: list[Any] | None = None,
    also: tuple[OnAScan, ...] = (),
) -> Response:
    return render(
        request,
        "examine/part_mark.html",
        dossier_id=dossier_id,
        view_id=view_id,
        mark=mark,
        mark_id=mark_id,
        draft_id=draft_id,
        based_on=based_on,
        is_changed=is_changed,
        term=term(mark.term_id) if mark_id else None,
        numbers=numbers or [],
        others=others or [],
        lines=lines or [],
        also_on_scans=also,
        shape=shape,
        is_note=size is Size.NOTE,
        terms=terms_like("", shape),
        chosen=mark.term_id,
        states=list(State),
        sure=list(Certainty),
        sections=list(Section),
        known_how=list(KnownHow),
        parts=parts_of(),
        sides=sides(),
    )


def _states(reader: Reader, mark_id: str) -> list[dict[str, Any]]:
    """Return every entry on a mark, newest first, with what it changed."""
    entries = reader.history("mark", mark_id)
    before: dict[str, Any] = {}
    changed = []
    for entry in entries:
        after = as_plain(record_in(entry)) if entry.payload is not None else {}
        changed.append(changes(before, after))
        before = after
    lines = lines_of(reader, entries)
    return [
        {"line": line, "changed": changed_then}
        for line, changed_then in zip(lines, reversed(changed), strict=True)
    ]


@router.get("/stations/{kind}")
def another_station(
    request: Request, person: PersonHere, kind: Literal["depth", "width"]
) -> Response:
    """Give one more empty row for a depth or a width."""
    return render(request, "examine/part_station.html", kind=kind, known_how=list(KnownHow))
