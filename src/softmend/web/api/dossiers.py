"""Dossiers, their journal and their views, for programs."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import APIRouter, Query
from pydantic import BaseModel, Field

from softmend.records.dossier import Dossier, Size
from softmend.records.rows import DossierRow
from softmend.services.deposit.plain_copy import dossier_json
from softmend.services.dossiers import dossier_list, open_dossier
from softmend.services.examine.views import views_in
from softmend.web.api.answers import Refusals
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.viewing import view_name

router = APIRouter(prefix="/dossiers", tags=["dossiers"], responses=Refusals)

Fact = Annotated[str, Field(min_length=1, max_length=2000)]


class DossierIn(BaseModel):
    """Three facts and a size."""

    what: Fact
    number: Fact
    number_issued_by: Fact
    why_here: Fact
    size: Size = Size.SHORT
    is_invented: bool = False


class Opened(BaseModel):
    """The id of what was opened."""

    dossier_id: str


class DossierLine(BaseModel):
    """One dossier of the list."""

    dossier_id: str
    number: str
    number_issued_by: str
    what: str
    title: str
    size: str
    is_invented: bool
    entry_count: int
    changed_at: str


class DossierPage(BaseModel):
    """One page of the list, and how many dossiers match in all."""

    total: int
    dossiers: list[DossierLine]


class ViewLine(BaseModel):
    """One view of a dossier."""

    view_id: str
    number: int
    name: str
    width_px: int
    height_px: int
    original_name: str
    original_sha256: str


@router.get("")
def list_dossiers(
    bench: BenchHere,
    search: Annotated[str, Query(max_length=200)] = "",
    limit: Annotated[int, Query(ge=1, le=200)] = 50,
    offset: Annotated[int, Query(ge=0, le=10_000_000)] = 0,
) -> DossierPage:
    """List dossiers whose words begin with every searched word, newest change first."""
    rows, total = dossier_list(bench, search, limit, offset)
    return DossierPage(total=total, dossiers=[_line(row) for row in rows])


@router.post("", status_code=201)
def make_dossier(bench: BenchHere, person: PersonHere, body: DossierIn) -> Opened:
    """Open a dossier with three facts and a size."""
    facts = Dossier(**body.model_dump())
    return Opened(dossier_id=open_dossier(bench, person.author, facts))


@router.get("/{dossier_id}")
def dossier_as_json(bench: BenchHere, dossier_id: Id) -> dict[str, Any]:
    """Give a dossier whole: what stands now, and the chain of its journal."""
    with bench.store.reading() as reader:
        plain: dict[str, Any] = json.loads(dossier_json(reader, dossier_id))
    return plain


@router.get("/{dossier_id}/views")
def list_views(bench: BenchHere, dossier_id: Id) -> list[ViewLine]:
    """List the views of a dossier."""
    with bench.store.reading() as reader:
        reader.head(dossier_id)
        views = views_in(reader, dossier_id)
    return [
        ViewLine(
            view_id=entry.subject_id,
            number=view.number,
            name=view_name(view),
            width_px=view.width_px,
            height_px=view.height_px,
            original_name=view.original_name,
            original_sha256=view.original_sha256,
        )
        for entry, view in views
    ]


def _line(row: DossierRow) -> DossierLine:
    return DossierLine(
        dossier_id=row.dossier_id,
        number=row.number,
        number_issued_by=row.number_issued_by,
        what=row.what,
        title=row.title,
        size=row.size,
        is_invented=row.is_invented,
        entry_count=row.entry_count,
        changed_at=row.changed_at,
    )
