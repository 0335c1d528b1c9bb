"""Examine: the views on a plan of the object, papers, and what was not examined."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Request, UploadFile
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.pictures.view_plan import PlacedGap, PlacedView, view_plan_svg
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.view import NotExamined, Paper, View
from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.examine.grades import record_not_examined
from softmend.services.examine.report_content import plan_shape
from softmend.services.examine.views import (
    attach_paper,
    finish_tiles_later,
    import_photograph,
    views_in,
)
from softmend.services.examine.watched_folder import house_folder
from softmend.services.jobs import Jobs
from softmend.services.legal_flags import remains_caution
from softmend.services.next_steps import next_steps
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number
from softmend.web.rendering import render
from softmend.web.security import is_from_this_machine
from softmend.web.uploads import Uploads, received

router = APIRouter()

Line = Annotated[str, Field(max_length=2000)]
Typed = Annotated[str, Form(max_length=2000)]


class GapForm(BaseModel):
    """The form of a place that was not examined."""

    place: Line = ""
    because: Line = ""
    plan_x: Line = ""
    plan_y: Line = ""


@router.get("/dossiers/{dossier_id}/examine")
def examine(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the views on a plan of the object, the papers, and what was not examined."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        views = views_in(reader, dossier_id)
        shown = what_was_seen(reader, dossier_id)
        papers = current_records(reader, dossier_id, "paper")
        steps = next_steps(reader, dossier_id)
        watched_id, watched = house_folder(reader)
    return render(
        request,
        "examine/front.html",
        watched=watched,
        watched_id=watched_id,
        is_at_this_machine=is_from_this_machine(request),
        here="examine",
        dossier=dossier,
        steps=steps,
        papers=papers,
        plan=plan_of((dossier.title, dossier.dossier.what), views, shown["gaps"]),
        **shown,
    )


@router.post("/dossiers/{dossier_id}/photographs")
def bring_in(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    photograph: UploadFile,
    upload_id: Annotated[str, Form(pattern=ID_PATTERN)] = "00000000-0000-0000-0000-000000000000",
) -> Response:
    """Bring in one photograph; the page sends several one after the other."""
    uploads: Uploads = request.app.state.uploads
    with uploads.running(upload_id) as upload, received(bench, photograph) as path:
        entry = import_photograph(
            bench,
            person.author,
            dossier_id,
            path,
            photograph.filename or "photograph",
            progress=upload.report,
            cancel=upload.cancel,
        )
    finish_later(request, bench, entry)
    return go_on(request, f"/dossiers/{dossier_id}/examine")


def finish_later(request: Request, bench: Bench, entry: Entry) -> None:
    """Start the job that makes the finer tiles of a photograph brought in, where jobs are run."""
    jobs: Jobs | None = request.app.state.jobs
    if jobs is not None:
        finish_tiles_later(jobs, bench, entry.dossier_id, record_in(entry))


@router.post("/dossiers/{dossier_id}/papers")
def bring_in_paper(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    paper: UploadFile,
    what: Typed = "",
    said_by: Typed = "",
    dated_on: Typed = "",
    quoted_reported: Annotated[str, Form(max_length=20_000)] = "",
) -> Response:
    """Keep any other file; it is hashed and quoted, never opened."""
    record = Paper(
        number=0,
        original_name=paper.filename or "paper",
        original_sha256="",
        original_bytes=0,
        what=what.strip(),
        said_by=known(said_by),
        dated_on=known(dated_on),
        quoted_reported=known(quoted_reported),
    )
    with received(bench, paper) as path:
        attach_paper(bench, person.author, dossier_id, path, record)
    return go_on(request, f"/dossiers/{dossier_id}/examine")


@router.post("/dossiers/{dossier_id}/not-examined")
def answer_not_examined(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[GapForm, Form()],
) -> Response:
    """Record a place that was not examined, and why."""
    gap = NotExamined(
        place=form.place.strip(),
        because=form.because.strip(),
        plan_x=maybe_number(form.plan_x, "The place across the plan", "", 0, 1),
        plan_y=maybe_number(form.plan_y, "The place down the plan", "", 0, 1),
    )
    record_not_examined(bench, person.author, dossier_id, gap)
    return go_on(request, f"/dossiers/{dossier_id}/examine")


def what_was_seen(reader: Reader, dossier_id: str) -> dict[str, Any]:
    """Return the views with their marks counted, which have a scale, and what was not examined."""
    marks = current_records(reader, dossier_id, "mark")
    seen = [sighting.view_id for _entry, mark in marks for sighting in mark.sightings]
    return {
        "views": [
            (entry, view, seen.count(entry.subject_id))
            for entry, view in views_in(reader, dossier_id)
        ],
        "scaled": {entry.subject_id for entry in reader.current(dossier_id, "scale")},
        "gaps": current_records(reader, dossier_id, "not_examined"),
        "remains": remains_caution(reader, dossier_id),
    }


def plan_of(
    words: tuple[str, str], views: list[tuple[Entry, View]], gaps: list[tuple[Entry, NotExamined]]
) -> str:
    """Return the plan of the object; what nobody placed yet is spread along its upper edge."""
    placed = [
        PlacedView(
            number=view.number,
            words=view.side if view.side != "not known" else "",
            x=_or_spread(view.plan_x, index, len(views)),
            y=0.2 if view.plan_y is None else view.plan_y,
        )
        for index, (_entry, view) in enumerate(views)
    ]
    unseen = [
        PlacedGap(
            gap.place,
            _or_spread(gap.plan_x, index, len(gaps)),
            0.85 if gap.plan_y is None else gap.plan_y,
        )
        for index, (_entry, gap) in enumerate(gaps)
    ]
    return view_plan_svg(plan_shape(*words), placed, unseen)


def _or_spread(place: float | None, index: int, count: int) -> float:
    return (index + 1) / (count + 1) if place is None else place
