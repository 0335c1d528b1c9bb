"""Places of the house: a room's record, its band or "so far", its cases and its loggers."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, Field

from softmend.errors import NotFoundError
from softmend.records.crack_model import Basis
from softmend.records.place import Place, PlaceKind
from softmend.records.showcase import SHOWCASE_LIMITS, Showcase
from softmend.services.house_journal import strike_in_house
from softmend.services.places.account import NEVER_PERMITS, Account, account_of, band_of
from softmend.services.places.drawn import drawn
from softmend.services.places.house import (
    case_of,
    loggers_in,
    places_in,
    record_case,
    record_place,
)
from softmend.services.places.record import record_of
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number, typed_number
from softmend.web.pages.told_form import Line, ToldForm, told_rows
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

EntryId = Annotated[str, Field(max_length=40)]
Named = Annotated[str, Query(max_length=200)]
HINTS = {
    "exchange_per_day": _("From a tracer that fades. Left empty: guessed, 0.3 to 3 a day."),
    "capacity_g_per_kg": _("The supplier's figure corrected for hysteresis. Needed with a buffer."),
    "warming_k": _("Two sensors, case and room, lamps on. Left empty: guessed, 0 to 2 K."),
}


class PlaceForm(BaseModel):
    """The form of a place."""

    based_on: EntryId = ""
    subject_id: EntryId = ""
    name: Line = ""
    kind: PlaceKind = PlaceKind.GALLERY
    zone: Line = ""
    note: Line = ""

    def record(self) -> Place:
        """Return what was typed as a record."""
        return Place(self.name.strip(), self.kind, known(self.zone), known(self.note))


class CaseForm(ToldForm):
    """The form of a case: what is left empty stays wide."""

    subject_id: EntryId = ""
    name: Line = ""
    volume_m3: Line = ""
    buffer: Line = ""
    buffer_kg: Line = ""
    buffer_from: Line = ""
    start_percent: Line = ""
    source_m2: Line = ""
    gel_checked_every_days: Line = ""
    gel_conditioned_on: Line = ""
    gel_routine: Line = ""
    note: Line = ""

    def record(self, place_id: str) -> Showcase:
        """Return what was typed as a record."""
        return Showcase(
            place_id=place_id,
            name=self.name.strip(),
            volume_m3=typed_number(self.volume_m3, _("The volume"), "m³", 0.001, 1000),
            buffer=known(self.buffer),
            buffer_kg=maybe_number(self.buffer_kg, _("The buffer"), "kg", 0, 1e5) or 0.0,
            start_percent=maybe_number(self.start_percent, _("Its humidity"), "%RH", 0, 100),
            source_m2=maybe_number(self.source_m2, _("What gives off gases"), "m²", 0, 1e4) or 0.0,
            gel_checked_every_days=maybe_number(
                self.gel_checked_every_days, _("The days between looks"), "d", 1, 3650
            ),
            gel_conditioned_on=known(self.gel_conditioned_on),
            gel_routine=known(self.gel_routine),
            note=known(self.note),
            buffer_from=known(self.buffer_from),
            **self.told(SHOWCASE_LIMITS),
        )


class StrikeForm(BaseModel):
    """The form that strikes a record of the house, with its reason."""

    based_on: EntryId = ""
    kind: Annotated[str, Field(pattern="^(place|showcase|logger_file)$")] = "logger_file"
    subject_id: EntryId = ""
    because: Line = ""


@router.get("/places")
def places(request: Request, bench: BenchHere, person: PersonHere) -> Response:
    """List the places of the house, each with how long it has been logged."""
    with bench.store.reading() as reader:
        found = [(one, loggers_in(reader, one.subject_id)) for one in places_in(reader)]
    return render(
        request, "places/front.html", places=found, kinds=list(PlaceKind), never=NEVER_PERMITS
    )


@router.post("/places")
def record_new(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[PlaceForm, Form()]
) -> Response:
    """Record a place and show its page."""
    entry = record_place(
        bench, person.author, form.record(), subject_id=form.subject_id, based_on=form.based_on
    )
    return go_on(request, f"/places/{entry.subject_id}")


@router.get("/places/{place_id}")
def place(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    place_id: Id,
    logger: Named = "",
    case: Named = "",
) -> Response:
    """Show what a place does."""
    with bench.store.reading() as reader:
        account = account_of(bench, reader, place_id, logger)
        chosen = case_of(reader, case) if case else None
    blank = Showcase(place_id, "", 0.0)
    return render(
        request,
        "places/place.html",
        account=account,
        chosen=chosen,
        case=chosen.case if chosen else blank,
        rows=told_rows(chosen.case if chosen else blank, SHOWCASE_LIMITS, HINTS, {}),
        bases=list(Basis),
        never=NEVER_PERMITS,
        next=_next(account),
    )


@router.get("/places/{place_id}/series")
def series(
    bench: BenchHere,
    person: PersonHere,
    place_id: Id,
    logger: Named = "",
    from_s: Annotated[float | None, Query(ge=-1e11, le=1e11)] = None,
    to_s: Annotated[float | None, Query(ge=-1e11, le=1e11)] = None,
) -> Response:
    """Give least and most of each spell between two moments, and the band that was lived in."""
    with bench.store.reading() as reader:
        loggers = loggers_in(reader, place_id)
        if not loggers:
            raise NotFoundError("Nothing was logged in this place yet")
        name = logger if logger in loggers else next(iter(loggers))
        record = record_of(bench, name, loggers[name])
    told: dict[str, Any] = drawn(record, from_s, to_s)
    return JSONResponse(told | {"band": _level(band_of(bench, record).answer)})


@router.post("/places/{place_id}/cases")
def record_a_case(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    place_id: Id,
    form: Annotated[CaseForm, Form()],
) -> Response:
    """Record a case in a place."""
    record_case(
        bench,
        person.author,
        form.record(place_id),
        subject_id=form.subject_id,
        based_on=form.based_on,
    )
    return go_on(request, f"/places/{place_id}#cases")


@router.post("/places/{place_id}/strike")
def strike_one(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    place_id: Id,
    form: Annotated[StrikeForm, Form()],
) -> Response:
    """Strike a file, a case or the place itself, with the reason."""
    strike_in_house(bench, person.author, form.kind, form.subject_id, form.because, form.based_on)
    return go_on(request, "/places" if form.kind == "place" else f"/places/{place_id}")


def _level(answer: dict[str, Any]) -> dict[str, list[Any]]:
    """Return the season's level and its band as columns, a point a day."""
    from datetime import datetime

    return {
        "at_s": [datetime.fromisoformat(one["at"]).timestamp() for one in answer["level"]],
        "level": [one["level_percent"] for one in answer["level"]],
        "low": [one["low_percent"] for one in answer["level"]],
        "high": [one["high_percent"] for one in answer["level"]],
    }


def _next(account: Account) -> tuple[str, str]:
    if account.record is None or account.band is None:
        return (
            _("Next: bring in a logger's file."),
            _("Nothing is guessed: a place without a record has nothing to say."),
        )
    if not account.band.is_yearly:
        return (
            _("Next: go on logging."),
            _(
                "{days} days are here; a yearly band needs 396, hourly. What stands here is “so "
                "far”.",
                days=f"{account.record.days:.0f}",
            ),
        )
    guessed = [one for one in account.cases if one.case.exchange_per_day is None]
    if guessed:
        return (
            _("Next: measure the air exchange of {case}.", case=guessed[0].case.name),
            _("It drives what a case does more than anything else, before any gel is bought."),
        )
    return (
        _("Next: compare the loggers with a reference once a year."),
        _("Sensors drift by about 1 %RH a year; an offset is noted with the file."),
    )
