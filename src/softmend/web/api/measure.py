"""The length or area of what is being drawn, while it is drawn."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from fastapi import APIRouter
from pydantic import BaseModel

from softmend.records.drawing import checked_geometry
from softmend.services.examine.quantities import measurable, measured_drawing
from softmend.services.recording import current_record
from softmend.web.api.answers import Refusals
from softmend.web.caller import BenchHere, Id
from softmend.web.shapes import AnyShape, geometry_of

router = APIRouter(
    prefix="/dossiers/{dossier_id}/views/{view_id}", tags=["marks"], responses=Refusals
)

OFFER = "No scale on this view yet: set one and this line speaks in millimetres."


class MeasureIn(BaseModel):
    """What is being drawn."""

    geometry: AnyShape


class Reading(BaseModel):
    """The value with its uncertainty, and the small line beneath it."""

    text: str
    small: str


@router.post("/measure")
def measure(bench: BenchHere, dossier_id: Id, view_id: Id, body: MeasureIn) -> Reading:
    """Measure a drawing with the view's scale; without one, offer to set it."""
    with bench.store.reading() as reader:
        _entry, view = current_record(reader, dossier_id, "view", view_id)
        scale = measurable(reader, dossier_id, view_id)
    drawn = checked_geometry(geometry_of(body.geometry), view.width_px, view.height_px)
    found = measured_drawing(drawn, scale)
    if found.mean is None:
        return Reading(text="", small=OFFER)
    return Reading(text=found.text, small=" ".join(found.warnings))
