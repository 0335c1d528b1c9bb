"""What will take it off: the shelf first, single solvents first, a blend only where it gains."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.catalogue.solvency_agent import FOOTER
from softmend.services.legal_flags import today_at
from softmend.services.propose.removing_gate import object_facts
from softmend.services.propose.removing_off import (
    BLENDS,
    class_names,
    keep_names,
    keep_off,
    tried_blend,
    what_takes_it_off,
)
from softmend.services.propose.removing_ways import near_cracks
from softmend.services.propose.solvent_shelf import shelf_for
from softmend.services.propose.spot_tests_answer import kept_run
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.propose.frame import Line, frame
from softmend.web.pages.propose.spot_form import MOST_PARTS, Name, shares_typed
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

Layers = Annotated[list[Name], Field(max_length=5)]


class Asked(BaseModel):
    """What is asked beside the tests: layers to keep, a clearance step, the strip's coating."""

    keep: Layers = []
    clearance_step: Line = ""
    against: Annotated[str, Field(max_length=40)] = ""


class Tried(BaseModel):
    """A blend that a person tries out."""

    solvent: Annotated[list[Name], Field(max_length=MOST_PARTS)] = []
    percent: Annotated[list[Line], Field(max_length=MOST_PARTS)] = []
    against: Annotated[str, Field(max_length=40)] = "ethyl-methacrylate"


@router.get("/dossiers/{dossier_id}/propose/off")
def off(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    asked: Annotated[Asked, Query()],
) -> Response:
    """Show the question; the search answers as a part of the page."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/off")
        solvents, has_shelf = shelf_for(reader, today_at(bench), object_facts(reader, dossier_id))
        shown |= near_cracks(reader, dossier_id)
        kept = kept_run(reader, dossier_id, BLENDS)
    return render(
        request, "propose/removing_off.html", asked=asked, layers=keep_names(),
        classes=class_names(), solvents=solvents, has_shelf=has_shelf, kept=kept, footer=FOOTER,
        query=request.url.query, **shown,
    )  # fmt: skip


@router.get("/dossiers/{dossier_id}/propose/off/answer")
def answer(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    asked: Annotated[Asked, Query()],
) -> Response:
    """Give single solvents, blends that gain, what was refused, and the strips."""
    with bench.store.reading() as reader:
        found = what_takes_it_off(
            reader, dossier_id, today_at(bench), asked.keep, asked.clearance_step, asked.against
        )
        cracks = near_cracks(reader, dossier_id)
    return render(
        request, "propose/removing_answer.html", base=f"/dossiers/{dossier_id}", found=found,
        work=working(BLENDS, _("what takes it off"), found.answer), footer=FOOTER, **cracks,
    )  # fmt: skip


@router.get("/dossiers/{dossier_id}/propose/off/try")
def try_blend(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    tried: Annotated[Tried, Query()],
) -> Response:
    """Give where a blend lies that a person tries out, whether it mixes, how it dries."""
    shares = shares_typed(tried.solvent, tried.percent)
    if not shares:
        return render(request, "propose/removing_tried.html", position=None, strip=None)
    with bench.store.reading() as reader:
        position, strip = tried_blend(reader, dossier_id, shares, tried.against)
    return render(request, "propose/removing_tried.html", position=position, strip=strip)


@router.post("/dossiers/{dossier_id}/propose/off/keep")
def keep(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    asked: Annotated[Asked, Form()],
) -> Response:
    """Keep what takes it off, for the proposal and its Workings."""
    keep_off(bench, person.author, dossier_id, asked.keep, asked.clearance_step)
    return go_on(request, f"/dossiers/{dossier_id}/propose/off")
