"""The air over the work: room, amount, distance; gloves, fire, waste, residues; the bench card."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.catalogue.solvency_agent import FOOTER
from softmend.records.air_question import ASKED, AirQuestion
from softmend.services.legal_flags import today_at
from softmend.services.propose.air_over import AIR, air_shown, lists_of_limits, write_air
from softmend.services.propose.removing_gate import object_facts
from softmend.services.propose.removing_print import print_bench_card
from softmend.services.propose.solvent_shelf import shelf_for
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number
from softmend.web.pages.hand_over.frame import PDF, download
from softmend.web.pages.propose.frame import EntryId, Line, frame
from softmend.web.pages.propose.spot_form import MOST_PARTS, Name, shares_typed
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()


class AirForm(BaseModel):
    """The form of the air over the work."""

    based_on: EntryId = ""
    solvent: Annotated[list[Name], Field(max_length=MOST_PARTS)] = []
    percent: Annotated[list[Line], Field(max_length=MOST_PARTS)] = []
    used_ml_per_h: Line = ""
    work_minutes: Line = ""
    stays_minutes: Line = ""
    room_volume_m3: Line = ""
    air_changes_per_h: Line = ""
    air_flow_m3_per_h: Line = ""
    captured_percent: Line = ""
    head_distance_mm: Line = ""
    limit_list: Name = "UK EH40"
    extraction: Line = ""
    gloves: Line = ""
    breakthrough: Line = ""
    ignition: Line = ""
    waste: Line = ""
    eyes: Line = ""
    sheet_read: Line = ""

    def record(self) -> AirQuestion:
        """Return what was typed as a record."""
        return AirQuestion(
            shares=shares_typed(self.solvent, self.percent),
            used_ml_per_h=maybe_number(self.used_ml_per_h, _("What is used"), "mL/h", 0.01, 10_000),
            work_minutes=maybe_number(self.work_minutes, _("The work"), "min", 1, 480),
            stays_minutes=maybe_number(self.stays_minutes, _("The stay"), "min", 0, 480) or 0.0,
            room_volume_m3=maybe_number(self.room_volume_m3, _("The room"), "m³", 1, 1e6),
            air_changes_per_h=maybe_number(
                self.air_changes_per_h, _("The air changes"), "per hour", 0.01, 200
            ),
            air_flow_m3_per_h=maybe_number(
                self.air_flow_m3_per_h, _("The air that leaves"), "m³/h", 0.1, 1e6
            ),
            captured_percent=maybe_number(self.captured_percent, _("What is captured"), "%", 0, 98),
            head_distance_mm=maybe_number(
                self.head_distance_mm, _("The distance of the head"), "mm", 20, 3000
            ),
            limit_list=self.limit_list,
            extraction=known(self.extraction),
            gloves=known(self.gloves),
            breakthrough=known(self.breakthrough),
            ignition=known(self.ignition),
            waste=known(self.waste),
            eyes=known(self.eyes),
            sheet_read=known(self.sheet_read),
        )


@router.get("/dossiers/{dossier_id}/propose/air")
def air(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the air over the work, what is asked before the first swab, and the form."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/air")
        found = air_shown(reader, dossier_id)
        solvents, _has = shelf_for(reader, today_at(bench), object_facts(reader, dossier_id))
    work = None if found.answer is None else working(AIR, _("the air"), found.answer)
    return render(
        request,
        "propose/air.html",
        found=found,
        air=found.air,
        solvents=solvents,
        lists=lists_of_limits(),
        asked=ASKED,
        work=work,
        footer=FOOTER,
        **shown,
    )


@router.post("/dossiers/{dossier_id}/propose/air")
def record_air(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[AirForm, Form()],
) -> Response:
    """Record the question about the air."""
    write_air(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose/air")


@router.get("/dossiers/{dossier_id}/propose/air/card.pdf")
def card(bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give the bench card to print."""
    return download(bench, dossier_id, print_bench_card(bench, dossier_id), "bench card", PDF)
