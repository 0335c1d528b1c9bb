"""Treat: the joins and the order of assembly, decided before the first adhesive."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.join import Assembly, PlannedJoin, assembly_order, locked_out
from softmend.services.dossiers import opened
from softmend.services.treat.day_log import assembly_of, joins_made, plan_assembly
from softmend.services.treat.treat_steps import treat_steps
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.rendering import render

router = APIRouter()

EMPTY_ROWS = 3
Lines = Annotated[list[Annotated[str, Field(max_length=500)]], Field(max_length=200)]


class JoinsForm(BaseModel):
    """The joins, a row each; pieces and joins that come first are listed with commas."""

    based_on: str = Field("", max_length=40)
    name: Lines = Field(default_factory=list)
    pieces: Lines = Field(default_factory=list)
    after: Lines = Field(default_factory=list)

    def record(self) -> Assembly:
        """Return what was typed as a record; rows without a name are left out."""
        rows = zip(self.name, self.pieces, self.after, strict=False)
        return Assembly(
            tuple(
                PlannedJoin(name.strip(), _listed(pieces), _listed(after))
                for name, pieces, after in rows
                if name.strip()
            )
        )


@router.get("/dossiers/{dossier_id}/treat/joins")
def joins(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the joins in the order in which they can be made."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        entry_id, assembly = assembly_of(reader, dossier_id)
        made = joins_made(reader, dossier_id)
        steps = treat_steps(bench, reader, dossier_id)
    order = assembly_order(assembly.joins)
    by_name = {join.name: join for join in assembly.joins}
    return render(
        request,
        "treat/joins.html",
        here="treat/joins",
        dossier=dossier,
        steps=steps,
        entry_id=entry_id,
        joins=[by_name[name] for name in order],
        made=made,
        locked=locked_out(assembly.joins, made),
        empty_rows=EMPTY_ROWS,
    )


@router.post("/dossiers/{dossier_id}/treat/joins")
def record_joins(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[JoinsForm, Form()],
) -> Response:
    """Record the joins and their order."""
    plan_assembly(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/treat/joins")


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())
