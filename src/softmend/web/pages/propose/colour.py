"""Colours of the object: a chart clicked, patches confirmed, places read; or an instrument."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.pictures.tint_colour import NOT_A_REFERENCE, screen_hex
from softmend.records.mark import Position
from softmend.records.view import View
from softmend.services.examine.views import TILE_SIDE_PX
from softmend.services.legal_flags import remains_caution
from softmend.services.paints_files import Said, keep_colour_file
from softmend.services.propose.colour_picture import cards_offered, chart_picture
from softmend.services.propose.colour_readings import (
    AskedOfPhotograph,
    chart_names,
    colour_readings_in,
    colours_on_photograph,
    places_offered,
    record_instrument,
    record_photograph,
)
from softmend.services.recording import current_record, current_records
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.paints.front import lab_words
from softmend.web.pages.propose.tint import AT, tint_frame
from softmend.web.rendering import render
from softmend.web.uploads import received
from softmend.web.viewing import legend_json, view_name
from softmend.web.words import said as _

router = APIRouter()
COLOUR_AT = f"{AT}/colour"
Line = Annotated[str, Field(max_length=500)]
Points = Annotated[str, Field(max_length=20_000)]
CODINGS = (("srgb", _("an ordinary picture")), ("linear", _("linear in light, from a raw file")))


class ReadForm(BaseModel):
    """What the page asks of a photograph: the chart, its corners, the places, the coding."""

    chart: Line = ""
    corners: Points = ""
    offered: Annotated[list[Line], Field(max_length=50)] = []
    place_name: Annotated[list[Line], Field(max_length=50)] = []
    place_outline: Annotated[list[Points], Field(max_length=50)] = []
    coding: Annotated[str, Field(pattern="^(srgb|linear)$")] = "srgb"
    card: Annotated[str, Field(max_length=64)] = ""
    confirmed: bool = False

    def asked(
        self, view_id: str, drawn: list[tuple[str, tuple[Position, ...]]]
    ) -> AskedOfPhotograph:
        """Return what is asked; places are those ticked and those clicked, each with its name."""
        places = [one for one in drawn if one[0] in self.offered]
        for place, (name, text) in enumerate(
            zip(self.place_name, self.place_outline, strict=False), start=1
        ):
            places.append((name.strip() or _("place {n}", n=place), _points(text)))
        if not self.corners:
            raise InputError(
                _("The chart is not clicked yet"),
                remedy=_("Press “On the picture: the chart” and click its four corners"),
            )
        return AskedOfPhotograph(
            view_id, self.chart, _points(self.corners), tuple(places), self.coding,
            card_view_id=self.card,
        )  # fmt: skip


@router.get(COLOUR_AT)
def colours(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the colours of the object that were read, and the two ways to read another."""
    with bench.store.reading() as reader:
        shown = tint_frame(bench, reader, dossier_id, "colour")
        readings = colour_readings_in(reader, dossier_id)
        views = current_records(reader, dossier_id, "view")
        remains = remains_caution(reader, dossier_id)
    return render(
        request,
        "propose/colour.html",
        readings=[
            (reading, [(one, _swatch(one)) for one in reading.places]) for _e, reading in readings
        ],
        views=[(entry.subject_id, view_name(view)) for entry, view in views],
        remains=remains,
        not_a_reference=NOT_A_REFERENCE,
        **shown,
    )


@router.post(f"{COLOUR_AT}/instrument")
def instrument(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    readings: UploadFile,
    name: Annotated[str, Form(max_length=200)] = "",
    geometry: Annotated[str, Form(max_length=100)] = "",
    specular: Annotated[str, Form(pattern="^(not known|included|excluded)$")] = "not known",
    uv: Annotated[str, Form(max_length=100)] = "",
) -> Response:
    """Record the readings of a file as one place of the object."""
    if not name.strip():
        raise InputError(_("The place has no name"), remedy=_("Say where it was read"))
    file_name = (readings.filename or "readings")[-200:]
    with received(bench, readings) as path:
        sha256 = keep_colour_file(bench, path)
    said = Said(geometry=known(geometry), specular=specular, uv=known(uv))
    record_instrument(bench, person.author, dossier_id, sha256, file_name, name, said)
    return go_on(request, f"/dossiers/{dossier_id}/propose/tint/colour")


@router.get(f"{COLOUR_AT}/{{view_id}}")
def photograph(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id
) -> Response:
    """Show one photograph, to click on its chart and on places of the object."""
    with bench.store.reading() as reader:
        shown = tint_frame(bench, reader, dossier_id, "colour")
        _entry, view = current_record(reader, dossier_id, "view", view_id)
        charts = chart_names(reader)
        offered = places_offered(reader, dossier_id, view_id)
        cards = cards_offered(reader, dossier_id, view_id)
    return render(
        request,
        "propose/colour_view.html",
        view=view,
        view_id=view_id,
        name=view_name(view),
        data=_data(person.person_id, dossier_id, view_id, view),
        charts=charts,
        offered=[name for name, _ring in offered],
        codings=CODINGS,
        cards=[(card_id, view_name(card)) for card_id, card in cards],
        **shown,
    )


@router.post(f"{COLOUR_AT}/{{view_id}}/read")
def read(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    form: Annotated[ReadForm, Form()],
) -> Response:
    """Give the patches as they were read, to be confirmed, and the colours of the places."""
    asked = _asked(bench, dossier_id, view_id, form)
    inputs, answer = colours_on_photograph(bench, dossier_id, asked)
    box = _box(answer["patches"])
    return render(
        request,
        "propose/colour_answer.html",
        answer=answer,
        box=box,
        image=f"/dossiers/{dossier_id}/propose/tint/colour/{view_id}/chart.jpg?"
        + "&".join(f"{name}={value}" for name, value in box.items()),
        patches=[(one, screen_hex(one["known_lab"]), screen_hex(one["found_lab"]))
                 for one in answer["patches"]],
        regions=[(one, screen_hex(one["lab"]) if one["lab"] else "",
                  lab_words(one["lab"]) if one["lab"] else "") for one in answer["regions"]],
        work=working("colour.from_photograph", inputs["photograph_file"][:8], answer),
        not_a_reference=NOT_A_REFERENCE,
    )  # fmt: skip


@router.post(f"{COLOUR_AT}/{{view_id}}/record")
def record(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    form: Annotated[ReadForm, Form()],
) -> Response:
    """Record the colours, once the patches were confirmed."""
    asked = _asked(bench, dossier_id, view_id, form)
    record_photograph(bench, person.author, dossier_id, asked, confirmed=form.confirmed)
    return go_on(request, f"/dossiers/{dossier_id}/propose/tint/colour")


@router.get(f"{COLOUR_AT}/{{view_id}}/chart.jpg")
def chart(
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    left: Annotated[int, Query(ge=0, le=200_000)],
    top: Annotated[int, Query(ge=0, le=200_000)],
    width: Annotated[int, Query(ge=1, le=200_000)],
    height: Annotated[int, Query(ge=1, le=200_000)],
) -> Response:
    """Give the part of a photograph that holds the chart."""
    data = chart_picture(bench, dossier_id, view_id, (left, top, width, height))
    return Response(data, media_type="image/jpeg")


def _asked(bench: Any, dossier_id: str, view_id: str, form: ReadForm) -> AskedOfPhotograph:
    with bench.store.reading() as reader:
        drawn = places_offered(reader, dossier_id, view_id)
    return form.asked(view_id, drawn)


def _points(text: str) -> tuple[Position, ...]:
    try:
        found = json.loads(text)
        return tuple((float(x), float(y)) for x, y in found)
    except (ValueError, TypeError) as unread:
        raise InputError(
            _("The clicks on the picture cannot be read"), remedy=_("Click them again")
        ) from unread


def _box(patches: list[dict[str, Any]]) -> dict[str, int]:
    xs = [x for one in patches for x, _y in one["outline_px"]]
    ys = [y for one in patches for _x, y in one["outline_px"]]
    room = 0.08 * (max(xs) - min(xs))
    left, top = max(0, int(min(xs) - room)), max(0, int(min(ys) - room))
    return {
        "left": left,
        "top": top,
        "width": int(max(xs) + room) - left,
        "height": int(max(ys) + room) - top,
    }


def _swatch(place: Any) -> tuple[str, str]:
    from softmend.services.paints_files import colours_of

    lab = place.lab if place.lab is not None else colours_of([place.reading])[0]
    return screen_hex(lab), lab_words(lab)


def _data(person_id: str, dossier_id: str, view_id: str, view: View) -> dict[str, Any]:
    here = f"/dossiers/{dossier_id}/views/{view_id}"
    return {
        "view_id": view_id,
        "width_px": view.width_px,
        "height_px": view.height_px,
        "name": view_name(view),
        "tile_url": f"{here}/tiles/{{level}}/{{col}}_{{row}}.jpg",
        "tile_size": TILE_SIDE_PX,
        "tile_overlap": 0,
        "marks": [],
        "legend": legend_json(),
        "drafts": [],
        "urls": {"draft": f"/api/v1{here}/draft", "measure": f"/api/v1{here}/measure"},
        "author_id": person_id,
        "scale": None,
        "shaded": [],
    }
