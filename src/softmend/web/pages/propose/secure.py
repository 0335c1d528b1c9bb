"""Secure now, and the questions that are owed before anything wet touches the object."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.securing import Means, Securing
from softmend.records.wet_step import LAID_WITH_WATER, NOT_SAFE, BeforeWet, Evidence, Reply, Way
from softmend.services.examine.views import views_in
from softmend.services.legal_flags import remains_caution
from softmend.services.propose.securing import record_securing, securings_in, tell_owner
from softmend.services.propose.wet_steps import (
    before_wet_in,
    locked_for,
    protected_zones,
    wet_step_findings,
    write_before_wet,
)
from softmend.services.recording import current_records
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.propose.frame import (
    EntryId,
    Line,
    Numbers,
    Text,
    frame,
    number_or_none,
    places_in,
)
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()


class SecuringForm(BaseModel):
    """The form of one thing secured now."""

    means: Means = Means.FACING
    where: Line = ""
    because: Text = ""
    with_what: Text = ""
    is_wet: bool = False
    undone_how: Text = ""
    owner_told_by_on: Line = ""
    view_number: Line = ""
    no_image_because: Text = ""
    mark_numbers: Numbers = []

    def record(self) -> Securing:
        """Return what was typed as a record."""
        return Securing(
            number=0,
            means=self.means,
            where=self.where.strip(),
            because=self.because.strip(),
            undone_how=self.undone_how.strip(),
            owner_told_by_on=self.owner_told_by_on.strip(),
            mark_numbers=tuple(self.mark_numbers),
            with_what=known(self.with_what),
            is_wet=self.is_wet,
            view_number=number_or_none(self.view_number, _("The view")),
            no_image_because=known(self.no_image_because),
        )


class WetForm(BaseModel):
    """The form of what is owed before wet work; one place in each list is one zone."""

    based_on: EntryId = ""
    sampling_first: Reply = Reply.NOT_ASKED
    sampling_asked_of: Line = ""
    sampling_done: Text = ""
    type_figured_or_dated: Reply = Reply.NOT_ASKED
    type_grounds: Text = ""
    no_reserve_because: Text = ""
    remains_approved_by: Line = ""
    evidence_number: Numbers = []
    evidence_answer: Annotated[
        list[Literal["not decided", "kept out of", "named yes"]], Field(max_length=500)
    ] = []
    evidence_by: Annotated[list[Line], Field(max_length=500)] = []
    evidence_because: Annotated[list[Line], Field(max_length=500)] = []
    way: Way = Way.LOCKED
    way_because: Text = ""
    way_by: Line = ""

    def record(self) -> BeforeWet:
        """Return what was answered as a record."""
        rows = zip(
            self.evidence_number,
            self.evidence_answer,
            self.evidence_by,
            self.evidence_because,
            strict=False,
        )
        return BeforeWet(
            sampling_first=self.sampling_first,
            sampling_asked_of=known(self.sampling_asked_of),
            sampling_done=known(self.sampling_done),
            type_figured_or_dated=self.type_figured_or_dated,
            type_grounds=known(self.type_grounds),
            no_reserve_because=known(self.no_reserve_because),
            remains_approved_by=known(self.remains_approved_by),
            evidence=tuple(
                Evidence(number, answer == "named yes", by.strip(), known(because))
                for number, answer, by, because in rows
                if answer != "not decided"
            ),
            way=self.way,
            way_because=known(self.way_because),
            way_by=known(self.way_by),
        )


@router.get("/dossiers/{dossier_id}/propose/secure")
def secure(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show what was secured, and the form for more."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/secure")
        shown |= {
            "lines": securings_in(reader, dossier_id),
            "views": [view for _entry, view in views_in(reader, dossier_id)],
            "places": {"mark_numbers": places_in(reader, dossier_id)["mark_numbers"]},
            "locked": locked_for(reader, dossier_id),
        }
    return render(
        request, "propose/secure.html", means=list(Means), chosen=None, not_safe=NOT_SAFE, **shown
    )


@router.post("/dossiers/{dossier_id}/propose/secure")
def write_securing(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[SecuringForm, Form()],
) -> Response:
    """Record one thing secured before consent."""
    record_securing(bench, person.author, dossier_id, form.record())
    return go_on(request, f"/dossiers/{dossier_id}/propose/secure")


@router.post("/dossiers/{dossier_id}/propose/secure/told")
def owner_told(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    subject_id: Annotated[str, Form(pattern=ID_PATTERN)],
    based_on: Annotated[str, Form(max_length=40)],
    told_on: Annotated[str, Form(max_length=40)] = "",
) -> Response:
    """Record that the owner was told."""
    tell_owner(bench, person.author, dossier_id, subject_id, told_on, based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose/secure")


@router.get("/dossiers/{dossier_id}/propose/wet")
def wet(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show what is owed before the first wet step."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/wet")
        entry_id, answers = before_wet_in(reader, dossier_id)
        shown |= {
            "findings": wet_step_findings(reader, dossier_id),
            "protected": protected_zones(reader, dossier_id),
            "locked": locked_for(reader, dossier_id),
            "remains": remains_caution(reader, dossier_id),
            "reserves": [
                zone
                for _entry, zone in current_records(reader, dossier_id, "on_zone")
                if zone.on_it.value == "untreated reserve"
            ],
        }
    return render(
        request,
        "propose/wet.html",
        answers=answers,
        decided={one.zone_number: one for one in answers.evidence},
        entry_id=entry_id,
        replies=list(Reply),
        ways=list(Way),
        not_safe=NOT_SAFE,
        laid_with_water=LAID_WITH_WATER,
        **shown,
    )


@router.post("/dossiers/{dossier_id}/propose/wet")
def write_wet(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[WetForm, Form()],
) -> Response:
    """Record what was answered."""
    write_before_wet(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose/wet")
