"""Hazards: each is "not tested" until tested, and a few tested points never clear an object."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.dossier import Hazard, HazardStatus
from softmend.services.dossiers import opened, record_hazard
from softmend.services.next_steps import next_steps
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.rendering import render

router = APIRouter()

Line = Annotated[str, Field(max_length=2000)]


class HazardForm(BaseModel):
    """The form of one hazard."""

    subject_id: str = Field("", max_length=40)
    based_on: str = Field("", max_length=40)
    hazard: Line = ""
    status: HazardStatus = HazardStatus.NOT_TESTED
    method: Line = ""
    detection_limit: Line = ""
    tested_on: Line = ""
    who_may_handle: Line = ""
    handling: Line = ""

    def record(self) -> Hazard:
        """Return what was typed as a record."""
        if not self.hazard.strip():
            raise InputError("The hazard needs a name", remedy="Say in a few words what it is")
        return Hazard(
            hazard=self.hazard.strip(),
            status=self.status,
            method=known(self.method),
            detection_limit=known(self.detection_limit),
            tested_on=known(self.tested_on),
            who_may_handle=known(self.who_may_handle),
            handling=known(self.handling),
        )


@router.get("/dossiers/{dossier_id}/hazards")
def hazards(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show every hazard, the always asked ones first."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        steps = next_steps(reader, dossier_id)
    return render(
        request,
        "examine/hazards.html",
        here="hazards",
        dossier=dossier,
        steps=steps,
        unanswered=[hazard for _, entry_id, hazard in dossier.hazards if not entry_id],
        statuses=list(HazardStatus),
        blank=Hazard(hazard=""),
    )


@router.post("/dossiers/{dossier_id}/hazards")
def answer_hazard(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[HazardForm, Form()],
) -> Response:
    """Record what is known of one hazard."""
    record_hazard(
        bench,
        person.author,
        dossier_id,
        form.record(),
        subject_id=form.subject_id,
        based_on=form.based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/hazards")


@router.post("/dossiers/{dossier_id}/hazards/not-tested")
def answer_not_tested(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id
) -> Response:
    """Answer every hazard that nobody answered yet with "not tested"."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
    for _, entry_id, hazard in dossier.hazards:
        if not entry_id:
            record_hazard(bench, person.author, dossier_id, hazard)
    return go_on(request, f"/dossiers/{dossier_id}/hazards")
