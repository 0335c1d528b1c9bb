"""Closing: what is missing, what a rule asks for, two copies in two hands, and opening again."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel

from softmend.records.closing import Closing
from softmend.records.handover import HandOver
from softmend.records.passing import RULES
from softmend.services.deposit.archive import record_hand_over
from softmend.services.examine.grades import answer_not_done
from softmend.services.hand_over.closing import (
    PAGE_AT_CLOSING,
    close_dossier,
    closing_state,
    pass_at_closing,
    reopen_dossier,
)
from softmend.services.legal_flags import today_at
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, typed_number
from softmend.web.pages.hand_over.frame import EntryId, Line, Text, frame
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()


class HandOverForm(BaseModel):
    """The form of one copy given away."""

    to_whom: Line = ""
    package_hash: Line = ""
    entry_count: Line = ""
    head_hash: Line = ""
    handed_on: Line = ""
    carried_how: Line = ""
    receipt_reported: Text = ""

    def record(self) -> HandOver:
        """Return what was typed as a record."""
        count = typed_number(self.entry_count, _("The number of entries"), "", 1, 10_000_000)
        return HandOver(
            to_whom=self.to_whom.strip(),
            package_hash=self.package_hash.strip().lower(),
            entry_count=int(count),
            head_hash=self.head_hash.strip().lower(),
            handed_on=self.handed_on.strip(),
            carried_how=known(self.carried_how),
            receipt_reported=known(self.receipt_reported),
        )


class ClosingForm(BaseModel):
    """The form of the closing itself."""

    based_on: EntryId = ""
    closed_on: Line = ""
    outcome: Text = ""
    signed_by: Line = ""

    def record(self) -> Closing:
        """Return what was typed as a record; what it rests on is added by the service."""
        return Closing(
            closed_on=self.closed_on.strip(),
            outcome=self.outcome.strip(),
            signed_by=self.signed_by.strip(),
            next_check_on="",
        )


@router.get("/dossiers/{dossier_id}/return/closing")
def closing(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show what stands between the dossier and its closing."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "return/closing")
        state = closing_state(reader, dossier_id)
    return render(
        request,
        "hand_over/closing.html",
        state=state,
        page_of=PAGE_AT_CLOSING,
        today=today_at(bench).isoformat(),
        rules=RULES,
        **shown,
    )


@router.post("/dossiers/{dossier_id}/return/closing")
def close(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[ClosingForm, Form()],
) -> Response:
    """Close the dossier."""
    close_dossier(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/return/closing")


@router.post("/dossiers/{dossier_id}/return/closing/not-done")
def not_done(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    asked: Annotated[str, Form(max_length=40, pattern=r"^[a-z_]+$")],
    because: Annotated[str, Form(max_length=2000)] = "",
    based_on: Annotated[str, Form(max_length=40)] = "",
) -> Response:
    """Answer something that closing asks for with: not done, because."""
    answer_not_done(bench, person.author, dossier_id, asked, because, based_on)
    return go_on(request, f"/dossiers/{dossier_id}/return/closing")


@router.post("/dossiers/{dossier_id}/return/closing/pass")
def pass_closing_rule(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    rule: Annotated[int, Form(ge=1, le=99)],
    because: Annotated[str, Form(max_length=2000)] = "",
    by: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Record that a named person closes this once although a rule is not met."""
    pass_at_closing(bench, person.author, dossier_id, rule, because, by)
    return go_on(request, f"/dossiers/{dossier_id}/return/closing")


@router.post("/dossiers/{dossier_id}/return/closing/copy")
def log_copy(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[HandOverForm, Form()],
) -> Response:
    """Log that a package was given to somebody."""
    record_hand_over(bench, person.author, dossier_id, form.record())
    return go_on(request, f"/dossiers/{dossier_id}/return/closing")


@router.post("/dossiers/{dossier_id}/return/closing/open-again")
def open_again(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    because: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Open a closed dossier again."""
    reopen_dossier(bench, person.author, dossier_id, because)
    return go_on(request, f"/dossiers/{dossier_id}/return/closing")
