"""Revisit: when to look again, what was compared, what moved; and the guide for the same view."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import FileResponse, Response

from softmend.pictures.growth import growth_svg, growth_words
from softmend.records.view import View
from softmend.services.examine.printing import print_copy_path
from softmend.services.examine.quantities import Scaled, scales_in
from softmend.services.examine.views import views_in
from softmend.services.recording import current_record
from softmend.services.revisit.front import dated, next_check_on
from softmend.services.revisit.growth import growth_of
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.revisit.frame import frame
from softmend.web.rendering import render
from softmend.web.viewing import view_name

router = APIRouter()


@router.get("/dossiers/{dossier_id}/revisit")
def revisit(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the next day to look, the pairs that can be compared, and what was kept."""
    with bench.store.reading() as reader:
        around = frame(bench, reader, dossier_id, "revisit")
        views = dated(views_in(reader, dossier_id))
        due = next_check_on(reader, dossier_id)
        growth = growth_of(around["pairs"])
    return render(
        request,
        "revisit/front.html",
        **around,
        views=[(entry, view, view_name(view)) for entry, view in views],
        due=due,
        growth=growth_svg(growth) if growth else "",
        growth_words=growth_words(growth) if growth else "",
    )


@router.get("/dossiers/{dossier_id}/revisit/guide")
def guide(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Show how a view was taken, and lay a new photograph over it as a ghost before it is kept."""
    with bench.store.reading() as reader:
        around = frame(bench, reader, dossier_id, "revisit/guide")
        views = views_in(reader, dossier_id)
        scales = scales_in(reader, dossier_id)
    chosen = next((one for one in views if one[0].subject_id == view), views[0] if views else None)
    return render(
        request,
        "revisit/guide.html",
        **around,
        views=[(entry, one, view_name(one)) for entry, one in views],
        chosen=chosen,
        name=view_name(chosen[1]) if chosen else "",
        taken=_taken(chosen[1], scales.get(chosen[0].subject_id)) if chosen else [],
    )


@router.get("/dossiers/{dossier_id}/revisit/guide/{view_id}.jpg")
def ghost(bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id) -> Response:
    """Give an earlier view at the size of a screen, to lie over a trial shot."""
    with bench.store.reading() as reader:
        _entry, view = current_record(reader, dossier_id, "view", view_id)
    path = print_copy_path(bench, view.canonical_sha256)
    return FileResponse(path, media_type="image/jpeg", headers={"cache-control": "private"})


def _taken(view: View, scaled: Scaled | None) -> list[tuple[str, str]]:
    """Return how the earlier photograph was taken, each line an answer or "not known"."""
    distance: Any = None
    if scaled is not None:
        stand = scaled.inputs.get("stand") or {}
        distance = stand.get("camera_distance_mm") or scaled.inputs.get("camera_distance_mm")
    value = (distance or {}).get("value")
    if isinstance(value, dict):
        value = value.get("value", value.get("typical"))
    return [
        ("Camera distance", f"{value:.0f} mm" if isinstance(value, int | float) else "not known"),
        ("Light", view.light.value),
        ("Light from", view.light_from),
        ("Side", view.side),
        ("Taken on", view.taken_on),
        ("Made by", view.made_by),
        ("Picture", f"{view.width_px} × {view.height_px} px"),
    ]
