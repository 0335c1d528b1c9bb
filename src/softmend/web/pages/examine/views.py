"""A view at the bench: the picture with its marks, and the panel beside it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.catalogue.eyes_suggest import MEASURED
from softmend.records.entry import Entry
from softmend.records.mark import Mark
from softmend.records.view import Light, View
from softmend.records.zone import BodyZone, OnZone
from softmend.services.dossiers import OpenDossier, opened
from softmend.services.examine.marks import marks_on_view
from softmend.services.examine.quantities import (
    Scaled,
    mark_quantities,
    scale_statement,
    scales_in,
    zone_area,
)
from softmend.services.examine.report_rows import quantity, zone_code, zone_words
from softmend.services.examine.suggesting import has_network
from softmend.services.examine.views import TILE_SIDE_PX, describe_view, views_in
from softmend.services.examine.vocabulary import sides, term
from softmend.services.examine.zones import zones_on_view
from softmend.services.next_steps import next_steps
from softmend.services.recording import current_record, current_records
from softmend.services.treat.bench_sheet import underlays_on
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.api.drafts import KeptDraft, drafts_on_view
from softmend.web.caller import AtTheBench, BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number
from softmend.web.pages.examine.front import plan_of
from softmend.web.pages.examine.scales import viewer_scale
from softmend.web.rendering import render
from softmend.web.viewing import legend_json, legend_shown, mark_json, view_name, zone_json

router = APIRouter()

Line = Annotated[str, Field(max_length=2000)]
STAGES = ("before treatment", "during treatment", "after treatment", "check")


class AboutView(BaseModel):
    """The form of what a view shows."""

    based_on: str = Field("", max_length=40)
    shows: Line = ""
    side: Line = ""
    light: Light = Light.NORMAL
    light_from: Line = ""
    taken_on: Line = ""
    made_by: Line = ""
    stage: Line = ""
    plan_x: Line = ""
    plan_y: Line = ""


@router.get("/dossiers/{dossier_id}/views/{view_id}")
def view_at_the_bench(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id
) -> Response:
    """Show the picture, its marks and its tools."""
    with bench.store.reading() as reader:
        entry, view = current_record(reader, dossier_id, "view", view_id)
        marks = marks_on_view(reader, dossier_id, view_id)
        body, on_it = zones_on_view(reader, dossier_id, view_id)
        zones: list[tuple[Entry, BodyZone | OnZone]] = [*body, *on_it]
        scales = scales_in(reader, dossier_id)
        shown: dict[str, Any] = {
            "dossier": opened(reader, dossier_id),
            "steps": next_steps(reader, dossier_id),
            "views": views_in(reader, dossier_id),
            "underlays": underlays_on(reader, dossier_id, view_id),
            "gaps": current_records(reader, dossier_id, "not_examined"),
            "drafts": drafts_on_view(reader, dossier_id, view_id, person.person_id),
        }
    name = view_name(view)
    scale = _scale_shown(name, scales.get(view_id))
    return render(
        request,
        "examine/view.html",
        here="view",
        view=view,
        plan=plan_of(
            (shown["dossier"].title, shown["dossier"].dossier.what), shown["views"], shown["gaps"]
        ),
        entry=entry,
        view_id=view_id,
        name=name,
        marks=[(one, mark, term(mark.term_id)) for one, mark in marks],
        data={
            **_data(person, entry, view, marks, zones, shown["drafts"]),
            "scale": viewer_scale(scale["scaled"], scale["scale_found"]),
            "shaded": scale["shaded"],
        },
        legend=legend_shown(
            [term(mark.term_id).code for _, mark in marks] + [zone_code(zone) for _, zone in zones]
        ),
        lights=list(Light),
        sides=sides(),
        stages=STAGES,
        numbers={
            one.subject_id: [quantity(each) for each in mark_quantities(mark, scales)]
            for one, mark in marks
        },
        zones=_zone_rows(zones, scales),
        has_network=has_network(),
        measured={way: f"{score:.2f}" for way, score in MEASURED.items()},
        **scale,
        **shown,
    )


def _scale_shown(name: str, scaled: Scaled | None) -> dict[str, Any]:
    """Return the scale of a view as its panel shows it, and the areas that it greys."""
    sentence, found = scale_statement(scaled)
    return {
        "scaled": scaled,
        "scale_sentence": sentence,
        "scale_found": found,
        "scale_working": working("photo.scale", name, found) if found else None,
        "shaded": [[ring] for ring in found["grey_beyond_px"]] if found else [],
    }


@router.post("/dossiers/{dossier_id}/views/{view_id}")
def record_about(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    form: Annotated[AboutView, Form()],
) -> Response:
    """Record what a view shows, its light and where it was taken."""
    with bench.store.reading() as reader:
        _entry, standing = current_record(reader, dossier_id, "view", view_id)
    described = replace(
        standing,
        shows=known(form.shows),
        side=known(form.side),
        light=form.light,
        light_from=known(form.light_from),
        taken_on=known(form.taken_on),
        made_by=known(form.made_by),
        stage=known(form.stage),
        plan_x=maybe_number(form.plan_x, "The place across the plan", "", 0, 1),
        plan_y=maybe_number(form.plan_y, "The place down the plan", "", 0, 1),
    )
    describe_view(bench, person.author, dossier_id, view_id, described, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/views/{view_id}")


def _words(dossier: OpenDossier) -> tuple[str, str]:
    return dossier.title, dossier.dossier.what


def _zone_rows(
    zones: list[tuple[Entry, BodyZone | OnZone]], scales: dict[str, Scaled]
) -> list[dict[str, Any]]:
    return [
        {
            "entry": one,
            "zone": zone,
            "word": zone_words(zone),
            "area": quantity(zone_area(zone, scales)),
        }
        for one, zone in zones
    ]


def _data(
    person: AtTheBench,
    entry: Entry,
    view: View,
    marks: list[tuple[Entry, Mark]],
    zones: list[tuple[Entry, BodyZone | OnZone]],
    drafts: list[KeptDraft],
) -> dict[str, Any]:
    here = f"/dossiers/{entry.dossier_id}/views/{entry.subject_id}"
    return {
        "view_id": entry.subject_id,
        "width_px": view.width_px,
        "height_px": view.height_px,
        "name": view_name(view),
        "tile_url": f"{here}/tiles/{{level}}/{{col}}_{{row}}.jpg",
        "tile_size": TILE_SIDE_PX,
        "tile_overlap": 0,
        "marks": [
            *(zone_json(one, zone) for one, zone in zones),
            *(one for kept, mark in marks for one in mark_json(kept, mark, entry.subject_id)),
        ],
        "legend": legend_json(),
        "drafts": [draft.model_dump() for draft in drafts],
        "urls": {
            "draft": f"/api/v1{here}/draft",
            "measure": f"/api/v1{here}/measure",
            "trace": f"/api/v1{here}/trace",
        },
        "author_id": person.person_id,
    }
