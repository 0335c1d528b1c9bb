"""Custody and places, which are the registrar's: receipts in and out, where everything is."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel

from softmend.records.custody import Receipt, Way
from softmend.records.location import Location
from softmend.services.hand_over.custody import receipts_in, write_receipt
from softmend.services.hand_over.locations import move_thing, whereabouts_in
from softmend.services.legal_flags import kept_by_law, today_at
from softmend.services.recording import current_record, current_records
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number
from softmend.web.pages.hand_over.frame import EntryId, Line, Text, frame
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

MOST_NUMBER = 2_147_483_647


class ReceiptForm(BaseModel):
    """The form of one receipt."""

    way: Way = Way.IN
    what: Line = ""
    owner: Line = ""
    from_whom: Line = ""
    to_whom: Line = ""
    reason: Text = ""
    handed_on: Line = ""
    return_on: Line = ""
    condition_observed: Text = ""
    packed_how: Line = ""

    def record(self) -> Receipt:
        """Return what was typed as a record."""
        typed = self.model_dump(exclude={"way", "return_on", "packed_how"})
        return Receipt(
            number=0,
            way=self.way,
            return_on=known(self.return_on),
            packed_how=known(self.packed_how),
            **{name: text.strip() for name, text in typed.items()},
        )


class PlaceForm(BaseModel):
    """The form of where one thing is now."""

    thing: Line = ""
    based_on: EntryId = ""
    place: Line = ""
    since_on: Line = ""
    moved_by: Line = ""
    because: Line = ""
    usual_place: Line = ""

    def record(self) -> Location:
        """Return what was typed as a record."""
        return Location(
            thing=self.thing.strip(),
            place=self.place.strip(),
            since_on=self.since_on.strip(),
            moved_by=known(self.moved_by),
            because=known(self.because),
            usual_place=known(self.usual_place),
        )


@router.get("/dossiers/{dossier_id}/return/custody")
def custody(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show every receipt, and the form of the next."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "return/custody")
        receipts = receipts_in(bench, reader, dossier_id)
        papers = [paper for _entry, paper in current_records(reader, dossier_id, "paper")]
        kept = kept_by_law(reader, dossier_id, today_at(bench))
    return render(
        request,
        "hand_over/custody.html",
        kept=kept,
        receipts=receipts,
        papers=papers,
        ways=list(Way),
        today=today_at(bench).isoformat(),
        **shown,
    )


@router.post("/dossiers/{dossier_id}/return/custody")
def record_custody(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[ReceiptForm, Form()],
) -> Response:
    """Record one receipt."""
    write_receipt(bench, person.author, dossier_id, form.record())
    return go_on(request, f"/dossiers/{dossier_id}/return/custody")


@router.post("/dossiers/{dossier_id}/return/custody/signed")
def record_signed(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    subject_id: Annotated[str, Form(pattern=ID_PATTERN)],
    based_on: Annotated[str, Form(max_length=40)],
    paper_number: Annotated[str, Form(max_length=20)] = "",
    no_paper_because: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Name the signed paper of a receipt, or say why there is none."""
    with bench.store.reading() as reader:
        _entry, receipt = current_record(reader, dossier_id, "custody", subject_id)
    number = maybe_number(paper_number, _("The number of the paper"), "", 1, MOST_NUMBER)
    signed = replace(
        receipt,
        paper_number=None if number is None else int(number),
        no_paper_because=known(no_paper_because),
    )
    write_receipt(
        bench, person.author, dossier_id, signed, subject_id=subject_id, based_on=based_on
    )
    return go_on(request, f"/dossiers/{dossier_id}/return/custody")


@router.get("/dossiers/{dossier_id}/return/places")
def places(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show where the object, its bags and its samples are, and were."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "return/places")
        things = whereabouts_in(reader, dossier_id)
    today = today_at(bench).isoformat()
    return render(request, "hand_over/places.html", things=things, today=today, **shown)


@router.post("/dossiers/{dossier_id}/return/places")
def record_place(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[PlaceForm, Form()],
) -> Response:
    """Record where one thing is now."""
    move_thing(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/return/places")
