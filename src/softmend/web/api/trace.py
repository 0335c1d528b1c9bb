"""The way of a crack from click to click, while the pointer moves."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter
from pydantic import BaseModel, Field

from softmend.services.examine.tracing import make_ready, traced
from softmend.services.recording import current_record
from softmend.web.api.answers import Refusals
from softmend.web.caller import BenchHere, Id
from softmend.web.shapes import Position

router = APIRouter(
    prefix="/dossiers/{dossier_id}/views/{view_id}/trace", tags=["marks"], responses=Refusals
)


class TraceIn(BaseModel):
    """Clicks along a crack, in their order."""

    anchors_px: Annotated[list[Position], Field(min_length=2, max_length=500)]


class TracedStretch(BaseModel):
    """A stretch of the line; weak where the picture shows no more of a crack than beside it."""

    line_px: list[Position]
    is_weak: bool


class TraceOut(BaseModel):
    """The traced line, its stretches, and how much of it is weak."""

    line_px: list[Position]
    stretches: list[TracedStretch]
    weak_percent: float


@router.post("")
def follow(bench: BenchHere, dossier_id: Id, view_id: Id, body: TraceIn) -> TraceOut:
    """Give the line of a crack through the clicks on it; nothing is recorded."""
    with bench.store.reading() as reader:
        _entry, view = current_record(reader, dossier_id, "view", view_id)
    found = traced(bench, view, body.anchors_px)
    return TraceOut(
        line_px=[list(at) for at in found.line_px],
        stretches=[
            TracedStretch(line_px=[list(at) for at in one.line_px], is_weak=one.is_weak)
            for one in found.parts
        ],
        weak_percent=found.weak_percent,
    )


@router.post("/ready", status_code=204)
def ready(bench: BenchHere, dossier_id: Id, view_id: Id) -> None:
    """Make the photograph ready for tracing, once; later calls answer at once."""
    with bench.store.reading() as reader:
        _entry, view = current_record(reader, dossier_id, "view", view_id)
    make_ready(bench, view)
