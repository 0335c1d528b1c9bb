"""Materials: my shelf, everything that is known of a material, and the bench's own values."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.shelf import (
    COMES_OFF,
    KINDS_OF_VALUE,
    LONGEST_DRYING_DAYS,
    SYSTEM_ASPECTS,
    THICKEST_LAYER_MM,
    OwnSystem,
    OwnValue,
    Permitted,
    SaidOfSystem,
    ShelfItem,
    Stocked,
)
from softmend.services.explain.material_rows import (
    GROUP_WORDS,
    by_group,
    material_shown,
    property_choices,
)
from softmend.services.explain.own_values import (
    own_systems,
    record_own_system,
    record_own_value,
    strike_own_system,
    strike_own_value,
)
from softmend.services.explain.shelf import put_on_shelf, shelf_at, take_off_shelf
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, PersonHere
from softmend.web.numbers import known, typed_number
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

Line = Annotated[str, Field(max_length=500)]
EntryId = Annotated[str, Field(max_length=200)]
Name = Annotated[str, Query(max_length=200)]


class ShelfForm(BaseModel):
    """The form of one line of the shelf."""

    based_on: EntryId = ""
    material: Line = ""
    stocked: Stocked = Stocked.HERE
    permitted: Permitted = Permitted.YES
    because: Line = ""
    supplier: Line = ""
    lot: Line = ""
    use_until_on: Line = ""
    note: Line = ""

    def record(self) -> ShelfItem:
        """Return what was typed as a record."""
        return ShelfItem(
            material=self.material.strip(),
            stocked=self.stocked,
            permitted=self.permitted,
            because=known(self.because),
            supplier=known(self.supplier),
            lot=known(self.lot),
            use_until_on=known(self.use_until_on),
            note=known(self.note),
        )


class ValueForm(BaseModel):
    """The form of a typed value: low, typical, high, with mark and source."""

    based_on: EntryId = ""
    subject_id: EntryId = ""
    material: Line = ""
    property: Line = ""
    unit: Line = ""
    condition: Line = ""
    low: Line = ""
    typical: Line = ""
    high: Line = ""
    kind: Line = ""
    source: Line = ""
    known_on: Line = ""
    note: Line = ""

    def record(self) -> OwnValue:
        """Return what was typed as a record; property and unit come in one choice."""
        name, _sep, unit = self.property.partition("|")
        return OwnValue(
            self.material.strip(),
            name,
            self.condition.strip(),
            low=typed_number(self.low, _("The low value"), unit, -1e9, 1e9),
            typical=typed_number(self.typical, _("The typical value"), unit, -1e9, 1e9),
            high=typed_number(self.high, _("The high value"), unit, -1e9, 1e9),
            unit=unit,
            kind=self.kind,
            source=self.source.strip(),
            known_on=known(self.known_on),
            note=known(self.note),
        )


class StrikeForm(BaseModel):
    """The form that strikes something, with its reason."""

    based_on: EntryId = ""
    subject_id: EntryId = ""
    material: Line = ""
    because: Line = ""


class SystemForm(BaseModel):
    """The form of a fill system of this bench's own: a line an aspect, one mark and source."""

    based_on: EntryId = ""
    material: Line = ""
    wording: Annotated[list[Line], Field(max_length=10)] = []
    kind: Line = ""
    source: Line = ""
    note: Line = ""
    reversible: Line = ""
    layer_mm: Line = ""
    layer_drying_days: Line = ""

    def record(self) -> OwnSystem:
        """Return what was typed as a record; what is left blank says nothing."""
        said = tuple(
            SaidOfSystem(aspect, words.strip(), self.kind, self.source.strip())
            for aspect, words in zip(SYSTEM_ASPECTS, self.wording, strict=False)
            if words.strip()
        )
        thickest, longest = self.layer_mm.strip(), self.layer_drying_days.strip()
        return OwnSystem(
            self.material.strip(),
            said,
            known(self.note),
            known(self.reversible),
            typed_number(thickest, _("The thickest layer"), "mm", 0, THICKEST_LAYER_MM)
            if thickest
            else None,
            typed_number(longest, _("The drying of a layer"), "d", 0, LONGEST_DRYING_DAYS)
            if longest
            else None,
        )


@router.get("/materials")
def materials(request: Request, bench: BenchHere, person: PersonHere, line: Name = "") -> Response:
    """Show my shelf first, then everything else, and the bench's own fill systems."""
    with bench.store.reading() as reader:
        groups = by_group(reader)
        systems = own_systems(reader)
    lines = shelf_at(bench)
    chosen = next((one for one in lines if one.item.material == line), None)
    return render(
        request,
        "explain/materials.html",
        lines=lines,
        chosen=chosen.item if chosen else ShelfItem(line),
        chosen_entry=chosen.entry_id if chosen else "",
        groups=groups,
        group_words=GROUP_WORDS,
        on_shelf={one.item.material for one in lines},
        systems=systems,
        aspects=SYSTEM_ASPECTS,
        comes_off=COMES_OFF,
        kinds=KINDS_OF_VALUE,
        stocked=list(Stocked),
        permitted=list(Permitted),
    )


@router.get("/materials/of")
def material(request: Request, bench: BenchHere, person: PersonHere, name: Name) -> Response:
    """Show one material with every value, disagreements, and the forms of own values."""
    with bench.store.reading() as reader:
        shown = material_shown(reader, name)
        own = {system.material: (entry.id, system) for entry, system in own_systems(reader)}
    line = next((one for one in shelf_at(bench) if one.item.material == name), None)
    return render(
        request,
        "explain/material.html",
        shown=shown,
        line=line,
        system=own.get(name),
        aspects=SYSTEM_ASPECTS,
        comes_off=COMES_OFF,
        group_words=GROUP_WORDS,
        properties=property_choices("own fill" if shown.group == "own" else shown.group),
        kinds=KINDS_OF_VALUE,
    )


@router.post("/materials/shelf")
def record_line(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[ShelfForm, Form()]
) -> Response:
    """Record how this bench has a material."""
    put_on_shelf(bench, person.author, form.record(), form.based_on)
    return go_on(request, "/materials")


@router.post("/materials/shelf/off")
def take_off(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[StrikeForm, Form()]
) -> Response:
    """Take a material off the shelf."""
    take_off_shelf(bench, person.author, form.material, form.because, form.based_on)
    return go_on(request, "/materials")


@router.post("/materials/values")
def record_value(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[ValueForm, Form()]
) -> Response:
    """Record a value that was typed."""
    value = form.record()
    record_own_value(
        bench, person.author, value, subject_id=form.subject_id, based_on=form.based_on
    )
    return go_on(request, address_of(value.material))


@router.post("/materials/values/strike")
def strike_value(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[StrikeForm, Form()]
) -> Response:
    """Strike an own value, with the reason."""
    strike_own_value(bench, person.author, form.subject_id, form.because, form.based_on)
    return go_on(request, address_of(form.material))


@router.post("/materials/systems")
def record_system(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[SystemForm, Form()]
) -> Response:
    """Record a fill system of this bench's own and show its page, where its numbers go."""
    system = form.record()
    record_own_system(bench, person.author, system, form.based_on)
    return go_on(request, address_of(system.material))


@router.post("/materials/systems/strike")
def strike_system(
    request: Request, bench: BenchHere, person: PersonHere, form: Annotated[StrikeForm, Form()]
) -> Response:
    """Strike a fill system of this bench's own, with the reason; its numbers stay."""
    strike_own_system(bench, person.author, form.material, form.because, form.based_on)
    return go_on(request, "/materials")


def address_of(material_name: str) -> str:
    """Return where one material is shown."""
    return f"/materials/of?{urlencode({'name': material_name})}"
