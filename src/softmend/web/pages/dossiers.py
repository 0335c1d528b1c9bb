"""The list of dossiers, opening a new one, and a dossier's front page."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.dossier import Certainty, Dossier, Size
from softmend.services.bench import Bench
from softmend.services.dossiers import (
    OpenDossier,
    change_size,
    dossier_list,
    open_dossier,
    opened,
)
from softmend.services.examine.grades import grades_in
from softmend.services.examine.vocabulary import grade_definitions
from softmend.services.explain.explain_steps import front_steps
from softmend.services.legal_flags import today_at
from softmend.services.next_steps import PAGE_OF_ITEM, Step, asked_for, next_steps
from softmend.services.propose.hours import weeks_said
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.examine.condition import WHOLE_OBJECT
from softmend.web.pages.examine.front import what_was_seen
from softmend.web.pages.examine.words import examination_in, questions_for
from softmend.web.pages.short_job import PLACE_OF_ITEM, short_job_shown, steps_after
from softmend.web.rendering import is_partial, render

router = APIRouter()

ROWS_A_PAGE = 50
_SIZES = [size.value for size in Size]


class NewDossier(BaseModel):
    """The form of a new dossier."""

    what: str = Field("", max_length=2000)
    number: str = Field("", max_length=2000)
    number_issued_by: str = Field("", max_length=2000)
    why_here: str = Field("", max_length=2000)
    size: Size = Size.SHORT
    is_invented: bool = False


@dataclass(frozen=True)
class Counts:
    """How much stands in a dossier, for its front page."""

    views: int
    not_examined: int
    marks: int
    missing: int


@router.get("/")
def dossiers(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    search: Annotated[str, Query(max_length=200)] = "",
    offset: Annotated[int, Query(ge=0, le=10_000_000)] = 0,
) -> Response:
    """List the dossiers, newest change first."""
    rows, total = dossier_list(bench, search, ROWS_A_PAGE, offset)
    template = "part_dossiers.html" if is_partial(request) else "dossiers.html"
    return render(
        request,
        template,
        rows=rows,
        total=total,
        search=search,
        offset=offset,
        limit=ROWS_A_PAGE,
    )


@router.get("/dossiers/new")
def new_dossier(request: Request, person: PersonHere) -> Response:
    """Ask for three facts and a size."""
    return render(request, "new_dossier.html")


@router.post("/dossiers")
def open_new_dossier(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[NewDossier, Form()]
) -> Response:
    """Open a dossier and show its front page."""
    dossier_id = open_dossier(bench, person.author, Dossier(**form.model_dump()))
    return go_on(request, f"/dossiers/{dossier_id}")


@router.get("/dossiers/{dossier_id}")
def front(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show what to do next, the hazards, the deadline and what stands in the dossier."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        _, overall = grades_in(reader, dossier_id)
        shown: dict[str, Any] = {
            "dossier": dossier,
            "steps": _steps(bench, reader, dossier),
            "weeks": weeks_said(reader, dossier_id),
            "counts": _counts(reader, dossier_id),
            "overall": overall,
            "larger": _SIZES[_SIZES.index(dossier.dossier.size.value) + 1 :],
        }
        if dossier.dossier.size is not Size.FULL:
            shown |= _one_screen(reader, dossier)
        if dossier.dossier.size is Size.SHORT:
            shown |= short_job_shown(bench, reader, dossier_id)
            shown["steps"] = [*shown["steps"], *steps_after(shown["asked_after"])]
    template = "front.html" if dossier.dossier.size is Size.FULL else "one_screen.html"
    return render(request, template, here="dossier", **shown)


def _steps(bench: Bench, reader: Reader, dossier: OpenDossier) -> list[Step]:
    """Return what to do next; a note and a short job ask nothing of Explain."""
    if dossier.dossier.size is Size.FULL:
        return front_steps(reader, dossier.dossier_id, today_at(bench))
    return next_steps(reader, dossier.dossier_id, today_at(bench))


@router.post("/dossiers/{dossier_id}/size")
def grow(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    size: Annotated[Size, Form()],
    based_on: Annotated[str, Form(max_length=40)],
) -> Response:
    """Let a dossier ask for more."""
    change_size(bench, person.author, dossier_id, size, based_on)
    return go_on(request, f"/dossiers/{dossier_id}")


def _one_screen(reader: Reader, dossier: OpenDossier) -> dict[str, Any]:
    """Return what a note or a short dossier asks for, all of which stands on its front page."""
    dossier_id, size = dossier.dossier_id, dossier.dossier.size
    grades = current_records(reader, dossier_id, "grade")
    whole = next(((e.id, one) for e, one in grades if one.of_id == WHOLE_OBJECT), None)
    entry_id, examination = examination_in(reader, dossier_id)
    return {
        "asked": asked_for(reader, dossier_id),
        "page_of": PAGE_OF_ITEM | PLACE_OF_ITEM,
        "asked_after": [],
        "entry_id": entry_id,
        "examination": examination,
        "questions": questions_for(size),
        "unanswered": [one.hazard for _, entry_id, one in dossier.hazards if not entry_id],
        "sure": list(Certainty),
        "whole": WHOLE_OBJECT,
        "whole_entry_id": whole[0] if whole else "",
        "whole_grade": whole[1] if whole else None,
        "definitions": grade_definitions(),
        **what_was_seen(reader, dossier_id),
    }


def _counts(reader: Reader, dossier_id: str) -> Counts:
    asked = asked_for(reader, dossier_id)
    return Counts(
        views=len(reader.current(dossier_id, "view")),
        not_examined=len(reader.current(dossier_id, "not_examined")),
        marks=len(reader.current(dossier_id, "mark")),
        missing=sum(not (item.is_there or item.not_done_because) for item in asked),
    )
