"""Light: a plan of display against each rule by its name, and the doses of past loans."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.light import LightLine, LightPart, LightPlan, PastLight
from softmend.services.hand_over.light import (
    keep_light,
    known_parts,
    light_page,
    plan_light,
    record_past_light,
    strike_past_light,
)
from softmend.services.places.keep import kept_place_run
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number, typed_number
from softmend.web.pages.hand_over.frame import EntryId, Line, frame
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/return/light"
BLANK_LINES = 2
USUAL = ("lamps", "daylight", "openings and events", "cleaning")
Lines = Annotated[list[Line], Field(max_length=50)]


class PlanForm(BaseModel):
    """The form of a plan of display; a line without its light is left out."""

    based_on: EntryId = ""
    what: Lines = []
    light_lux: Lines = []
    hours_a_day: Lines = []
    days_a_year: Lines = []
    ultraviolet: Lines = []
    part: Lines = []
    own_part: Lines = []
    own_wool: Lines = []
    note: Line = ""

    def record(self) -> LightPlan:
        """Return what was typed as a record."""
        columns = (self.what, self.light_lux, self.hours_a_day, self.days_a_year, self.ultraviolet)
        lines = []
        for what, lux, hours, days, rich in zip(*columns, strict=False):
            if not lux.strip():
                continue
            name = what.strip() or "light"
            lines.append(
                LightLine(
                    name,
                    typed_number(lux, _("The light of {what}", what=name), "lx", 0, 200_000),
                    typed_number(hours, _("The hours of {what}", what=name), "h", 0, 24),
                    typed_number(days, _("The days of {what}", what=name), "d", 0, 366),
                    maybe_number(rich, _("Its ultraviolet"), "µW/lm", 0, 2000),
                )
            )
        parts = (LightPart(one) for one in dict.fromkeys(self.part) if one)
        return LightPlan(tuple(lines), (*parts, *self._own_parts()), note=known(self.note))

    def _own_parts(self) -> Iterator[LightPart]:
        """Yield the parts that the person named, each with the blue wool that fades like it."""
        for part, wool in zip(self.own_part, self.own_wool, strict=False):
            name = part.strip()
            if not name and not wool.strip():
                continue
            if not name:
                raise InputError(
                    _("A blue wool stands without its part"), remedy=_("Name the part")
                )
            number = typed_number(wool, _("The blue wool of {part}", part=name), "", 1, 8)
            if number != int(number):
                raise InputError(
                    _("The blue wool of {part} is not a whole number", part=name),
                    value=wool,
                    allowed="1, 2, 3, 4, 5, 6, 7, 8",
                )
            yield LightPart(name, blue_wool=int(number))


class PastForm(BaseModel):
    """The form of a dose that has fallen: typed, or from lux, hours and days."""

    what: Line = ""
    ended_on: Line = ""
    dose_lux_hours: Line = ""
    known_how: Line = ""

    def record(self) -> PastLight:
        """Return what was typed as a record."""
        dose = typed_number(self.dose_lux_hours, _("The dose"), "lx h", 0, 1e9)
        return PastLight(self.what.strip(), self.ended_on.strip(), dose, known(self.known_how))


class StrikeForm(BaseModel):
    """The form that strikes a dose, with its reason."""

    based_on: EntryId = ""
    subject_id: EntryId = ""
    because: Line = ""


@router.get(AT)
def light(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the plan of display, its dose against every rule, and what fell before."""
    with bench.store.reading() as reader:
        around = frame(bench, reader, dossier_id, "return/light")
        page = light_page(bench, reader, dossier_id)
        kept = kept_place_run(reader, dossier_id, "light")
    standing = list(page.plan.lines) if page.plan else []
    blanks = USUAL if not standing else ("",) * BLANK_LINES
    return render(
        request,
        "hand_over/light.html",
        **around,
        page=page,
        kept=kept,
        lines=standing,
        blanks=blanks,
        known_parts=known_parts(),
        chosen={one.part for one in page.plan.parts} if page.plan else set(),
        own_parts=[one for one in page.plan.parts if one.blue_wool] if page.plan else [],
    )


@router.post(AT)
def record_plan(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[PlanForm, Form()],
) -> Response:
    """Record the plan of display."""
    plan_light(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/return/light")


@router.post(f"{AT}/past")
def record_past(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[PastForm, Form()],
) -> Response:
    """Record a dose that has fallen."""
    record_past_light(bench, person.author, dossier_id, form.record())
    return go_on(request, f"/dossiers/{dossier_id}/return/light")


@router.post(f"{AT}/past/strike")
def strike_past(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[StrikeForm, Form()],
) -> Response:
    """Strike a dose that was recorded wrongly."""
    at = (bench, person.author, dossier_id)
    strike_past_light(*at, form.subject_id, form.because, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/return/light")


@router.post(f"{AT}/keep")
def keep(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Keep the dose against its rules with everything that was read."""
    keep_light(bench, person.author, dossier_id)
    return go_on(request, f"/dossiers/{dossier_id}/return/light")
