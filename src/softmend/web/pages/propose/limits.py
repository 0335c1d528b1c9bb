"""The coating question, and the limits: samples, hours, risk, afterwards, what comes back."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.passing import Passed, passing_of
from softmend.records.proposal import Coat, Coating
from softmend.services.passing import pass_rule, passings_in
from softmend.services.propose.proposals import plan_in, proposal_in, write_proposal
from softmend.services.treat.treatment_words import coating_reasons
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number
from softmend.web.pages.propose.frame import MOST_HOURS, EntryId, Line, Text, frame
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()


class SurfaceForm(BaseModel):
    """The form of the coating question."""

    based_on: EntryId = ""
    answer: Coat = Coat.NOT_ANSWERED
    reasons: Annotated[list[Line], Field(max_length=20)] = []
    own_reason: Text = ""
    where: Line = ""
    instead: Text = ""

    def record(self) -> Coating:
        """Return what was chosen as a record."""
        given = (*self.reasons, self.own_reason)
        return Coating(
            answer=self.answer,
            reasons=tuple(dict.fromkeys(one.strip() for one in given if one.strip())),
            where=known(self.where),
            instead=known(self.instead),
        )


class LimitsForm(BaseModel):
    """The form of the limits."""

    based_on: EntryId = ""
    sampling_asked: Text = ""
    limits: Text = ""
    residual_risk: Text = ""
    fragments: Text = ""
    hours_agreed_h: Line = ""
    hours_over_percent: Line = ""
    environment_afterwards: Text = ""
    people_and_disposal: Text = ""
    comes_back_when: Text = ""


@router.get("/dossiers/{dossier_id}/propose/surface")
def surface(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Ask the coating question."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/surface")
        entry_id, proposal = proposal_in(reader, dossier_id)
        passed = passing_of(passings_in(reader, dossier_id), 11, "coating")
    usual = coating_reasons()
    own = [one for one in proposal.coating.reasons if one not in {words for _side, words in usual}]
    return render(
        request,
        "propose/surface.html",
        coating=proposal.coating,
        entry_id=entry_id,
        answers=[one for one in Coat if one is not Coat.NOT_ANSWERED],
        usual=usual,
        own_reason="; ".join(own),
        passed=passed,
        **shown,
    )


@router.post("/dossiers/{dossier_id}/propose/surface")
def answer_coating(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[SurfaceForm, Form()],
) -> Response:
    """Record the answer to the coating question."""
    with bench.store.reading() as reader:
        _entry_id, before = proposal_in(reader, dossier_id)
    after = replace(before, coating=form.record())
    write_proposal(bench, person.author, dossier_id, after, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose")


@router.post("/dossiers/{dossier_id}/propose/surface/pass")
def pass_coating(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    because: Annotated[str, Form(max_length=2000)] = "",
    by: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Record that a named person leaves the coating question open."""
    pass_rule(bench, person.author, dossier_id, Passed(11, "coating", because, by))
    return go_on(request, f"/dossiers/{dossier_id}/propose")


@router.get("/dossiers/{dossier_id}/propose/limits")
def limits(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Ask for the limits of the work."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/limits")
        entry_id, proposal = proposal_in(reader, dossier_id)
        hours = plan_in(reader, dossier_id).hours
    return render(
        request, "propose/limits.html", proposal=proposal, entry_id=entry_id, hours=hours, **shown
    )


@router.post("/dossiers/{dossier_id}/propose/limits")
def record_limits(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[LimitsForm, Form()],
) -> Response:
    """Record the limits of the work."""
    with bench.store.reading() as reader:
        _entry_id, before = proposal_in(reader, dossier_id)
    after = replace(
        before,
        sampling_asked=known(form.sampling_asked),
        limits=known(form.limits),
        residual_risk=known(form.residual_risk),
        fragments=known(form.fragments),
        hours_agreed_h=maybe_number(
            form.hours_agreed_h, _("The agreed hours"), "h", 0.1, MOST_HOURS
        ),
        hours_over_percent=maybe_number(
            form.hours_over_percent, _("The share above"), "%", 0.1, 1000
        ),
        environment_afterwards=known(form.environment_afterwards),
        people_and_disposal=known(form.people_and_disposal),
        comes_back_when=known(form.comes_back_when),
    )
    write_proposal(bench, person.author, dossier_id, after, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose")
