"""The examination in words: only what the dossier's size asks for is shown."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.dossier import NOT_KNOWN, Size
from softmend.records.examination import Examination
from softmend.services.dossiers import opened
from softmend.services.examine.grades import write_examination
from softmend.services.next_steps import next_steps
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

Text = Annotated[str, Field(max_length=20_000)]


@dataclass(frozen=True)
class Question:
    """One field of the examination, as it is asked, and the smallest size that asks it."""

    name: str
    label: str
    hint: str
    size: Size
    is_long: bool = False


QUESTIONS = (
    Question("reason", _("Why was it examined?"), "", Size.SHORT),
    Question("requested_by", _("Asked for by"), "", Size.FULL),
    Question("examined_on", _("Examined on"), _("A date, as 2026-03-02"), Size.NOTE),
    Question("examined_at_place", _("Examined at"), "", Size.FULL),
    Question(
        "lights_and_aids",
        _("Light and aids"),
        _("For example: daylight, raking light from the left, loupe × 10"),
        Size.FULL,
    ),
    Question("what_was_examined", _("What was examined"), "", Size.FULL, is_long=True),
    Question(
        "summary_observed",
        _("What was seen"),
        _("Only what is there to see; causes belong with the marks"),
        Size.NOTE,
        is_long=True,
    ),
    Question(
        "structure_inferred",
        _("What carries what, and what moves with humidity (inferred)"),
        "",
        Size.FULL,
        is_long=True,
    ),
    Question(
        "earlier_treatment_reported",
        _("Earlier treatment, as reported"),
        _("And by whom, or in which paper"),
        Size.FULL,
        is_long=True,
    ),
    Question(
        "fitness_for_use",
        _("Fit for the intended use?"),
        _("Display, travel, loan, handling; and within which limits"),
        Size.SHORT,
        is_long=True,
    ),
    Question("recommendation", _("What is advised"), "", Size.SHORT, is_long=True),
    Question("urgency", _("How soon"), "", Size.SHORT),
    Question("next_check_on", _("Next check on"), "", Size.FULL),
    Question("copies_to", _("Copies to"), "", Size.FULL),
)
_ORDER = list(Size)


class WordsForm(BaseModel):
    """The form of the examination; a field that was not shown is not sent."""

    based_on: str = Field("", max_length=40)
    reason: Text | None = None
    requested_by: Text | None = None
    examined_on: Text | None = None
    examined_at_place: Text | None = None
    lights_and_aids: Text | None = None
    what_was_examined: Text | None = None
    summary_observed: Text | None = None
    structure_inferred: Text | None = None
    earlier_treatment_reported: Text | None = None
    fitness_for_use: Text | None = None
    recommendation: Text | None = None
    urgency: Text | None = None
    next_check_on: Text | None = None
    copies_to: Text | None = None

    def over(self, before: Examination) -> Examination:
        """Return the examination with what was typed in place of what stood there."""
        names = [field.name for field in fields(Examination)]
        typed = {name: getattr(self, name) for name in names}
        return Examination(
            **{
                name: getattr(before, name) if text is None else known(text)
                for name, text in typed.items()
            }
        )


@router.get("/dossiers/{dossier_id}/words")
def words(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the examination's words as a form."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        entry_id, examination = examination_in(reader, dossier_id)
        steps = next_steps(reader, dossier_id)
    return render(
        request,
        "examine/words.html",
        here="words",
        dossier=dossier,
        steps=steps,
        examination=examination,
        entry_id=entry_id,
        questions=questions_for(dossier.dossier.size),
    )


@router.post("/dossiers/{dossier_id}/words")
def record_words(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[WordsForm, Form()],
) -> Response:
    """Record the examination's words."""
    with bench.store.reading() as reader:
        _entry_id, before = examination_in(reader, dossier_id)
    write_examination(bench, person.author, dossier_id, form.over(before), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}")


def questions_for(size: Size) -> list[Question]:
    """Return what a dossier of this size asks in words."""
    return [one for one in QUESTIONS if _ORDER.index(one.size) <= _ORDER.index(size)]


def examination_in(reader: Reader, dossier_id: str) -> tuple[str, Examination]:
    """Return the examination's entry and words; before the first, why the object is here."""
    for entry, examination in current_records(reader, dossier_id, "examination"):
        return entry.id, examination
    why_here = opened(reader, dossier_id).dossier.why_here
    return "", Examination(reason=why_here or NOT_KNOWN)
