"""The place of an object: the room's record, the case, and what both do to it over a year."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, Field

from softmend.errors import InputError, NotFoundError
from softmend.records.crack_model import Basis
from softmend.records.place import (
    OBJECT_LIMITS,
    NearLogger,
    ObjectInAir,
    ObjectPlace,
    Shape,
    Stable,
)
from softmend.records.rows import JobRow
from softmend.services.hand_over.place import PlacePage, keep_place, kept_place, place_page
from softmend.services.jobs import Jobs
from softmend.services.legal_flags import today_at
from softmend.services.places.account import NEVER_PERMITS
from softmend.services.places.gases import assumed_of_gases, dust_beside_path
from softmend.services.places.house import cases_in, places_in
from softmend.services.places.tied import say_nearest, say_of_object, stand_object
from softmend.services.places.whole import answer_later, waiting_for
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, typed_number
from softmend.web.pages.hand_over.frame import EntryId, Line, frame
from softmend.web.pages.told_form import ToldForm, told_rows
from softmend.web.rendering import is_partial, render
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/return/climate"
HINTS = {
    "size_mm": _("Of a cylinder its radius, of a slab its thickness. Needed."),
    "diffusivity_mm2_per_day": _("From weighings or a crack's record. Left empty: 0.9 to 17."),
}


class TryForm(BaseModel):
    """What the sliders say of the case; left out is as recorded."""

    exchange: Annotated[float | None, Field(gt=0, le=100)] = None
    buffer: Annotated[float | None, Field(ge=0, le=1000)] = None
    warming: Annotated[float | None, Field(ge=-2, le=10)] = None

    def tried(self) -> dict[str, float]:
        """Return what is tried out."""
        return {name: value for name, value in self.model_dump().items() if value is not None}


class StandsForm(BaseModel):
    """The form of where an object stands; the choice is a place, or a place and its case."""

    based_on: EntryId = ""
    where: Annotated[str, Field(max_length=100)] = ""
    since_on: Line = ""
    until_on: Line = ""
    because: Line = ""

    def record(self) -> ObjectPlace:
        """Return what was chosen as a record."""
        place_id, _slash, showcase_id = self.where.partition("/")
        if not place_id:
            raise InputError("No place was chosen", remedy="Choose where the object stands")
        return ObjectPlace(
            place_id, self.since_on.strip(), showcase_id, known(self.until_on), known(self.because)
        )


class NearForm(BaseModel):
    """The form of which logger stood nearest, and when; a row without a logger is left out."""

    based_on: EntryId = ""
    logger: Annotated[list[Line], Field(max_length=40)] = []
    from_on: Annotated[list[Line], Field(max_length=40)] = []
    until_on: Annotated[list[Line], Field(max_length=40)] = []

    def near(self) -> tuple[NearLogger, ...]:
        """Return the loggers that were chosen, the earliest first."""
        if len({len(one) for one in (self.logger, self.from_on, self.until_on)}) > 1:
            raise InputError("The table of loggers is not whole", remedy="Load the page again")
        rows = zip(self.logger, self.from_on, self.until_on, strict=True)
        found = [NearLogger(*(text.strip() for text in row)) for row in rows if row[0].strip()]
        return tuple(sorted(found, key=lambda one: one.from_on))


class SaidForm(ToldForm):
    """The form of the body that moisture enters, and of the state the object was in."""

    shape: Shape = Shape.CYLINDER
    stable: Stable = Stable.NOT_KNOWN
    stable_grounds: Line = ""
    has_new_joins: bool = False
    low_limit_percent: Line = ""
    high_limit_percent: Line = ""
    limits_basis: Line = ""

    def record(self) -> ObjectInAir:
        """Return what was typed as a record; a size is needed."""
        told = self.told(OBJECT_LIMITS)
        if "size_mm" not in told:
            raise InputError(
                "The size of the body is not given",
                allowed="low, typical and high in mm",
                remedy="Half the width across is near enough for a shaft",
            )
        low = typed_number(self.low_limit_percent, _("The lower humidity"), "%RH", 0, 100)
        high = typed_number(self.high_limit_percent, _("The upper humidity"), "%RH", 0, 100)
        return ObjectInAir(
            shape=self.shape,
            stable=self.stable,
            stable_grounds=known(self.stable_grounds),
            has_new_joins=self.has_new_joins,
            low_limit_percent=low,
            high_limit_percent=high,
            limits_basis=known(self.limits_basis),
            **told,
        )


@router.get(AT)
def climate(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show what the place does, first from a small sample; the whole follows by itself."""
    with bench.store.reading() as reader:
        around = frame(bench, reader, dossier_id, "return/climate")
        is_whole = waiting_for(bench, reader, dossier_id) is None
        page = place_page(bench, reader, dossier_id, is_quick=not is_whole)
        kept = kept_place(reader, dossier_id)
        choices = [(place, cases_in(reader, place.subject_id)) for place in places_in(reader)]
    return render(
        request,
        "hand_over/place.html",
        **around,
        page=page,
        kept=kept,
        choices=choices,
        rows=told_rows(page.tied.said, OBJECT_LIMITS, HINTS, {}) if page.tied.said else _blank(),
        bases=list(Basis),
        shapes=list(Shape),
        stables=list(Stable),
        sliders=_sliders(page),
        today=today_at(bench).isoformat(),
        never=NEVER_PERMITS,
        is_whole=is_whole,
        is_tried=False,
        dust=dust_beside_path(),
        assumed=assumed_of_gases(),
        beside_at=_beside_at(dossier_id, {}),
    )


@router.get(f"{AT}/answer")
def answer(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    asked: Annotated[TryForm, Query()],
) -> Response:
    """Give what the place does with another case, from a small sample; nothing is recorded."""
    with bench.store.reading() as reader:
        page = place_page(bench, reader, dossier_id, asked.tried(), is_quick=True)
    beside_at = _beside_at(dossier_id, asked.tried())
    return _answer(request, page, beside_at, is_whole=False, is_tried=bool(asked.tried()))


@router.get(f"{AT}/whole")
def whole(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give what the place does from the whole record and the whole sample, as recorded."""
    with bench.store.reading() as reader:
        page = place_page(bench, reader, dossier_id)
    beside_at = _beside_at(dossier_id, {})
    return _answer(request, page, beside_at, is_whole=True, is_tried=False)


@router.get(f"{AT}/beside")
def beside(
    bench: BenchHere, person: PersonHere, dossier_id: Id, asked: Annotated[TryForm, Query()]
) -> Response:
    """Give the case's own record and the computed one on the same moments."""
    with bench.store.reading() as reader:
        is_quick = bool(asked.tried()) or waiting_for(bench, reader, dossier_id) is not None
        page = place_page(bench, reader, dossier_id, asked.tried(), is_quick=is_quick)
    if page.beside is None:
        raise NotFoundError("Nothing was logged in this case yet")
    return JSONResponse(page.beside.columns)


@router.get(f"{AT}/working")
def under_way(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    job: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Begin to compute the whole, or say how far it is; without jobs it is computed when shown."""
    jobs: Jobs | None = request.app.state.jobs
    with bench.store.reading() as reader:
        waiting = waiting_for(bench, reader, dossier_id)
        row = reader.job(job) if job else None
    if waiting is not None and jobs is not None and (row is None or row.state == "done"):
        started = answer_later(jobs, bench, dossier_id, waiting)
        with bench.store.reading() as reader:
            row = reader.job(started)
    return _working(request, dossier_id, row, is_answered=waiting is None or jobs is None)


@router.post(f"{AT}/stop/{{job_id}}")
def stop(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, job_id: Id
) -> Response:
    """Stop computing the whole; what was answered already is kept."""
    jobs: Jobs | None = request.app.state.jobs
    if jobs is None:
        raise NotFoundError("This job does not run here")
    jobs.stop(job_id)
    row = jobs.wait(job_id)
    if not is_partial(request):
        return go_on(request, f"/dossiers/{dossier_id}/return/climate")
    return _working(request, dossier_id, row, is_answered=False)


@router.post(f"{AT}/stands")
def stands(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[StandsForm, Form()],
) -> Response:
    """Record where the object stands."""
    stand_object(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/return/climate")


@router.post(f"{AT}/near")
def near(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[NearForm, Form()],
) -> Response:
    """Record which logger of the room stood nearest to the object."""
    say_nearest(bench, person.author, dossier_id, form.near(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/return/climate")


@router.post(f"{AT}/said")
def said(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[SaidForm, Form()],
) -> Response:
    """Record the body that moisture enters."""
    say_of_object(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/return/climate")


@router.post(f"{AT}/keep")
def keep(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Keep what the place does with everything that was read."""
    keep_place(bench, person.author, dossier_id)
    return go_on(request, f"/dossiers/{dossier_id}/return/climate")


def _beside_at(dossier_id: str, tried: dict[str, float]) -> str:
    address = f"/dossiers/{dossier_id}/return/climate/beside"
    return f"{address}?{urlencode(tried)}" if tried else address


def _answer(
    request: Request, page: PlacePage, beside_at: str, *, is_whole: bool, is_tried: bool
) -> Response:
    return render(
        request,
        "hand_over/place_answer.html",
        page=page,
        is_whole=is_whole,
        is_tried=is_tried,
        dust=dust_beside_path(),
        assumed=assumed_of_gases(),
        beside_at=beside_at,
    )


def _working(
    request: Request, dossier_id: str, row: JobRow | None, *, is_answered: bool
) -> Response:
    return render(
        request,
        "hand_over/place_working.html",
        base=f"/dossiers/{dossier_id}",
        row=row,
        is_answered=is_answered,
    )


def _blank() -> list[Any]:
    empty = type("Blank", (), dict.fromkeys(OBJECT_LIMITS))()
    return told_rows(empty, OBJECT_LIMITS, HINTS, {})


def _sliders(page: PlacePage) -> list[tuple[Any, ...]]:
    """Return each slider: name, words, unit, middle, least, most, step, and what is recorded."""
    if page.tied.case is None or page.tied.said is None or page.record is None:
        return []
    case = page.tied.case.case
    exchange = case.exchange_per_day.typical if case.exchange_per_day else 1.0
    warming = case.warming_k.typical if case.warming_k else 0.5
    known_as = [
        _("recorded: {v:g} a day, {kind}", v=exchange, kind=case.exchange_per_day.basis.value)
        if case.exchange_per_day
        else _("guessed: 0.3 to 3 a day"),
        _("recorded: {v:g} kg", v=case.buffer_kg),
        _("recorded: {v:g} K", v=warming) if case.warming_k else _("guessed: 0 to 2 K"),
    ]
    most = max(10.0, round(3 * exchange, 1))
    heaviest = max(20.0, round(3 * case.buffer_kg, 0))
    return [
        ("exchange", _("Air changes"), _("a day"), exchange, 0.05, most, 0.05, known_as[0]),
        ("buffer", _("Buffer"), "kg", case.buffer_kg, 0, heaviest, 0.5, known_as[1]),
        ("warming", _("Case warmer than room"), "K", warming, 0, 6, 0.1, known_as[2]),
    ]
