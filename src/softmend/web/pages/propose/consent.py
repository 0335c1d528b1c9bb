"""Consent to listed points: recorded as reported, void when a point changes, wording noted."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.consent import Decision
from softmend.records.passing import Passed
from softmend.services.passing import pass_rule
from softmend.services.propose.consents import (
    Answered,
    note_wording,
    record_consent,
)
from softmend.services.propose.proposal_content import points_shown
from softmend.services.recording import current_records
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.propose.frame import Line, Text, frame, number_or_none
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()


class ConsentForm(BaseModel):
    """The form of an answer; `seen_hash` is the hash that was on the paper or the page."""

    seen_hash: Annotated[str, Field(max_length=64)] = ""
    decision: Decision = Decision.NO
    given_by: Line = ""
    role: Line = ""
    decided_on: Line = ""
    limits: Text = ""
    paper_number: Line = ""
    no_paper_because: Text = ""


@router.get("/dossiers/{dossier_id}/propose/consent")
def consent(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the points, who answered what, and what has changed since."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/consent")
        report = points_shown(reader, dossier_id)
        shown |= {
            "report": report,
            "standings": report.standings,
            "points_hash": report.points_hash,
            "papers": [paper for _entry, paper in current_records(reader, dossier_id, "paper")],
        }
    return render(request, "propose/consent.html", decisions=list(Decision), **shown)


@router.post("/dossiers/{dossier_id}/propose/consent")
def write_consent(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[ConsentForm, Form()],
) -> Response:
    """Record an answer as it was reported."""
    answered = Answered(
        decision=form.decision,
        given_by=form.given_by.strip(),
        role=form.role.strip(),
        decided_on=form.decided_on.strip(),
        limits=known(form.limits),
        paper_number=number_or_none(form.paper_number, _("The paper")),
        no_paper_because=known(form.no_paper_because),
    )
    record_consent(bench, person.author, dossier_id, answered, form.seen_hash)
    return go_on(request, f"/dossiers/{dossier_id}/propose/consent")


@router.post("/dossiers/{dossier_id}/propose/consent/wording")
def tell_wording(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    told_to: Annotated[str, Form(max_length=2000)] = "",
    told_on: Annotated[str, Form(max_length=40)] = "",
    note: Annotated[str, Form(max_length=20_000)] = "",
) -> Response:
    """Note that somebody was told of changed wording."""
    note_wording(
        bench, person.author, dossier_id, told_to=told_to, told_on=told_on, note=known(note)
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/consent")


@router.post("/dossiers/{dossier_id}/propose/consent/pass")
def pass_consent(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    seen_hash: Annotated[str, Form(max_length=64)] = "",
    because: Annotated[str, Form(max_length=20_000)] = "",
    by: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Record that a named person lets work go on without consent, for these points only."""
    pass_rule(bench, person.author, dossier_id, Passed(2, seen_hash, because, by))
    return go_on(request, f"/dossiers/{dossier_id}/propose/consent")
