"""One case of the house: its air exchange from a tracer that fades, its buffer sized two ways."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Request, UploadFile
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.pictures.decay_curve import decay_svg, decay_words
from softmend.records.crack_model import Basis, Told
from softmend.records.showcase import SHOWCASE_LIMITS
from softmend.services.bench import Bench
from softmend.services.places.account import NEVER_PERMITS, room_record
from softmend.services.places.case_answers import (
    WAYS,
    BufferAsked,
    TracerAsked,
    buffer_sized,
    buffer_start,
    exchange_measured,
    kept_lines,
    use_buffer,
    use_exchange,
    usual_exchange,
)
from softmend.services.places.house import case_of, place_of
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number, typed_number
from softmend.web.rendering import is_partial, render
from softmend.web.uploads import received
from softmend.web.words import said as _

router = APIRouter()
AT = "/places/{place_id}/cases/{showcase_id}"
Line = Annotated[str, Field(max_length=400)]
ORDERS = ("day first", "month first", "year first")


class TracerForm(BaseModel):
    """The form of a fading tracer; an empty background is fitted."""

    based_on: Line = ""
    readings: Annotated[str, Field(max_length=1_000_000)] = ""
    sha256: Annotated[str, Field(pattern="^([0-9a-f]{64})?$")] = ""
    logger: Line = ""
    day_order: Line = ""
    background_ppm: Line = ""
    background_is: Annotated[str, Field(pattern="^(fitted|read|assumed)$")] = "fitted"
    from_hours: Line = ""
    to_hours: Line = ""

    def asked(self) -> TracerAsked:
        """Return what was typed as it is asked."""
        background = None
        if self.background_is != "fitted":
            background = typed_number(self.background_ppm, _("The background"), "ppm", 0, 1_000_000)
        return TracerAsked(
            readings=self.readings,
            sha256=self.sha256,
            logger=self.logger.strip(),
            day_order=self.day_order,
            background_ppm=background,
            is_background_read=self.background_is == "read",
            from_hours=maybe_number(self.from_hours, _("The first hour"), "h", 0, 1e5),
            to_hours=maybe_number(self.to_hours, _("The last hour"), "h", 0, 1e5),
        )


class BufferForm(BaseModel):
    """The form of what a buffer is to do: a set point held for a time, a season, or both."""

    based_on: Line = ""
    way: Line = ""
    low: Line = ""
    typical: Line = ""
    high: Line = ""
    basis: Basis = Basis.ESTIMATED
    grounds: Line = ""
    room_percent: Line = ""
    set_percent: Line = ""
    drift_percent: Line = ""
    held_days: Line = ""
    room_swing_percent: Line = ""
    wanted_swing_percent: Line = ""

    def asked(self) -> BufferAsked:
        """Return what was typed as it is asked."""
        words, unit, least, most = SHOWCASE_LIMITS["capacity_g_per_kg"]
        points = [
            typed_number(text, f"{words}, {which}", unit, least, most)
            for which, text in (("low", self.low), ("typical", self.typical), ("high", self.high))
        ]
        return BufferAsked(
            Told(points[0], points[1], points[2], self.basis, known(self.grounds)),
            maybe_number(self.room_percent, _("The room"), "%RH", 0, 100),
            maybe_number(self.set_percent, _("The set point"), "%RH", 0, 100),
            maybe_number(self.drift_percent, _("The drift allowed"), "%RH", 0.1, 50),
            maybe_number(self.held_days, _("The days"), "d", 1, 3650),
            maybe_number(self.room_swing_percent, _("The room's swing"), "%RH", 0.1, 50),
            maybe_number(self.wanted_swing_percent, _("The swing wanted"), "%RH", 0.1, 50),
        )


@router.get(AT)
def case(
    request: Request, bench: BenchHere, person: PersonHere, place_id: Id, showcase_id: Id
) -> Response:
    """Show what is measured and sized for one case."""
    return render(request, "places/case.html", **_shown(bench, place_id, showcase_id))


@router.post(f"{AT}/exchange")
def measure(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    place_id: Id,
    showcase_id: Id,
    form: Annotated[TracerForm, Form()],
) -> Response:
    """Show the air exchange that typed or pasted readings tell; nothing is recorded."""
    return _measured(request, bench, place_id, showcase_id, kept_lines(bench, form.asked()), form)


@router.post(f"{AT}/exchange/file")
def measure_file(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    place_id: Id,
    showcase_id: Id,
    tracer: UploadFile,
    form: Annotated[TracerForm, Form()],
) -> Response:
    """Show the air exchange that a logger's file tells; the file is kept as it is."""
    with received(bench, tracer) as path:
        asked = kept_lines(bench, form.asked(), path)
    return _measured(request, bench, place_id, showcase_id, asked, form)


@router.post(f"{AT}/exchange/use")
def take_exchange(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    place_id: Id,
    showcase_id: Id,
    form: Annotated[TracerForm, Form()],
) -> Response:
    """Record the exchange that was measured as the case's own."""
    use_exchange(bench, person.author, showcase_id, form.asked(), form.based_on)
    return go_on(request, f"/places/{place_id}/cases/{showcase_id}")


@router.post(f"{AT}/buffer")
def size(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    place_id: Id,
    showcase_id: Id,
    form: Annotated[BufferForm, Form()],
) -> Response:
    """Show the buffer by the formula, exactly and for a season; nothing is recorded."""
    asked = form.asked()
    with bench.store.reading() as reader:
        kept = case_of(reader, showcase_id)
    answer = buffer_sized(kept.case, asked)
    shown = {
        "buffer": answer,
        "buffer_form": form,
        "ways": [(way, answer[name]) for way, name in WAYS.items() if answer[name]],
        "buffer_work": working("showcase.buffer", "its buffer", answer),
    }
    return _answered(request, bench, place_id, showcase_id, "places/case_buffer.html", shown)


@router.post(f"{AT}/buffer/use")
def take_buffer(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    place_id: Id,
    showcase_id: Id,
    form: Annotated[BufferForm, Form()],
) -> Response:
    """Record a computed mass as the case's buffer, marked as computed."""
    use_buffer(bench, person.author, showcase_id, form.asked(), form.way, form.based_on)
    return go_on(request, f"/places/{place_id}/cases/{showcase_id}")


def _measured(
    request: Request,
    bench: Bench,
    place_id: str,
    showcase_id: str,
    asked: TracerAsked,
    form: TracerForm,
) -> Response:
    answer = exchange_measured(bench, asked)
    curve = (answer["curve_hours"], answer["read_ppm"], answer["curve_ppm"])
    background = answer["background_fitted_ppm"]
    background = asked.background_ppm if background is None else background
    is_drawn = len(curve[0]) >= 2
    shown = {
        "exchange": answer,
        "tracer": form.model_copy(update={"sha256": asked.sha256, "readings": asked.readings}),
        "drawing": decay_svg(*curve, background) if is_drawn else "",
        "drawing_words": decay_words(*curve) if is_drawn else "",
        "exchange_work": working("showcase.air_exchange", "its air exchange", answer),
    }
    return _answered(request, bench, place_id, showcase_id, "places/case_exchange.html", shown)


def _answered(
    request: Request,
    bench: Bench,
    place_id: str,
    showcase_id: str,
    part: str,
    shown: dict[str, Any],
) -> Response:
    """Return the answer alone where the page asked for it, else the page with the answer in it."""
    whole = _shown(bench, place_id, showcase_id) | shown
    return render(request, part if is_partial(request) else "places/case.html", **whole)


def _shown(bench: Bench, place_id: str, showcase_id: str) -> dict[str, Any]:
    with bench.store.reading() as reader:
        place = place_of(reader, place_id)
        kept = case_of(reader, showcase_id)
        record = room_record(bench, reader, place_id)
    if kept.case.place_id != place_id:
        raise InputError("This case stands in another place", value=kept.case.name)
    return {
        "place": place,
        "kept": kept,
        "case": kept.case,
        "base": f"/places/{place_id}/cases/{showcase_id}",
        "record": record,
        "start": buffer_start(kept.case, record),
        "capacity": kept.case.capacity_g_per_kg,
        "usual": usual_exchange(),
        "bases": list(Basis),
        "orders": ORDERS,
        "never": NEVER_PERMITS,
        "exchange": None,
        "tracer": TracerForm(),
        "buffer": None,
        "buffer_form": None,
    }
