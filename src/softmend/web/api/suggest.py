"""Suggested cracks inside a drawn region, while a slider moves; and the answer to each."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Request
from pydantic import BaseModel, Field

from softmend.records.drawing import checked_geometry
from softmend.records.kinds import record_in
from softmend.records.mark import Geometry, Shape
from softmend.services.examine.suggesting import (
    Looking,
    Suggested,
    answer_suggestion,
    suggest_later,
    suggested_in,
)
from softmend.services.jobs import Jobs
from softmend.services.recording import current_record
from softmend.web.api.answers import Refusals
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.shapes import Position

router = APIRouter(
    prefix="/dossiers/{dossier_id}/views/{view_id}/suggest", tags=["marks"], responses=Refusals
)

Sensitivity = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
Word = Annotated[str, Field(max_length=200)]


class RegionIn(BaseModel):
    """The region to look in, one sensitivity (0 strict to 100 loose), by what, ruled lines too."""

    region_px: Annotated[list[Position], Field(min_length=3, max_length=20_000)]
    sensitivity: Sensitivity = 45.0
    engine: Literal["classical", "network"] = "classical"
    even_lines: bool = False


class SuggestedLine(BaseModel):
    """One suggested line, and the method and version it came by."""

    line_px: Annotated[list[Position], Field(min_length=2, max_length=20_000)]
    method: Word
    version: Word
    sensitivity: Sensitivity


class SuggestionsOut(BaseModel):
    """Suggested lines, those that stand out most first, and what is to be said of them.

    With `job_id` the region is large and is looked at in a job: ask again when that is done.
    """

    lines: list[SuggestedLine]
    more: int
    looked_at_percent: float
    warnings: list[str]
    job_id: str = ""


class AnswerIn(SuggestedLine):
    """A suggestion and what a person says to it."""

    is_accepted: bool


class AnswerOut(BaseModel):
    """The mark that an accepted suggestion became; 0 where it was refused."""

    mark_number: int


@router.post("")
def look(
    request: Request, bench: BenchHere, dossier_id: Id, view_id: Id, body: RegionIn
) -> SuggestionsOut:
    """Look for cracks inside a region; nothing is recorded."""
    with bench.store.reading() as reader:
        _entry, view = current_record(reader, dossier_id, "view", view_id)
    drawn = Geometry(Shape.AREA, (tuple((x, y) for x, y in body.region_px),))
    region = checked_geometry(drawn, view.width_px, view.height_px).parts[0]
    how = Looking(body.sensitivity, body.engine, body.even_lines)
    jobs: Jobs | None = request.app.state.jobs
    job_id = suggest_later(jobs, bench, dossier_id, view, region, how)
    if job_id:
        return SuggestionsOut(lines=[], more=0, looked_at_percent=0.0, warnings=[], job_id=job_id)
    found = suggested_in(bench, view_id, view, region, how)
    return SuggestionsOut(
        lines=[
            SuggestedLine(
                line_px=[list(at) for at in one.line_px],
                method=one.method,
                version=one.version,
                sensitivity=one.sensitivity,
            )
            for one in found.lines
        ],
        more=found.more,
        looked_at_percent=found.looked_at_percent,
        warnings=list(found.warnings),
    )


@router.post("/stop/{job_id}", status_code=204)
def stop(request: Request, dossier_id: Id, view_id: Id, job_id: Id) -> None:
    """Stop looking; nothing half found is kept."""
    jobs: Jobs | None = request.app.state.jobs
    if jobs is not None:
        jobs.stop(job_id)


@router.post("/answer")
def answer(
    bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id, body: AnswerIn
) -> AnswerOut:
    """Record that a suggestion was accepted, which makes a mark of it, or refused."""
    line = tuple((round(x, 2), round(y, 2)) for x, y in body.line_px)
    one = Suggested(view_id, line, body.method, body.version, body.sensitivity)
    entry = answer_suggestion(
        bench, person.author, dossier_id, one, is_accepted=body.is_accepted
    )  # fmt: skip
    return AnswerOut(mark_number=record_in(entry).mark_number)
