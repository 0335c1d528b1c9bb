"""The scale of a view, for programs: the inputs of photo.scale as they stand, or set anew."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, Field

from softmend.services.examine.quantities import measurable, scale_statement
from softmend.services.examine.scales import set_scale
from softmend.web.api.answers import Refusals
from softmend.web.caller import BenchHere, Id, PersonHere

router = APIRouter(
    prefix="/dossiers/{dossier_id}/views/{view_id}/scale", tags=["scales"], responses=Refusals
)


class ScaleOut(BaseModel):
    """The scale that stands: a sentence, its inputs, and the entry that holds it."""

    sentence: str
    inputs: dict[str, Any] | None
    entry_id: str


class ScaleIn(BaseModel):
    """The inputs of photo.scale, and the entry that their author last saw ("" when none)."""

    inputs: dict[str, Any]
    based_on: Annotated[str, Field(max_length=40)] = ""


@router.get("")
def standing_scale(bench: BenchHere, dossier_id: Id, view_id: Id) -> ScaleOut:
    """Give the scale of a view; without one the sentence says so."""
    with bench.store.reading() as reader:
        scaled = measurable(reader, dossier_id, view_id)
    sentence, _found = scale_statement(scaled)
    return ScaleOut(
        sentence=sentence,
        inputs=scaled.inputs if scaled else None,
        entry_id=scaled.entry_id if scaled else "",
    )


@router.put("")
def put_scale(
    bench: BenchHere, person: PersonHere, dossier_id: Id, view_id: Id, body: ScaleIn
) -> ScaleOut:
    """Set the scale of a view; what gives no scale is refused and nothing is recorded."""
    set_scale(bench, person.author, dossier_id, view_id, body.inputs, based_on=body.based_on)
    return standing_scale(bench, dossier_id, view_id)
