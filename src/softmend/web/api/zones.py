"""Zones of one view, for programs: both levels listed, a zone recorded on its own."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, Field

from softmend.records.mark import Geometry
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.services.examine.zones import (
    Yes,
    record_body_zone,
    record_on_zone,
    zones_on_view,
)
from softmend.services.recording import current_record
from softmend.web.api.answers import Refusals
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.shapes import AreaShape, geometry_of
from softmend.web.viewing import zone_json

router = APIRouter(
    prefix="/dossiers/{dossier_id}/views/{view_id}", tags=["zones"], responses=Refusals
)

Words = Annotated[str, Field(max_length=20_000)]
Accuracy = Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)]


class PassIn(BaseModel):
    """A named person's pass of "no new tone on original" (rule 7); its reason is printed.

    `about` repeats the overlaps that the refusal named, so that the pass holds for no other.
    """

    because: Annotated[str, Field(min_length=1, max_length=2000)]
    by: Annotated[str, Field(min_length=1, max_length=2000)]
    about: Annotated[list[Words], Field(max_length=200)] = []


class ZoneIn(BaseModel):
    """An outline, how exactly it is drawn, on what grounds, and who passes tone over original."""

    geometry: AreaShape
    accuracy_px: Accuracy = 5.0
    grounds_observed: Words = "not known"
    passed: PassIn | None = None

    @property
    def yes(self) -> Yes:
        """Return the pass that was sent with the zone, if any."""
        sent = self.passed
        return Yes(sent.because, sent.by, tuple(sent.about)) if sent else Yes()

    def said(self, view_id: str) -> dict[str, Any]:
        """Return what both levels of zone share."""
        geometry: Geometry = geometry_of(self.geometry)
        return {
            "number": 0,
            "view_id": view_id,
            "rings": geometry.parts,
            "accuracy_px": self.accuracy_px,
            "grounds_observed": self.grounds_observed.strip() or "not known",
        }


class BodyZoneIn(ZoneIn):
    """What a place is made of."""

    body: Body


class OnZoneIn(ZoneIn):
    """What lies on it."""

    on_it: OnIt


class RecordedZones(BaseModel):
    """The ids of the zones that were written: the new one first, then its cut neighbours."""

    zone_ids: list[str]


@router.get("/zones")
def list_zones(bench: BenchHere, dossier_id: Id, view_id: Id) -> list[dict[str, Any]]:
    """List the zones of a view, those of the body first, as the viewer draws them."""
    with bench.store.reading() as reader:
        current_record(reader, dossier_id, "view", view_id)
        body, on_it = zones_on_view(reader, dossier_id, view_id)
    return [zone_json(*one) for one in body] + [zone_json(*one) for one in on_it]


@router.post("/body-zones", status_code=201)
def record_body(
    bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id, body: BodyZoneIn
) -> RecordedZones:
    """Record a zone of the body; it is cut against its neighbours."""
    zone = BodyZone(body=body.body, **body.said(view_id))
    entries = record_body_zone(bench, person.author, dossier_id, zone, passed=body.yes)
    return RecordedZones(zone_ids=[entry.subject_id for entry in entries])


@router.post("/on-zones", status_code=201)
def record_on_it(
    bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id, body: OnZoneIn
) -> RecordedZones:
    """Record a zone of what lies on the body; new tone over original needs a named pass."""
    zone = OnZone(on_it=body.on_it, **body.said(view_id))
    entry = record_on_zone(bench, person.author, dossier_id, zone, passed=body.yes)
    return RecordedZones(zone_ids=[entry.subject_id])
