"""Fills with warrant and detection (rule 8), and what earlier work comes off."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel

from softmend.records.proposal import Level, PlanFill, PlanRemoval, ToneRule, Warrant
from softmend.services.explain.crack_void import asked_of_voids
from softmend.services.propose.fills import fills_in
from softmend.services.propose.proposals import record_fill, record_removal
from softmend.services.recording import current_record, current_records
from softmend.services.solid.printed import voids_on_scans
from softmend.services.treat.treatment_words import warrants
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number
from softmend.web.pages.propose.frame import (
    EntryId,
    Line,
    Numbers,
    Text,
    frame,
    materials_in,
    places_in,
)
from softmend.web.pages.propose.steps import Chosen
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()


class FillForm(BaseModel):
    """The form of one fill."""

    subject_id: EntryId = ""
    based_on: EntryId = ""
    mark_numbers: Numbers = []
    material_numbers: Numbers = []
    warrant: Warrant = Warrant.NONE
    warrant_grounds: Text = ""
    level: Level = Level.FLUSH
    set_back_mm: Line = ""
    texture: Line = ""
    tone: ToneRule = ToneRule.PLAIN
    tone_distance_m: Line = ""
    detected_by: Text = ""
    curator_yes_by: Line = ""
    passed_because: Text = ""
    passed_by: Line = ""

    def record(self) -> PlanFill:
        """Return what was typed as a record."""
        return PlanFill(
            number=0,
            mark_numbers=tuple(self.mark_numbers),
            warrant=self.warrant,
            warrant_grounds=known(self.warrant_grounds),
            level=self.level,
            set_back_mm=maybe_number(self.set_back_mm, _("The depth below"), "mm", 0.01, 100),
            texture=known(self.texture),
            tone=self.tone,
            tone_distance_m=maybe_number(self.tone_distance_m, _("The distance"), "m", 0.1, 100),
            detected_by=known(self.detected_by),
            curator_yes_by=known(self.curator_yes_by),
            material_numbers=tuple(self.material_numbers),
        )


class RemovalForm(BaseModel):
    """The form of earlier work that comes off."""

    subject_id: EntryId = ""
    based_on: EntryId = ""
    what: Text = ""
    because: Text = ""
    carries: Text = ""
    secured_first: Text = ""
    kept_where: Text = ""
    mark_numbers: Numbers = []
    body_zone_numbers: Numbers = []
    on_zone_numbers: Numbers = []

    def record(self) -> PlanRemoval:
        """Return what was typed as a record."""
        return PlanRemoval(
            number=0,
            what=self.what.strip(),
            because=self.because.strip(),
            carries=known(self.carries),
            secured_first=known(self.secured_first),
            kept_where=known(self.kept_where),
            mark_numbers=tuple(self.mark_numbers),
            body_zone_numbers=tuple(self.body_zone_numbers),
        )


@router.get("/dossiers/{dossier_id}/propose/fills")
def fills(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, fill: Chosen = ""
) -> Response:
    """Show the fills, and the form of one of them."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/fills")
        lines = current_records(reader, dossier_id, "plan_fill")
        entry_id, chosen = "", PlanFill(0, ())
        if fill:
            entry, chosen = current_record(reader, dossier_id, "plan_fill", fill)
            entry_id = entry.id
        shown |= {
            "places": {"mark_numbers": places_in(reader, dossier_id)["mark_numbers"]},
            "materials": materials_in(reader, dossier_id),
            "scanned": voids_on_scans(reader, dossier_id),
            "gives_first": asked_of_voids(reader, dossier_id),
            "fill_total": fills_in(reader, dossier_id).total_text,
        }
    return render(
        request,
        "propose/fills.html",
        lines=lines,
        chosen=chosen,
        subject_id=fill,
        entry_id=entry_id,
        warrants=warrants(),
        levels=list(Level),
        tones=list(ToneRule),
        **shown,
    )


@router.post("/dossiers/{dossier_id}/propose/fills")
def write_fill(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[FillForm, Form()],
) -> Response:
    """Record one fill, or that a named person passes rule 8 for it."""
    record_fill(
        bench,
        person.author,
        dossier_id,
        form.record(),
        passed_because=form.passed_because,
        passed_by=form.passed_by,
        subject_id=form.subject_id,
        based_on=form.based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/fills")


@router.get("/dossiers/{dossier_id}/propose/removals")
def removals(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, removal: Chosen = ""
) -> Response:
    """Show what earlier work comes off, and the form of one piece of it."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/removals")
        lines = current_records(reader, dossier_id, "plan_removal")
        entry_id, chosen = "", PlanRemoval(0, "", "")
        if removal:
            entry, chosen = current_record(reader, dossier_id, "plan_removal", removal)
            entry_id = entry.id
        places = places_in(reader, dossier_id)
        del places["on_zone_numbers"]
    return render(
        request,
        "propose/removals.html",
        lines=lines,
        chosen=chosen,
        subject_id=removal,
        entry_id=entry_id,
        places=places,
        **shown,
    )


@router.post("/dossiers/{dossier_id}/propose/removals")
def write_removal(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[RemovalForm, Form()],
) -> Response:
    """Record what earlier work comes off."""
    record_removal(
        bench,
        person.author,
        dossier_id,
        form.record(),
        subject_id=form.subject_id,
        based_on=form.based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/removals")
