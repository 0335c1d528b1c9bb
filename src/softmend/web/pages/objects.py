"""The object's head: who and what it is, with rows for numbers, materials and measures."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Literal

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.dossier import Certainty, Identifier, Material, Measure, ObjectHead
from softmend.services.dossiers import describe_object, opened
from softmend.services.next_steps import next_steps
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number, typed_number
from softmend.web.rendering import render

router = APIRouter()

_LARGEST_MM = 100_000.0
_LARGEST_G = 100_000_000.0
Text = Annotated[str, Field(max_length=20_000)]
Rows = Annotated[list[Annotated[str, Field(max_length=2000)]], Field(max_length=200)]


class ObjectForm(BaseModel):
    """The form of the object's head; a row is one place in each list of its group."""

    based_on: str = Field("", max_length=40)
    title: Text = ""
    owner: Text = ""
    mass_g: Text = ""
    mass_expanded_g: Text = ""
    location: Text = ""
    deadline_on: Text = ""
    intended_use: Text = ""
    description_observed: Text = ""
    history_reported: Text = ""
    identifier_number: Rows = []
    identifier_issued_by: Rows = []
    material_part: Rows = []
    material_material: Rows = []
    material_how: Rows = []
    material_certainty: Rows = []
    measure_name: Rows = []
    measure_value_mm: Rows = []
    measure_expanded_mm: Rows = []
    measure_how: Rows = []

    def head(self) -> ObjectHead:
        """Return what was typed as a record; rows without their first field are left out."""
        return ObjectHead(
            title=self.title.strip(),
            owner=known(self.owner),
            identifiers=self._identifiers(),
            materials=self._materials(),
            measures=self._measures(),
            mass_g=maybe_number(self.mass_g, "The mass", "g", 0.001, _LARGEST_G),
            mass_expanded_g=maybe_number(
                self.mass_expanded_g, "The mass's uncertainty", "g", 0, _LARGEST_G
            ),
            location=known(self.location),
            deadline_on=known(self.deadline_on),
            intended_use=known(self.intended_use),
            description_observed=known(self.description_observed),
            history_reported=known(self.history_reported),
        )

    def _identifiers(self) -> tuple[Identifier, ...]:
        rows = zip(self.identifier_number, self.identifier_issued_by, strict=False)
        return tuple(Identifier(number.strip(), known(by)) for number, by in rows if number.strip())

    def _materials(self) -> tuple[Material, ...]:
        rows = zip(
            self.material_part,
            self.material_material,
            self.material_how,
            self.material_certainty,
            strict=False,
        )
        return tuple(
            Material(known(part), material.strip(), known(how), Certainty(sure))
            for part, material, how, sure in rows
            if material.strip()
        )

    def _measures(self) -> tuple[Measure, ...]:
        rows = zip(
            self.measure_name,
            self.measure_value_mm,
            self.measure_expanded_mm,
            self.measure_how,
            strict=False,
        )
        return tuple(
            Measure(
                name=name.strip(),
                value_mm=typed_number(value, name.strip(), "mm", 0.001, _LARGEST_MM),
                expanded_mm=maybe_number(
                    expanded, f"The uncertainty of {name.strip()}", "mm", 0, _LARGEST_MM
                ),
                measured_how=known(how),
            )
            for name, value, expanded, how in rows
            if name.strip()
        )


@router.get("/dossiers/{dossier_id}/object")
def describe(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the object's head as a form."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        steps = next_steps(reader, dossier_id)
    return render(
        request, "object.html", here="object", dossier=dossier, steps=steps, sure=list(Certainty)
    )


@router.post("/dossiers/{dossier_id}/object")
def record_description(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[ObjectForm, Form()],
) -> Response:
    """Record the object's head."""
    describe_object(bench, person.author, dossier_id, form.head(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}")


@router.post("/dossiers/{dossier_id}/owner-and-material")
def record_owner_and_material(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[ObjectForm, Form()],
) -> Response:
    """Record whose it is and what it is made of; everything else of the head stays as it is."""
    with bench.store.reading() as reader:
        before = opened(reader, dossier_id).object_head
    typed = form.head()
    head = replace(before, owner=typed.owner, materials=(*before.materials, *typed.materials))
    describe_object(bench, person.author, dossier_id, head, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}")


@router.get("/rows/{kind}")
def another_row(
    request: Request, person: PersonHere, kind: Literal["identifier", "material", "measure"]
) -> Response:
    """Give one more empty row of a form."""
    return render(request, "part_row.html", kind=kind, sure=list(Certainty))
