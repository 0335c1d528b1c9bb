"""Treat: trays of loose flakes. Outlines are found by the machine, each is answered by hand."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from dataclasses import replace
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import FileResponse, Response
from pydantic import BaseModel, Field

from softmend.errors import InputError, NotFoundError
from softmend.records.mark import BY_HAND, Position
from softmend.records.tray import FlakeOutline, OutlineAnswer, Tray, TrayGround, free_letter
from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.examine.printing import print_copy_path
from softmend.services.examine.quantities import scale_statement, scales_in
from softmend.services.examine.views import views_in
from softmend.services.jobs import Jobs
from softmend.services.recording import current_record
from softmend.services.store import Reader
from softmend.services.treat.fragments import ledger_of
from softmend.services.treat.seats import losses_in
from softmend.services.treat.trays import (
    OnTray,
    answer_outline,
    ask_of_tray,
    find_outlines,
    flakes_on,
    found_on,
    measured_flake,
    number_from_tray,
    tray_asked,
    trays_in,
)
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import typed_number
from softmend.web.rendering import render
from softmend.web.viewing import view_name
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/treat/trays"
ON = AT + "/{view_id}"
PICTURE_PX = 3000
Line = Annotated[str, Field(max_length=500)]
Drawn = Annotated[str, Field(max_length=400_000)]
Letter = Annotated[str, Field(pattern="^[a-z]{0,3}$")]


class TrayForm(BaseModel):
    """What the flakes lie on, and how long the smallest is."""

    ground: TrayGround = TrayGround.NOT_KNOWN
    smallest_mm: Line = "3"


class AnswerForm(BaseModel):
    """What is said of one outline: accepted, struck or drawn anew, and which fragment it is."""

    letter: Letter = ""
    based_on: Annotated[str, Field(max_length=40)] = ""
    answer: Literal["accept", "strike", "drawn", "link", "number"]
    outline: Drawn = ""
    fragment_id: Annotated[str, Field(max_length=40)] = ""
    found_where: Line = ""
    because: Line = ""


@router.get(AT)
def trays(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the trays, and the photographs that may be one."""
    with bench.store.reading() as reader:
        known = {one.view_id for one in trays_in(reader, dossier_id)}
        scales = scales_in(reader, dossier_id)
        shown: dict[str, Any] = {
            "dossier": opened(reader, dossier_id),
            "counts": {one: _count(reader, dossier_id, one) for one in known},
            "losses": len(losses_in(reader, dossier_id)),
        }
        views = [
            (entry, view, view_name(view), entry.subject_id in scales)
            for entry, view in views_in(reader, dossier_id)
        ]
    return render(
        request,
        "treat/trays.html",
        here="treat/fragments",
        trays=[one for one in views if one[0].subject_id in known],
        others=[one for one in reversed(views) if one[0].subject_id not in known],
        **shown,
    )


@router.get(ON)
def tray(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    job: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Show one tray: the outlines over its picture, and the list in which each is answered."""
    with bench.store.reading() as reader:
        _, view = current_record(reader, dossier_id, "view", view_id)
        standing = next((t for t in trays_in(reader, dossier_id) if t.view_id == view_id), None)
        scale = scales_in(reader, dossier_id).get(view_id)
        question = tray_asked(reader, dossier_id, view_id)
        found = found_on(bench, question)
        flakes = flakes_on(reader, dossier_id, view_id, found)
        row = reader.job(job) if job and found is None else None
        shown: dict[str, Any] = {
            "dossier": opened(reader, dossier_id),
            "fragments": ledger_of(reader, dossier_id).fragments,
        }
    sizes = {
        one.outline.letter: measured_flake(one.outline.outline_px, scale.inputs if scale else None)
        for one in flakes
        if not one.is_struck
    }
    return render(
        request,
        "treat/tray.html",
        here="treat/fragments",
        view=view,
        view_id=view_id,
        name=view_name(view),
        tray=standing or Tray(view_id),
        grounds=list(TrayGround),
        scale_sentence=scale_statement(scale)[0],
        has_scale=scale is not None,
        found=found,
        flakes=flakes,
        sizes=sizes,
        workings=_workings(found, flakes, sizes),
        job=job if row and row.state in ("waiting", "running") else "",
        message=row.message if row and row.state not in ("waiting", "running") else "",
        is_by_hand=BY_HAND,
        **shown,
    )


@router.post(ON)
def find(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    form: Annotated[TrayForm, Form()],
) -> Response:
    """Record what the tray is asked and look for outlines; a large picture takes a job."""
    smallest = typed_number(form.smallest_mm, _("The smallest flake"), "mm", 0.5, 500)
    ask_of_tray(bench, person.author, dossier_id, Tray(view_id, form.ground, smallest))
    with bench.store.reading() as reader:
        question = tray_asked(reader, dossier_id, view_id)
    if question is None:
        raise InputError(
            _("This photograph has no scale"),
            allowed=_("a scale set on the photograph"),
            remedy=_("Open the photograph, set its scale, then look for outlines"),
        )
    jobs: Jobs | None = request.app.state.jobs
    job = find_outlines(jobs, bench, dossier_id, question)
    return go_on(request, _address(dossier_id, view_id) + (f"?job={job}" if job else ""))


@router.get(f"{ON}/working/{{job_id}}")
def under_way(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    job_id: Id,
) -> Response:
    """Say how far the search for outlines is; when it has ended the page is shown anew."""
    return working_answer(request, bench, _address(dossier_id, view_id), job_id)


@router.post(f"{ON}/stop/{{job_id}}")
def stop(request: Request, person: PersonHere, dossier_id: Id, view_id: Id, job_id: Id) -> Response:
    """Stop the search for outlines; nothing of it is kept."""
    jobs: Jobs | None = request.app.state.jobs
    if jobs is not None:
        jobs.stop(job_id)
    return go_on(request, _address(dossier_id, view_id))


@router.get(f"{ON}/picture.jpg")
def picture(bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id) -> Response:
    """Give the tray's photograph, large enough to draw on."""
    with bench.store.reading() as reader:
        _, view = current_record(reader, dossier_id, "view", view_id)
    path = print_copy_path(bench, view.canonical_sha256, PICTURE_PX)
    return FileResponse(path, media_type="image/jpeg", headers={"cache-control": "private"})


@router.post(f"{ON}/flakes")
def answer(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    form: Annotated[AnswerForm, Form()],
) -> Response:
    """Record what was said of one outline."""
    with bench.store.reading() as reader:
        question = tray_asked(reader, dossier_id, view_id)
        flakes = flakes_on(reader, dossier_id, view_id, found_on(bench, question))
    one = _answered(form, view_id, flakes)
    if form.answer == "number":
        fragment_id = number_from_tray(
            bench, person.author, dossier_id, one, form.found_where, person.name
        )
        one = replace(one, fragment_id=fragment_id)
    answer_outline(bench, person.author, dossier_id, one, form.based_on)
    return go_on(request, f"{_address(dossier_id, view_id)}?chosen={one.letter}")


def working_answer(request: Request, bench: Bench, address: str, job_id: str) -> Response:
    """Return how far a job is, for the page at an address, which is shown anew at its end."""
    with bench.store.reading() as reader:
        row = reader.job(job_id)
    if row.state not in ("waiting", "running"):
        ended = "" if row.state == "done" else f"?job={job_id}"
        return Response(status_code=204, headers={"HX-Redirect": f"{address}{ended}"})
    return render(request, "treat/working.html", row=row, at=address)


def _answered(form: AnswerForm, view_id: str, flakes: list[OnTray]) -> FlakeOutline:
    """Return the outline as it stands after the answer."""
    by_letter = {one.outline.letter: one.outline for one in flakes}
    if form.answer == "drawn":
        letter = form.letter or free_letter(by_letter)
        before = by_letter.get(letter)
        linked = before.fragment_id if before else ""
        ring = _ring(form.outline)
        return FlakeOutline(view_id, letter, ring, OutlineAnswer.ACCEPTED, BY_HAND, linked)
    if form.letter not in by_letter:
        raise NotFoundError(_("There is no such outline on this tray"), value=form.letter)
    one = by_letter[form.letter]
    if form.answer == "strike":
        because = form.because.strip()
        return replace(one, answer=OutlineAnswer.STRUCK, fragment_id="", because=because)
    accepted = replace(one, answer=OutlineAnswer.ACCEPTED, because="")
    if form.answer == "link":
        return replace(accepted, fragment_id=form.fragment_id)
    return accepted


def _ring(text: str) -> tuple[Position, ...]:
    refused = InputError(
        _("An outline that was drawn cannot be read"),
        allowed=_("three points or more on the picture"),
        remedy=_("Draw it again"),
    )
    try:
        points = json.loads(text)
        ring = tuple((float(x), float(y)) for x, y in points)
    except (ValueError, TypeError) as unread:
        raise refused from unread
    if len(ring) < 3:
        raise refused
    return ring


def _workings(
    found: dict[str, Any] | None, flakes: list[OnTray], sizes: dict[str, dict[str, Any]]
) -> list[Any]:
    shown = []
    if found is not None:
        shown.append(working("fragment.outlines", _("the whole tray"), found))
    for one in flakes:
        measured = sizes.get(one.outline.letter)
        if measured and one.entry is not None:
            about = _("outline {letter}", letter=one.outline.letter)
            shown.append(working("photo.area", about, measured["area"]))
            shown.append(working("photo.length", about, measured["length"]))
    return shown


def _count(reader: Reader, dossier_id: str, view_id: str) -> tuple[int, int]:
    flakes = [one for one in flakes_on(reader, dossier_id, view_id) if not one.is_struck]
    return len(flakes), sum(one.fragment is not None for one in flakes)


def _address(dossier_id: str, view_id: str) -> str:
    return f"/dossiers/{dossier_id}/treat/trays/{view_id}"
