"""Law and ethics as facts with dates, and what changed since the last examination."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel

from softmend.records.dossier import Certainty
from softmend.records.legal import Human, LegalFlag, Loan, Topic
from softmend.records.passing import Passed
from softmend.services.dossiers import opened
from softmend.services.examine.comparison import since_last_examination
from softmend.services.legal_flags import (
    ABOUT_REMAINS,
    flags_in,
    kept_by_law,
    let_go,
    record_flag,
    record_loan,
    remains_caution,
    today_at,
)
from softmend.services.next_steps import next_steps
from softmend.services.passing import pass_rule
from softmend.services.recording import current_record, current_records
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.propose.frame import EntryId, Line, Text
from softmend.web.rendering import render

router = APIRouter()


class FlagForm(BaseModel):
    """The form of one flag; there is no field for what may be done."""

    subject_id: EntryId = ""
    based_on: EntryId = ""
    topic: Topic = Topic.SPECIES
    rule: Text = ""
    jurisdiction: Line = ""
    taxon: Line = ""
    ground: Text = ""
    certainty: Certainty = Certainty.NOT_KNOWN
    documents_reported: Text = ""
    human: Human = Human.NOT_ASKED
    checked_on: Line = ""
    checked_by: Line = ""

    def record(self) -> LegalFlag:
        """Return what was typed as a record."""
        return LegalFlag(
            number=0,
            topic=self.topic,
            rule=self.rule.strip(),
            checked_on=self.checked_on.strip(),
            checked_by=self.checked_by.strip(),
            taxon=known(self.taxon),
            ground=known(self.ground),
            certainty=self.certainty,
            jurisdiction=known(self.jurisdiction),
            documents_reported=known(self.documents_reported),
            human=self.human,
        )


@router.get("/dossiers/{dossier_id}/law")
def law(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    flag: Annotated[str, Query(pattern=f"{ID_PATTERN}|^$")] = "",
) -> Response:
    """Show the flags with their dates, and the form of one of them."""
    today = today_at(bench)
    with bench.store.reading() as reader:
        entry_id, chosen = "", LegalFlag(0, Topic.SPECIES, "", today.isoformat(), person.name)
        if flag:
            entry, chosen = current_record(reader, dossier_id, "legal_flag", flag)
            entry_id = entry.id
        shown: dict[str, Any] = {
            "dossier": opened(reader, dossier_id),
            "steps": next_steps(reader, dossier_id, today),
            "lines": flags_in(reader, dossier_id, today),
            "loans": [loan for _entry, loan in current_records(reader, dossier_id, "loan")],
            "caution": remains_caution(reader, dossier_id),
            "kept": kept_by_law(reader, dossier_id, today),
        }
    return render(
        request,
        "examine/law.html",
        here="law",
        chosen=chosen,
        subject_id=flag,
        entry_id=entry_id,
        topics=list(Topic),
        sure=list(Certainty),
        humans=list(Human),
        today=today.isoformat(),
        **shown,
    )


@router.post("/dossiers/{dossier_id}/law")
def write_flag(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[FlagForm, Form()],
) -> Response:
    """Record one flag."""
    record_flag(
        bench,
        person.author,
        dossier_id,
        form.record(),
        subject_id=form.subject_id,
        based_on=form.based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/law")


@router.post("/dossiers/{dossier_id}/law/loan")
def write_loan(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    to_whom: Annotated[str, Form(max_length=2000)] = "",
    leaves_on: Annotated[str, Form(max_length=40)] = "",
    jurisdiction: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Record a loan or another way out; every flag is asked again."""
    loan = Loan(0, to_whom.strip(), known(leaves_on), known(jurisdiction))
    record_loan(bench, person.author, dossier_id, loan)
    return go_on(request, f"/dossiers/{dossier_id}/law")


@router.post("/dossiers/{dossier_id}/law/pass")
def pass_remains(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    because: Annotated[str, Form(max_length=2000)] = "",
    by: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Record that a named person shows pictures of what may be human."""
    pass_rule(bench, person.author, dossier_id, Passed(16, ABOUT_REMAINS, because, by))
    return go_on(request, f"/dossiers/{dossier_id}/law")


@router.post("/dossiers/{dossier_id}/law/let-go")
def pass_stale_law(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    because: Annotated[str, Form(max_length=2000)] = "",
    by: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Record that a named person lets the object go this once although flags are stale."""
    let_go(bench, person.author, dossier_id, because, by)
    return go_on(request, f"/dossiers/{dossier_id}/law")


@router.get("/dossiers/{dossier_id}/since")
def since(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show what was recorded since the last examination."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        steps = next_steps(reader, dossier_id, today_at(bench))
        found = since_last_examination(reader, dossier_id)
    return render(
        request, "revisit/since.html", here="since", dossier=dossier, steps=steps, since=found
    )
