"""Materials exactly: made up by weight, or from a percentage that says of what (rule 9)."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.mixing import BASES, MakeUp
from softmend.records.proposal import PlanMaterial, Route
from softmend.services.propose.proposals import made_up, plan_in, record_material
from softmend.services.recording import current_record, current_records
from softmend.services.treat.treatment_words import removal_routes
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, typed_number
from softmend.web.pages.propose.frame import EntryId, Line, Text, frame
from softmend.web.pages.propose.steps import Chosen
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

MOST_G = 1_000_000.0


class MaterialForm(BaseModel):
    """The form of one material; `made` says how it is made up."""

    subject_id: EntryId = ""
    based_on: EntryId = ""
    generic_name: Line = ""
    grade: Line = ""
    supplier: Line = ""
    made: Literal["as supplied", "by percentage", "by weight"] = "as supplied"
    solute: Line = ""
    solvent: Line = ""
    written_percent: Line = ""
    basis: Annotated[str, Field(max_length=40)] = ""
    solute_density: Line = ""
    solvent_density: Line = ""
    density_origin: Line = ""
    solution_mass_g: Line = "100"
    solute_mass_g: Line = ""
    solvent_mass_g: Line = ""
    route: Route = Route.UNKNOWN
    comes_off_how: Text = ""
    route_source: Text = ""
    why: Text = ""
    ageing: Text = ""
    hazard: Text = ""
    effect_on_analysis: Text = ""
    strength_against_object: Text = ""

    def record(self) -> PlanMaterial:
        """Return what was typed as a record, its percentage converted to masses."""
        return PlanMaterial(
            number=0,
            generic_name=self.generic_name.strip(),
            grade=known(self.grade),
            supplier=known(self.supplier),
            make_up=self._make_up(),
            route=self.route,
            comes_off_how=known(self.comes_off_how),
            route_source=known(self.route_source),
            why=known(self.why),
            ageing=known(self.ageing),
            hazard=known(self.hazard),
            effect_on_analysis=known(self.effect_on_analysis),
            strength_against_object=known(self.strength_against_object),
        )

    def _make_up(self) -> MakeUp | None:
        if self.made == "as supplied":
            return None
        solute = self.solute.strip() or self.generic_name.strip()
        solvent = self.solvent.strip() or "solvent"
        if self.made == "by weight":
            return MakeUp(
                solute=solute,
                solvent=solvent,
                solute_mass_g=typed_number(
                    self.solute_mass_g, _("The mass of the solute"), "g", 0.001, MOST_G
                ),
                solvent_mass_g=typed_number(
                    self.solvent_mass_g, _("The mass of the solvent"), "g", 0.001, MOST_G
                ),
            )
        return made_up(
            solute=solute,
            solvent=solvent,
            written_percent=typed_number(
                self.written_percent, _("The percentage"), "%", 0.001, 99.9
            ),
            basis=self.basis,
            solute_density_g_per_ml=typed_number(
                self.solute_density, _("The density of the solute"), "g/mL", 0.1, 25
            ),
            solvent_density_g_per_ml=typed_number(
                self.solvent_density, _("The density of the solvent"), "g/mL", 0.1, 25
            ),
            density_origin=known(self.density_origin),
            solution_mass_g=typed_number(
                self.solution_mass_g, _("The mass of the batch"), "g", 0.01, MOST_G
            ),
        )


@router.get("/dossiers/{dossier_id}/propose/materials")
def materials(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, material: Chosen = ""
) -> Response:
    """Show the materials, and the form of one of them."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/materials")
        lines = current_records(reader, dossier_id, "plan_material")
        used_in = {
            number: [step.number for step in plan_in(reader, dossier_id).steps
                     if number in step.material_numbers]
            for number in (one.number for _entry, one in lines)
        }  # fmt: skip
        entry_id, chosen = "", PlanMaterial(0, "")
        if material:
            entry, chosen = current_record(reader, dossier_id, "plan_material", material)
            entry_id = entry.id
    return render(
        request,
        "propose/materials.html",
        lines=lines,
        used_in=used_in,
        chosen=chosen,
        subject_id=material,
        entry_id=entry_id,
        bases=BASES,
        routes=removal_routes(),
        **shown,
    )


@router.post("/dossiers/{dossier_id}/propose/materials")
def write_material(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[MaterialForm, Form()],
) -> Response:
    """Record one material."""
    record_material(
        bench,
        person.author,
        dossier_id,
        form.record(),
        subject_id=form.subject_id,
        based_on=form.based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/materials")
