"""The care sheet: how the object is lifted, lit and kept, and when somebody looks again."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel

from softmend.records.closing import CareSheet
from softmend.services.hand_over.closing import care_in, write_care
from softmend.services.hand_over.place import kept_place
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.hand_over.frame import EntryId, Line, Text, frame
from softmend.web.rendering import render

router = APIRouter()


class CareForm(BaseModel):
    """The form of the care sheet; an empty field is not known."""

    based_on: EntryId = ""
    next_check_on: Line = ""
    lift_points: Text = ""
    handling: Text = ""
    no_touch_zones: Text = ""
    support: Text = ""
    light: Text = ""
    rh_band: Line = ""
    rh_band_basis: Text = ""
    temperature: Line = ""
    dust: Text = ""
    moves_with_rh: Text = ""
    watch_for: Text = ""
    whom_to_tell: Text = ""
    later_checks: Text = ""

    def record(self) -> CareSheet:
        """Return what was typed as a record."""
        typed = self.model_dump(exclude={"based_on", "next_check_on"})
        answers = {name: known(text) for name, text in typed.items()}
        return CareSheet(next_check_on=self.next_check_on.strip(), **answers)


@router.get("/dossiers/{dossier_id}/return/care")
def care(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the care sheet as a form."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "return/care")
        entry_id, standing = care_in(reader, dossier_id)
        kept = kept_place(reader, dossier_id)
    return render(
        request,
        "hand_over/care.html",
        entry_id=entry_id,
        care=standing or CareSheet(""),
        kept=kept,
        **shown,
    )


@router.post("/dossiers/{dossier_id}/return/care")
def record_care(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[CareForm, Form()],
) -> Response:
    """Record the care sheet."""
    write_care(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/return")
