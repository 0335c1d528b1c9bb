"""One crack: drawn in section, tried out with sliders, told in words, kept for the proposal."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.catalogue.computation import Sourced
from softmend.catalogue.joint_answer import banded
from softmend.records.crack_model import Basis, BodyAround
from softmend.services.explain.binding import Bound
from softmend.services.explain.binding_fill import system_names
from softmend.services.explain.binding_matter import STATES
from softmend.services.explain.contradiction import contradicting_sources
from softmend.services.explain.crack import (
    GIVING,
    QUICK,
    TRIED_OUT,
    WHOLE,
    FillOn,
    Role,
    as_modelled,
    crack_numbered,
    fill_named,
    fills_on,
)
from softmend.services.explain.crack_keep import keep_crack, kept_of, say_of_crack
from softmend.services.explain.crack_words import how_to_measure, said_of
from softmend.services.explain.own_values import known_materials
from softmend.services.explain.what_if import PLACES, Tried, typical, with_tried
from softmend.services.store import Reader
from softmend.services.workings import origin_words, working
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.explain.frame import frame
from softmend.web.pages.explain.pictures import chart_of, section_of
from softmend.web.pages.explain.said import SaidForm, form_rows
from softmend.web.rendering import render

router = APIRouter()
Number = Annotated[int, Field(ge=1, le=2_147_483_647)]
LEAST_SHARE = 0.03
AT = "/dossiers/{dossier_id}/explain/cracks/{number}"


class TryForm(BaseModel):
    """What the sliders say; left out is as recorded. `whole` asks for the whole sample."""

    fall: Annotated[float | None, Field(gt=0, le=90)] = None
    width: Annotated[float | None, Field(gt=0, le=1000)] = None
    depth: Annotated[float | None, Field(gt=0, le=5000)] = None
    fill: Annotated[str, Field(max_length=200)] = ""
    drawn: Literal["new", "old", "open"] = "new"
    whole: bool = False

    def tried(self) -> Tried:
        """Return what is tried out."""
        return Tried(self.fall, self.width, self.depth)


@router.get(AT)
def crack(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, number: Number
) -> Response:
    """Show one crack: its section, the sliders, what was kept, and what is said of it."""
    with bench.store.reading() as reader:
        bound = crack_numbered(reader, dossier_id, number)
        shown = frame(bench, reader, dossier_id, f"explain/cracks/{number}", number)
        shown |= _page(reader, dossier_id, bound)
    return render(request, "explain/crack.html", **shown)


@router.get(f"{AT}/answer")
def answer(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    number: Number,
    asked: Annotated[TryForm, Query()],
) -> Response:
    """Give the section, the words and the chart for what is tried out; nothing is recorded."""
    with bench.store.reading() as reader:
        bound = crack_numbered(reader, dossier_id, number)
        fills = fills_on(
            reader, dossier_id, bound, asked.tried(), asked.fill, WHOLE if asked.whole else QUICK
        )
    return render(
        request,
        "explain/answer.html",
        base=f"/dossiers/{dossier_id}/explain/cracks/{number}",
        dossier_base=f"/dossiers/{dossier_id}",
        asked=asked,
        query=str(request.url.query),
        **_told(bound, fills, asked),
    )


@router.post(f"{AT}/said")
def record_said(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    number: Number,
    form: Annotated[SaidForm, Form()],
) -> Response:
    """Record what is said of a crack."""
    at = (bench, person.author, dossier_id)
    say_of_crack(*at, form.mark_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/explain/cracks/{number}")


@router.post(f"{AT}/keep")
def keep(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, number: Number
) -> Response:
    """Keep what is computed of a crack with everything that it read."""
    keep_crack(bench, person.author, dossier_id, number)
    return go_on(request, f"/dossiers/{dossier_id}/explain/cracks/{number}#kept")


def _page(reader: Reader, dossier_id: str, bound: Bound) -> dict[str, Any]:
    kept = kept_of(reader, dossier_id, bound.mark_id)
    named = {role.value: fill_named(reader, dossier_id, bound, role) for role in Role}
    is_drawn = {"depth_mm", "width_mm"} <= set(bound.payload["crack"])
    sliders = {}
    if not bound.missing:
        fall = typical(bound.payload, "fall_percent")
        sliders = {
            "fall": (fall, 1, 50, 0.5, _about(bound, "fall_percent", "%RH")),
            "width": (*_range(typical(bound.payload, "width_mm")), _about(bound, "width_mm", "mm")),
            "depth": (*_range(typical(bound.payload, "depth_mm")), _about(bound, "depth_mm", "mm")),
        }
    return {
        "bound": bound,
        "mark": bound.mark,
        "model": bound.model,
        "named": named,
        "systems": system_names(reader),
        "materials": known_materials(reader),
        "states": STATES,
        "bodies": list(BodyAround),
        "bases": list(Basis),
        "rows": form_rows(bound.model),
        "sliders": sliders,
        "moves": _moves(bound),
        "taken": _taken(bound),
        "kept": [(role, kept[GIVING, role.value]) for role in Role if (GIVING, role.value) in kept],
        "stale": next((one.stale_because for one in kept.values() if one.stale_because), ""),
        "contradiction": contradicting_sources(bound.model.material),
        "picture": section_of(bound, None) if is_drawn else None,
    }


def _told(bound: Bound, fills: list[FillOn], asked: TryForm) -> dict[str, Any]:
    loaded = [one for one in fills if one.sharing]
    shown = next((one for one in loaded if one.role.value == asked.drawn), None)
    if shown is None and asked.drawn == "new":
        shown = loaded[-1] if loaded else None
    givings = [one for one in fills if one.giving]
    return {
        "bound": bound,
        "fills": fills,
        "is_tried": with_tried(bound.payload, asked.tried()) != bound.payload
        or any(one.origin == TRIED_OUT for one in fills),
        "said": said_of(bound, fills),
        "modelled": as_modelled(bound, givings[-1], asked.tried()) if givings else None,
        "picture": section_of(bound, shown, asked.tried()),
        "chart": chart_of(givings) if givings else None,
        "drivers": _drivers(givings[-1]) if givings else [],
        "workings": [
            working(GIVING, f"{one.role.value} fill: {one.name}", one.giving)
            for one in givings
            if one.giving
        ],
    }


def _drivers(one: FillOn) -> list[tuple[str, int, str]]:
    drivers = (one.giving or {}).get("object_drivers", [])
    return [
        (driver["name"], round(100 * driver["share"]), how_to_measure(driver["name"]))
        for driver in drivers[:5]
        if driver["share"] >= LEAST_SHARE
    ]


def _about(bound: Bound, name: str, unit: str) -> str:
    value = Sourced.model_validate(bound.payload[PLACES[name]][name])
    return f"{banded(value.uncertain().band, unit)}, {value.kind}, {origin_words(value.origin)}"


def _moves(bound: Bound) -> str:
    """Return which way of knowing the movement is used, and the value that is used."""
    measured = bound.sources.get("measured_mm")
    if measured is None:
        return bound.used
    return f"measured, {banded(measured.uncertain().band, 'mm')} for each %RH"


def _taken(bound: Bound) -> dict[str, str]:
    return {
        name: f"{banded(value.uncertain().band, '')}, {value.kind}, {origin_words(value.origin)}"
        for name, value in bound.sources.items()
    }


def _range(middle: float) -> tuple[float, float, float, float]:
    step = 0.05 if middle < 5 else 0.5
    return round(middle, 2), max(step, round(middle / 4, 2)), round(3 * middle, 2), step
