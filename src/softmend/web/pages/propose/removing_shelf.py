"""My shelf of solvents, and the locks of this object: who opened which, and why."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel

from softmend.catalogue.solvency_agent import FOOTER, NOT_PROVEN
from softmend.catalogue.solvency_gate import harm_rules
from softmend.records.removal import CrackDistance, LockOverride, SolventItem, SolventTurnedOn
from softmend.records.shelf import Permitted, ShelfItem, Stocked
from softmend.records.wet_step import LAID_WITH_WATER
from softmend.services.legal_flags import today_at
from softmend.services.propose.crack_distance import house_distance, set_house_distance
from softmend.services.propose.removing_gate import (
    object_facts,
    open_lock,
    overrides_in,
    substrate_of,
    turn_on,
    turned_on_in,
)
from softmend.services.propose.solvent_shelf import (
    every_solvent,
    put_solvent,
    shelf_for,
    solvent_shelf,
    take_solvent_off,
)
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, typed_number
from softmend.web.pages.propose.frame import EntryId, Line, frame
from softmend.web.pages.propose.spot_form import Name
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

Chosen = Annotated[str, Query(max_length=100)]


class BottleForm(BaseModel):
    """The form of one bottle."""

    based_on: EntryId = ""
    solvent: Name = ""
    stocked: Stocked = Stocked.HERE
    permitted: Permitted = Permitted.YES
    because: Line = ""
    supplier: Line = ""
    lot: Line = ""
    use_until_on: Line = ""
    sheet_read_on: Line = ""
    opened_on: Line = ""

    def record(self) -> SolventItem:
        """Return what was typed as a record."""
        line = ShelfItem(
            material=self.solvent.strip(),
            stocked=self.stocked,
            permitted=self.permitted,
            because=known(self.because),
            supplier=known(self.supplier),
            lot=known(self.lot),
            use_until_on=known(self.use_until_on),
        )
        return SolventItem(line, known(self.sheet_read_on), known(self.opened_on))


@router.get("/dossiers/{dossier_id}/propose/solvents")
def shelf(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, bottle: Chosen = ""
) -> Response:
    """Show the shelf as it stands for this object, and its locks."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/solvents")
        lines = solvent_shelf(reader, today_at(bench))
        facts = object_facts(reader, dossier_id)
        offered, has_shelf = shelf_for(reader, today_at(bench), facts)
        shown |= {
            "opened_locks": overrides_in(reader, dossier_id),
            "turned_on": turned_on_in(reader, dossier_id),
            "substrate": substrate_of(reader, dossier_id),
            "distance": house_distance(reader),
        }
    chosen = next((one for one in lines if one.solvent.id == bottle), None)
    return render(
        request,
        "propose/removing_shelf.html",
        lines=lines,
        chosen=chosen,
        blank=SolventItem(ShelfItem("")),
        locked={one.solvent_id: one.forbidden for one in offered if one.forbidden},
        has_shelf=has_shelf,
        every=every_solvent(),
        rules=[one for one in harm_rules() if one.level.value == "locked"],
        restricted=[one for one in every_solvent() if one.status == "restricted"],
        stocked=list(Stocked),
        permitted=list(Permitted),
        not_proven=NOT_PROVEN,
        laid_with_water=LAID_WITH_WATER,
        footer=FOOTER,
        **shown,
    )


@router.post("/dossiers/{dossier_id}/propose/solvents")
def put(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[BottleForm, Form()],
) -> Response:
    """Record how this house has a solvent."""
    put_solvent(bench, person.author, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose/solvents")


@router.post("/dossiers/{dossier_id}/propose/solvents/off")
def take_off(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    solvent: Annotated[str, Form(max_length=200)],
    based_on: Annotated[str, Form(max_length=40)],
    because: Annotated[str, Form(max_length=500)] = "",
) -> Response:
    """Strike a bottle from the shelf, with the reason."""
    take_solvent_off(bench, person.author, solvent, because, based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose/solvents")


@router.post("/dossiers/{dossier_id}/propose/solvents/distance")
def set_distance(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    stays_away_mm: Annotated[str, Form(max_length=40)] = "",
    because: Annotated[str, Form(max_length=500)] = "",
    based_on: Annotated[str, Form(max_length=40)] = "",
) -> Response:
    """Record how far this house keeps liquids from an open crack."""
    away = typed_number(stays_away_mm, _("The distance from a crack"), "mm", 0, 1000)
    set_house_distance(bench, person.author, CrackDistance(away, because.strip()), based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose/solvents#cracks")


@router.post("/dossiers/{dossier_id}/propose/solvents/lock")
def unlock(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    rule: Annotated[str, Form(max_length=100)],
    decided_by: Annotated[str, Form(max_length=200)] = "",
    because: Annotated[str, Form(max_length=500)] = "",
) -> Response:
    """Record who opens one lock for this object, and why."""
    override = LockOverride(rule, decided_by.strip(), because.strip())
    open_lock(bench, person.author, dossier_id, override)
    return go_on(request, f"/dossiers/{dossier_id}/propose/solvents")


@router.post("/dossiers/{dossier_id}/propose/solvents/on")
def switch_on(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    solvent: Annotated[str, Form(max_length=200)],
    decided_by: Annotated[str, Form(max_length=200)] = "",
    because: Annotated[str, Form(max_length=500)] = "",
) -> Response:
    """Record who turns a restricted solvent on for this object, and why."""
    turned = SolventTurnedOn(solvent, decided_by.strip(), because.strip())
    turn_on(bench, person.author, dossier_id, turned)
    return go_on(request, f"/dossiers/{dossier_id}/propose/solvents")
