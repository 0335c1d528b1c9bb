"""Paints: the bench's own paints, whites, binders and pulps with their readings; lamps; charts."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import SoftmendError
from softmend.pictures.tint_colour import NOT_A_REFERENCE, screen_hex
from softmend.pictures.tint_curves import NamedCurve, curves_svg
from softmend.records.lamp import Lamp, LampPlace
from softmend.records.paint import Fades, Paint, PaintRole, PaintStock, ways_in_words
from softmend.services.bench import Bench
from softmend.services.house_journal import strike_in_house
from softmend.services.paints import (
    KeptLamp,
    KeptPaint,
    charts_in,
    lamps_in,
    paint_named,
    paints_in,
    record_lamp,
    record_paint,
)
from softmend.services.paints_files import FORMS, colours_of, exported
from softmend.services.paints_known import known_of_paint, lamp_colours, standard_lamps
from softmend.services.paints_looking import distances_in, eyes_of
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, PersonHere
from softmend.web.numbers import known, maybe_number, typed_number
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

Line = Annotated[str, Field(max_length=500)]
Lines = Annotated[list[Line], Field(max_length=10)]
EntryId = Annotated[str, Field(max_length=200)]
Name = Annotated[str, Query(max_length=300)]
Names = Annotated[list[Annotated[str, Field(max_length=300)]], Query(max_length=500)]
STOCK_ROWS = 3


class PaintForm(BaseModel):
    """The form of one paint: what it is for, its films, its bottles."""

    based_on: EntryId = ""
    name: Line = ""
    role: PaintRole = PaintRole.PAINT
    thickness_um: Line = ""
    paint_percent: Line = ""
    paint_in_tint_percent: Line = ""
    fades: Fades = Fades.NOT_KNOWN
    cards_are_matte: bool = False
    note: Line = ""
    stock_name: Lines = []
    stock_paint: Lines = []
    stock_binder: Lines = []
    stock_drop: Lines = []

    def record(self, before: Paint) -> Paint:
        """Return what was typed as a record; the readings stay as they were imported."""
        from dataclasses import replace

        share = maybe_number(self.paint_percent, _("The share of paint"), "%", 0.01, 100)
        return replace(
            before,
            role=self.role,
            thickness_um=maybe_number(self.thickness_um, _("The dry thickness"), "µm", 0.1, 5000),
            paint_percent=100.0 if share is None else share,
            paint_in_tint_percent=maybe_number(
                self.paint_in_tint_percent, _("The share of paint in the tint"), "%", 0.01, 99.99
            ),
            fades=self.fades,
            cards_are_matte=self.cards_are_matte,
            note=known(self.note),
            stocks=self._stocks(),
        )

    def _stocks(self) -> tuple[PaintStock, ...]:
        rows = zip(
            self.stock_name, self.stock_paint, self.stock_binder, self.stock_drop, strict=False
        )
        return tuple(
            PaintStock(
                name.strip(),
                typed_number(paint, _("Dry paint in the bottle"), "%", 0.01, 100),
                maybe_number(binder, _("Dry binder in the bottle"), "%", 0, 100) or 0.0,
                maybe_number(drop, _("The mass of a drop"), "g", 0.0001, 1),
            )
            for name, paint, binder, drop in rows
            if name.strip()
        )


class LampForm(BaseModel):
    """The form of a lamp of the CIE's set."""

    based_on: EntryId = ""
    name: Line = ""
    place: LampPlace = LampPlace.GALLERY
    standard: Line = ""
    note: Line = ""


class StrikeForm(BaseModel):
    """The form that strikes a paint, a lamp or a chart, with its reason."""

    based_on: EntryId = ""
    kind: Annotated[str, Field(pattern="^(paint|lamp|colour_chart)$")] = "paint"
    subject_id: EntryId = ""
    because: Line = ""


@router.get("/paints")
def paints(request: Request, bench: BenchHere, person: PersonHere) -> Response:
    """Show the paints by what they are for, the lamps and the charts."""
    with bench.store.reading() as reader:
        kept = paints_in(reader)
        lamps, charts = lamps_in(reader), charts_in(reader)
        distances, own = distances_in(reader), eyes_of(reader, person.author.person_id)
    return render(
        request,
        "paints/front.html",
        paints=[(one, swatch_of(one)) for one in kept],
        roles=list(PaintRole),
        ready=sum(not one.lacks for one in kept),
        invented=any(one.paint.is_invented for one in kept),
        lamps=[(one, _lamp_colour(bench, one)) for one in lamps],
        standards=standard_lamps(),
        places=list(LampPlace),
        charts=charts,
        distances=distances,
        own=own,
        forms=FORMS,
        not_a_reference=NOT_A_REFERENCE,
    )


@router.get("/paints/of")
def paint(request: Request, bench: BenchHere, person: PersonHere, name: Name) -> Response:
    """Show one paint: its readings, how each was made, its bottles, and how well it is known."""
    with bench.store.reading() as reader:
        kept = paint_named(reader, name)
    readings = kept.paint.readings
    colours = colours_of(readings)
    return render(
        request,
        "paints/one.html",
        kept=kept,
        paint=kept.paint,
        rows=[(one, screen_hex(lab), lab_words(lab)) for one, lab in
              zip(readings, colours, strict=True)],
        curves=curves_svg(
            [NamedCurve(one.of.value, one.wavelengths_nm, one.values) for one in readings]
        ) if readings else "",
        ways=ways_in_words(readings),
        known=known_of_paint(kept),
        roles=list(PaintRole),
        fades=list(Fades),
        stocks=[*kept.paint.stocks, *[None] * STOCK_ROWS][:max(STOCK_ROWS,
                                                              len(kept.paint.stocks))],
        forms=FORMS,
        not_a_reference=NOT_A_REFERENCE,
    )  # fmt: skip


@router.post("/paints/of")
def write_paint(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[PaintForm, Form()]
) -> Response:
    """Record what is said of a paint."""
    with bench.store.reading() as reader:
        before = paint_named(reader, form.name).paint
    record_paint(bench, person.author, form.record(before), form.based_on)
    return go_on(request, address_of(form.name))


@router.post("/paints/lamps")
def write_lamp(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[LampForm, Form()]
) -> Response:
    """Record a lamp of the CIE's set as one of bench or gallery."""
    lamp = Lamp(form.name.strip(), form.place, form.standard.strip(), note=known(form.note))
    record_lamp(bench, person.author, lamp, form.based_on)
    return go_on(request, "/paints#lamps")


@router.post("/paints/strike")
def strike(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[StrikeForm, Form()]
) -> Response:
    """Strike a paint, a lamp or a chart, with the reason."""
    strike_in_house(bench, person.author, form.kind, form.subject_id, form.because, form.based_on)
    return go_on(request, "/paints")


@router.get("/paints/export")
def export(bench: BenchHere, person: PersonHere, form: Name, name: Names = []) -> Response:  # noqa: B006
    """Give readings as a file; readings made in unlike ways never share one."""
    return _file(bench, form, name)


def _lamp_colour(bench: Bench, kept: KeptLamp) -> str:
    """Return the colour temperature of a kept lamp in words; a file that is gone gives none."""
    lamp = kept.lamp
    try:
        return lamp_colours(bench, [lamp.asked_as], lamp.file_sha256)[0]
    except SoftmendError as lost:
        return str(lost)


def _file(bench: Bench, form: str, names: list[str]) -> Response:
    with bench.store.reading() as reader:
        data = exported(bench, reader, names, form)
    media, _words = FORMS[form]
    ending = {"csv": "csv", "cgats": "txt", "cxf": "cxf"}[form]
    headers = {"content-disposition": f'attachment; filename="readings.{ending}"'}
    return Response(data, media_type=media, headers=headers)


def swatch_of(kept: KeptPaint) -> dict[str, Any]:
    """Return the colour of a paint's most telling reading, for the eye, with its numbers."""
    reading = next(
        (one for one in reversed(kept.paint.readings)
         if one.of.value in ("film over white", "masstone", "pulp and clear skin",
                             "thick pad or hiding film")),
        kept.paint.readings[-1] if kept.paint.readings else None,
    )  # fmt: skip
    if reading is None:
        return {"hex": "", "words": _("not read yet"), "of": ""}
    lab = colours_of([reading])[0]
    return {"hex": screen_hex(lab), "words": lab_words(lab), "of": reading.of.value}


def lab_words(lab: tuple[float, float, float]) -> str:
    """Return a colour in numbers as it is read beside a swatch."""
    whole = (f"{round(value)}".replace("-", "\N{MINUS SIGN}") for value in lab)
    return "L* {}, a* {}, b* {}".format(*whole)


def address_of(name: str) -> str:
    """Return where one paint is shown."""
    return f"/paints/of?{urlencode({'name': name})}"
