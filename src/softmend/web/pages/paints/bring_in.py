"""Colour files: what a file seems to hold on one screen, confirmed before anything is recorded."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.pictures.tint_colour import NOT_A_REFERENCE, screen_hex
from softmend.records.dossier import NOT_KNOWN
from softmend.records.lamp import Lamp, LampPlace
from softmend.records.paint import ReadingOf
from softmend.services.paints import paints_in, record_chart, record_lamp
from softmend.services.paints_files import (
    FACTORS,
    ConfirmedRow,
    Said,
    chart_of_file,
    guess_of_file,
    keep_colour_file,
    lamp_samples,
    record_guess,
)
from softmend.services.paints_known import lamp_colours
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, PersonHere
from softmend.web.numbers import known, maybe_number, typed_number
from softmend.web.pages.paints.front import lab_words
from softmend.web.rendering import render
from softmend.web.uploads import received
from softmend.web.words import said as _

router = APIRouter()

Line = Annotated[str, Field(max_length=500)]
Lines = Annotated[list[Line], Field(max_length=5000)]
Sha256 = Annotated[str, Field(pattern="^[0-9a-f]{64}$")]
Asked = Annotated[str, Query(pattern="^[0-9a-f]{64}$")]
Name = Annotated[str, Query(max_length=300)]
SPECULAR = (NOT_KNOWN, "included", "excluded")
LEAVE_OUT = "leave out"
MOST_LAMPS = 20


class GuessForm(BaseModel):
    """What a person confirms of a file: each reading's paint and kind, and what it is silent on."""

    file_sha256: Sha256
    file_name: Line = ""
    place: Annotated[list[int], Field(max_length=5000)] = []
    paint: Lines = []
    of: Lines = []
    unit: Line = "as read"
    geometry: Line = ""
    specular: Line = ""
    uv: Line = ""
    thickness_um: Line = ""
    paint_percent: Line = ""

    def rows(self) -> list[ConfirmedRow]:
        """Return the readings that are kept."""
        kinds = {one.value: one for one in ReadingOf}
        return [
            ConfirmedRow(place, paint, kinds[of])
            for place, paint, of in zip(self.place, self.paint, self.of, strict=True)
            if of in kinds
        ]

    def said(self) -> Said:
        """Return what holds for the whole file."""
        share = maybe_number(self.paint_percent, _("The share of paint"), "%", 0.01, 100)
        return Said(
            unit=self.unit,
            geometry=known(self.geometry),
            specular=known(self.specular),
            uv=known(self.uv),
            thickness_um=maybe_number(self.thickness_um, _("The dry thickness"), "µm", 0.1, 5000),
            paint_percent=100.0 if share is None else share,
        )


class LampFileForm(BaseModel):
    """What a person says of a lamp file."""

    file_sha256: Sha256
    file_name: Line = ""
    sample: Line = ""
    name: Line = ""
    place: LampPlace = LampPlace.GALLERY


@router.post("/paints/file")
def bring_in(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    readings: UploadFile,
    holds: Annotated[str, Form(pattern="^(readings|lamp|chart)$")] = "readings",
) -> Response:
    """Keep a colour file as it came, and show what it seems to hold."""
    name = readings.filename or "readings"
    with received(bench, readings) as path:
        sha256 = keep_colour_file(bench, path)
    asked = urlencode({"file": sha256, "name": name[-200:], "holds": holds})
    return go_on(request, f"/paints/guess?{asked}")


@router.get("/paints/guess")
def guess(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    file: Asked,
    name: Name = "",
    holds: Name = "readings",
) -> Response:
    """Show what a kept file seems to hold; nothing of it is recorded yet."""
    if holds == "lamp":
        samples = lamp_samples(bench, file)
        colours = lamp_colours(bench, samples[:MOST_LAMPS], file)
        return render(
            request, "paints/lamp.html", samples=samples, file_sha256=file, file_name=name,
            places=list(LampPlace), colours=list(zip(samples, colours, strict=False)),
        )  # fmt: skip
    found = guess_of_file(bench, file, name)
    if holds == "chart":
        return render(request, "paints/chart.html", guess=found)
    with bench.store.reading() as reader:
        paints = [one.paint.name for one in paints_in(reader)]
    return render(
        request,
        "paints/guess.html",
        guess=found,
        rows=[(row, screen_hex(row.lab) if row.lab else "", lab_words(row.lab) if row.lab else "")
              for row in found.rows],
        kinds=[one.value for one in ReadingOf],
        leave_out=LEAVE_OUT,
        units=list(FACTORS),
        specular=SPECULAR,
        paints=paints,
        not_a_reference=NOT_A_REFERENCE,
    )  # fmt: skip


@router.post("/paints/guess")
def confirm(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[GuessForm, Form()]
) -> Response:
    """Record the confirmed readings, each with its paint."""
    if not len(form.place) == len(form.paint) == len(form.of):
        raise InputError(_("The form is not whole"), remedy=_("Open the file's page again"))
    record_guess(bench, person.author, form.file_sha256, form.file_name, form.rows(), form.said())
    return go_on(request, "/paints")


@router.post("/paints/lamps/file")
def confirm_lamp(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[LampFileForm, Form()]
) -> Response:
    """Record a lamp of a file as one of bench or gallery."""
    lamp = Lamp(
        form.name.strip() or form.sample.strip(), form.place, "", form.sample,
        form.file_name or NOT_KNOWN, form.file_sha256,
    )  # fmt: skip
    record_lamp(bench, person.author, lamp)
    return go_on(request, "/paints#lamps")


@router.post("/paints/charts")
def confirm_chart(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    file_sha256: Annotated[str, Form(pattern="^[0-9a-f]{64}$")],
    name: Annotated[str, Form(max_length=200)] = "",
    rows: Annotated[str, Form(max_length=10)] = "",
    columns: Annotated[str, Form(max_length=10)] = "",
    note: Annotated[str, Form(max_length=500)] = "",
) -> Response:
    """Record a colour chart of the house's own from its file."""
    if not name.strip():
        raise InputError(_("A chart needs a name"), remedy=_("As it stands on the chart"))
    counts = [
        int(typed_number(text, what, "", 1, 40))
        for text, what in ((rows, _("The rows")), (columns, _("The columns")))
    ]
    chart = chart_of_file(bench, file_sha256, name, counts[0], counts[1], known(note))
    record_chart(bench, person.author, chart)
    return go_on(request, "/paints#charts")
