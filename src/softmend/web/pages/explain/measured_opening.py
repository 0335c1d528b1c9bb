"""A measured opening: two readings at two humidities, or a series beside a logger's record."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.pictures.openings import openings_svg, openings_words
from softmend.records.opening import MeasuredOpening, OpeningWay, WidthReading
from softmend.services.explain.measured_opening import (
    read_by_station,
    record_opening,
    strike_opening,
)
from softmend.services.explain.opening_page import (
    LONGEST_PASTE,
    OpeningShown,
    opening_shown,
    series_as_text,
    with_pasted,
)
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number, typed_number
from softmend.web.pages.explain.frame import frame
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/marks/{mark_id}/opening"
Line = Annotated[str, Field(max_length=500)]
Two = Annotated[list[Line], Field(max_length=2)]
Pasted = Annotated[str, Field(max_length=LONGEST_PASTE)]


class OpeningForm(BaseModel):
    """The form of a measured opening; the way says which of its parts are read."""

    based_on: Annotated[str, Field(max_length=40)] = ""
    way: OpeningWay = OpeningWay.TWO_READINGS
    along_mm: Line = ""
    measured_with: Line = ""
    note_observed: Line = ""
    read_on: Two = []
    width_mm: Two = []
    expanded_mm: Two = []
    air_percent: Two = []
    air_expanded_percent: Two = []
    widths: Pasted = ""
    air: Pasted = ""

    def record(self) -> MeasuredOpening:
        """Return what was typed or pasted as a record."""
        opening = MeasuredOpening(
            way=self.way,
            along_mm=maybe_number(self.along_mm, _("The place along the crack"), "mm", 0, 1e5),
            measured_with=known(self.measured_with),
            note_observed=known(self.note_observed),
        )
        if self.way is OpeningWay.SERIES:
            return with_pasted(opening, self.widths, self.air)
        rows = zip(
            self.read_on,
            self.width_mm,
            self.expanded_mm,
            self.air_percent,
            self.air_expanded_percent,
            strict=False,
        )
        readings = tuple(
            WidthReading(
                day.strip(),
                typed_number(width, _("The width"), "mm", 0.001, 1000),
                typed_number(off, _("The ± of the width"), "mm", 0.0001, 100),
                typed_number(air, _("The humidity"), "%RH", 0, 100),
                typed_number(air_off, _("The ± of the humidity"), "%RH", 0.1, 50),
            )
            for day, width, off, air, air_off in rows
        )
        return MeasuredOpening(**{**vars(opening), "readings": readings})


class StrikeForm(BaseModel):
    """The form that strikes a measured opening."""

    based_on: Annotated[str, Field(max_length=40)] = ""
    because: Line = ""


@router.get(AT)
def opening(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, mark_id: Id
) -> Response:
    """Show how a crack moves, modelled and measured, and the form to measure it."""
    with bench.store.reading() as reader:
        shown = opening_shown(reader, dossier_id, mark_id)
        around = frame(bench, reader, dossier_id, "explain/opening")
    record = shown.measured.record if shown.measured else None
    pasted = series_as_text(record)
    return render(
        request,
        "explain/measured_opening.html",
        **around,
        shown=shown,
        record=record,
        readings=(record.readings if record else ()) or (None, None),
        pasted=pasted,
        ways=[way for way in OpeningWay if way is not OpeningWay.SERIES],
        series=OpeningWay.SERIES.value,
        stations=read_by_station(shown.mark),
        drawing=_drawing(shown),
        drawing_words=openings_words(shown.bands),
    )


@router.post(AT)
def measure(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    form: Annotated[OpeningForm, Form()],
) -> Response:
    """Record how a crack was seen to move."""
    record_opening(bench, person.author, dossier_id, mark_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/marks/{mark_id}/opening")


@router.post(f"{AT}/strike")
def strike(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    form: Annotated[StrikeForm, Form()],
) -> Response:
    """Strike a measured opening: the model stands again."""
    strike_opening(bench, person.author, dossier_id, mark_id, form.because, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/marks/{mark_id}/opening")


def _drawing(shown: OpeningShown) -> str:
    return openings_svg(shown.bands) if shown.bands else ""
