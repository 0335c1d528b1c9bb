"""The scale of a view: from clicks on the picture to the inputs of photo.scale."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError, MissingEvidenceError
from softmend.records.view import View
from softmend.services.bench import Bench
from softmend.services.examine.quantities import Scaled, scales_in
from softmend.services.examine.scales import markers_on, set_scale
from softmend.services.recording import current_record
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import maybe_number, typed_number

router = APIRouter()

Line = Annotated[str, Field(max_length=40)]
Method = Literal["two_clicks", "markers", "rectangle", "edges", "cone", "axis"]

_LONGEST_MM = 10_000.0
_FARTHEST_MM = 100_000.0


class ScaleForm(BaseModel):
    """The form of the scale panel; only the fields of the chosen way are read."""

    based_on: str = Field("", max_length=40)
    way: Method = "two_clicks"
    points: str = Field("", max_length=20_000)
    length_mm: Line = ""
    length_expanded_mm: Line = ""
    side_mm: Line = ""
    side_expanded_mm: Line = ""
    width_mm: Line = ""
    height_mm: Line = ""
    sides_expanded_mm: Line = ""
    diameter_mm: Line = ""
    diameter_expanded_mm: Line = ""
    second_diameter_mm: Line = ""
    offset_mm: Line = ""
    offset_expanded_mm: Line = ""
    camera_distance_mm: Line = ""
    camera_expanded_mm: Line = ""

    def stand(self) -> dict[str, Any]:
        """Return where the scale lay; what is left empty is not known, a wide range."""
        offset = self._maybe("offset", "How far the scale lies from the surface", -1000, 1000)
        camera = self._maybe("camera", "The camera's distance", 10, _FARTHEST_MM)
        found = {"offset_mm": offset, "camera_distance_mm": camera}
        return {name: given for name, given in found.items() if given is not None}

    def _maybe(self, field: str, what: str, low: float, high: float) -> dict[str, Any] | None:
        name = "camera_distance_mm" if field == "camera" else f"{field}_mm"
        value = maybe_number(getattr(self, name), what, "mm", low, high)
        if value is None:
            return None
        spread = maybe_number(
            getattr(self, f"{field}_expanded_mm"), f"{what}: its ±", "mm", 0, _LONGEST_MM
        )
        return sourced(value, spread if spread is not None else abs(value) * 0.1)

    def size(self, field: str, what: str, expanded: str = "") -> dict[str, Any]:
        """Return a typed length of the scale with its uncertainty; empty means exact to 0.1 mm."""
        value = typed_number(getattr(self, f"{field}_mm"), what, "mm", 0.01, _LONGEST_MM)
        typed = getattr(self, expanded or f"{field}_expanded_mm")
        spread = maybe_number(typed, f"{what}: its ±", "mm", 0, _LONGEST_MM)
        return sourced(value, 0.1 if spread is None else spread)


def sourced(value: float, expanded: float) -> dict[str, Any]:
    """Return a typed value as the catalogue takes it."""
    return {"value": {"value": value, "expanded": expanded}, "kind": "measured", "origin": "typed"}


@router.post("/dossiers/{dossier_id}/views/{view_id}/scale")
def record_scale(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    form: Annotated[ScaleForm, Form()],
) -> Response:
    """Record the scale of a view."""
    inputs = _INPUTS[form.way](bench, dossier_id, view_id, form)
    set_scale(bench, person.author, dossier_id, view_id, inputs, based_on=form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/views/{view_id}")


def _points(form: ScaleForm, key: str) -> Any:
    try:
        found = json.loads(form.points or "{}")
    except json.JSONDecodeError:
        found = None
    if not isinstance(found, dict) or key not in found:
        raise InputError(
            "Nothing is clicked on the picture for this scale yet",
            remedy="Press “On the picture”, click the points, press Done",
        )
    return found[key]


def _two_clicks(bench: Bench, dossier_id: str, view_id: str, form: ScaleForm) -> dict[str, Any]:
    end_a, end_b = _points(form, "ends")
    return {
        "method": "two_clicks",
        "end_a_px": end_a,
        "end_b_px": end_b,
        "length_mm": form.size("length", "The length between the clicks"),
        "stand": form.stand(),
    }


def _markers(bench: Bench, dossier_id: str, view_id: str, form: ScaleForm) -> dict[str, Any]:
    side = form.size("side", "The side of the marker")
    with bench.store.reading() as reader:
        found = markers_on(bench, reader, dossier_id, view_id)
    seen = [{"number": one["number"], "corners_px": one["corners_px"]} for one in found]
    return {"method": "markers", "markers": seen, "side_mm": side, "stand": form.stand()}


def _rectangle(bench: Bench, dossier_id: str, view_id: str, form: ScaleForm) -> dict[str, Any]:
    return {
        "method": "rectangle",
        "corners_px": [[corner] for corner in corners_in_order(_points(form, "corners"))],
        "width_mm": form.size("width", "The width of the rectangle", "sides_expanded_mm"),
        "height_mm": form.size("height", "The height of the rectangle", "sides_expanded_mm"),
        "stand": form.stand(),
    }


def corners_in_order(corners: list[list[float]]) -> list[list[float]]:
    """Return four corners clicked going round as top left, top right, bottom right, bottom left."""
    if len(corners) != 4:
        raise InputError("A rectangle has four corners", value=len(corners))
    first = min(range(4), key=lambda index: sum(corners[index]))
    round_it = [corners[(first + step) % 4] for step in range(4)]
    _top_left, next_one, _opposite, last = round_it
    # Going round either way: the corner that lies farther right comes second.
    return round_it if next_one[0] >= last[0] else [round_it[0], *reversed(round_it[1:])]


def _edges(bench: Bench, dossier_id: str, view_id: str, form: ScaleForm) -> dict[str, Any]:
    return {**_shaft(bench, dossier_id, view_id, form), "edges_px": _points(form, "edges")}


def _cone(bench: Bench, dossier_id: str, view_id: str, form: ScaleForm) -> dict[str, Any]:
    found = _edges(bench, dossier_id, view_id, form)
    second = form.size("second_diameter", "The diameter at the last clicks", "diameter_expanded_mm")
    return {**found, "second_diameter_mm": second}


def _axis(bench: Bench, dossier_id: str, view_id: str, form: ScaleForm) -> dict[str, Any]:
    with bench.store.reading() as reader:
        standing = scales_in(reader, dossier_id).get(view_id)
    if standing is None or standing.inputs["method"] != "two_clicks":
        raise MissingEvidenceError(
            "The axis alone gives no length",
            remedy="Set two clicks on a scale that lies on the shaft's front line first",
        )
    return {
        **_shaft(bench, dossier_id, view_id, form),
        "axis_px": _points(form, "axis"),
        "front_scale": standing.inputs,
    }


def _shaft(bench: Bench, dossier_id: str, view_id: str, form: ScaleForm) -> dict[str, Any]:
    with bench.store.reading() as reader:
        _entry, found = current_record(reader, dossier_id, "view", view_id)
    view: View = found
    distance = form.stand().get("camera_distance_mm")
    return {
        "method": "cylinder",
        "diameter_mm": form.size("diameter", "The diameter of the shaft"),
        "picture_width_px": view.width_px,
        "picture_height_px": view.height_px,
        **({"camera_distance_mm": distance} if distance else {}),
    }


_INPUTS: dict[str, Callable[[Bench, str, str, ScaleForm], dict[str, Any]]] = {
    "two_clicks": _two_clicks,
    "markers": _markers,
    "rectangle": _rectangle,
    "edges": _edges,
    "cone": _cone,
    "axis": _axis,
}


def viewer_scale(scaled: Scaled | None, found: dict[str, Any] | None) -> dict[str, Any] | None:
    """Return the scale bar's numbers; on a cylinder no one bar is true, so there is none."""
    if scaled is None or found is None or scaled.inputs["method"] == "cylinder":
        return None
    return {
        "px_per_mm": found["scale_px_per_mm"]["mean"],
        "relative_expanded": found["relative_expanded_percent"] / 100,
        "text": found["scale_px_per_mm"]["text"],
    }
