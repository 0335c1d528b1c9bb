"""Picks on a scan taken to its measuring mesh, and pads while they are moved."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter
from pydantic import BaseModel, Field

from softmend.services.recording import current_record
from softmend.services.solid.measuring_mesh import scan_folder, snapped
from softmend.services.solid.pads import pads_now
from softmend.services.solid.scans import on_scan
from softmend.services.solid.section_now import section_now
from softmend.web.api.answers import Refusals
from softmend.web.caller import BenchHere, Id

router = APIRouter(
    prefix="/dossiers/{dossier_id}/scans/{scan_id}", tags=["scans"], responses=Refusals
)

Number = Annotated[float, Field(ge=-1e12, le=1e12, allow_inf_nan=False)]
Place = Annotated[list[Number], Field(min_length=3, max_length=3)]
Percent = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]


class PicksIn(BaseModel):
    """Picks on the copy for the eye, in the file's own coordinates."""

    places: Annotated[list[Place], Field(min_length=1, max_length=200)]


class PicksOut(BaseModel):
    """The same picks on the measuring mesh."""

    places: list[list[float]]


class PadsIn(BaseModel):
    """Where the pads stand along the object, from the thicker end."""

    at_percent: Annotated[list[Percent], Field(min_length=1, max_length=12)]


class PadNow(BaseModel):
    """What one pad carries now, at least and at most, how hard it presses, how high it stands."""

    at_percent: float
    at: list[float]
    force_n: float
    least_n: float
    most_n: float
    pressure_kpa: float
    worst_pressure_kpa: float
    height_mm: float
    sinks_mm: float


class PadsOut(BaseModel):
    """Whether the object stands, what each pad carries, and how far it is from tipping."""

    stands: bool
    sentence: str = ""
    pads: list[PadNow] = []
    notes: list[str] = []
    tipping_share: float | None = None
    tilt_degrees: float | None = None
    tips_towards_degrees: float | None = None
    slides_first: bool | None = None
    slip_share: float | None = None
    stress_mpa: float | None = None
    stress_at_percent: float | None = None


class SectionIn(BaseModel):
    """A plane across the object's longest run or an axis of its file, and where along it."""

    across: Literal["length", "x", "y", "z"] = "length"
    plane_percent: Percent | None = None
    plane_mm: Annotated[float, Field(ge=0, le=20_000, allow_inf_nan=False)] | None = None


class OutlineOut(BaseModel):
    """One outline in the plane."""

    points_mm: list[tuple[float, float]]
    is_hollow: bool
    is_closed: bool


class SectionOut(BaseModel):
    """The outlines in a plane, what they measure in words, and where the plane lies."""

    answer: str
    reasons: list[str]
    warnings: list[str]
    plane_mm: float | None = None
    run_mm: float | None = None
    origin: list[float] | None = None
    way: list[float] | None = None
    mean_edge_mm: float | None = None
    area: str = ""
    hollow: str = ""
    greatest_width: str = ""
    least_width: str = ""
    outlines: list[OutlineOut] = []


@router.post("/section")
def section(bench: BenchHere, dossier_id: Id, scan_id: Id, body: SectionIn) -> SectionOut:
    """Give what a plane cuts from the measuring mesh; nothing is recorded."""
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
    told = section_now(bench, on, body.across, body.plane_percent, body.plane_mm)
    words = {
        name.rpartition("_")[0]: told[name]["text"]
        for name in ("area_mm2", "hollow_mm2", "greatest_width_mm", "least_width_mm")
        if told[name]
    }
    return SectionOut.model_validate({**told, **words})


@router.post("/snap")
def snap(bench: BenchHere, dossier_id: Id, scan_id: Id, body: PicksIn) -> PicksOut:
    """Give the nearest points of the measuring mesh; nothing is recorded."""
    with bench.store.reading() as reader:
        _entry, scan = current_record(reader, dossier_id, "scan", scan_id)
    folder = scan_folder(bench, scan.original_sha256)
    return PicksOut(places=snapped(folder, body.places))


@router.post("/pads")
def pads(bench: BenchHere, dossier_id: Id, scan_id: Id, body: PadsIn) -> PadsOut:
    """Give what pads at these places carry; nothing is recorded."""
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
    return PadsOut.model_validate(pads_now(bench, on, sorted(body.at_percent)))
