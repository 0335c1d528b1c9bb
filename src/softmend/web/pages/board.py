"""The board: dossiers by priority, deadline and stage; a person may put one elsewhere."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.priority import Priority, Weight
from softmend.services.board import board, priority_in, record_priority
from softmend.services.dossiers import opened
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import maybe_number
from softmend.web.rendering import render

router = APIRouter()


class PriorityForm(BaseModel):
    """The form of what weighs on a dossier's turn."""

    based_on: str = Field("", max_length=40)
    significance: Weight = Weight.NOT_KNOWN
    vulnerability: Weight = Weight.NOT_KNOWN
    cost_of_waiting: Weight = Weight.NOT_KNOWN
    place: str = Field("", max_length=20)
    place_because: str = Field("", max_length=2000)

    def record(self) -> Priority:
        """Return what was chosen as a record."""
        place = maybe_number(self.place, "The place in the order", "", 1, 100_000)
        return Priority(
            significance=self.significance,
            vulnerability=self.vulnerability,
            cost_of_waiting=self.cost_of_waiting,
            place=None if place is None else int(place),
            place_because=self.place_because.strip() if place is not None else "",
        )


@router.get("/board")
def whole_board(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    search: Annotated[str, Query(max_length=200)] = "",
) -> Response:
    """Show every open dossier in the order suggested or chosen, with what it rests on."""
    return render(request, "board.html", board=board(bench, search), search=search)


@router.get("/dossiers/{dossier_id}/priority")
def priority(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Ask what weighs on a dossier's turn."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        entry_id, standing = priority_in(reader, dossier_id)
    return render(
        request,
        "priority.html",
        here="dossier",
        dossier=dossier,
        entry_id=entry_id,
        standing=standing,
        weights=list(Weight),
    )


@router.post("/dossiers/{dossier_id}/priority")
def give_priority(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[PriorityForm, Form()],
) -> Response:
    """Record what weighs on a dossier's turn."""
    record_priority(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, "/board")
