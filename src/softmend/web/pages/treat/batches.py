"""Treat: batches made at the bench, their labels; the solution calculator needs no dossier."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from itertools import zip_longest
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import Field

from softmend.records.batch import Batch, BatchKind, Ingredient, shares_percent
from softmend.records.mixing import BASES
from softmend.services.days import bench_day
from softmend.services.dossiers import opened
from softmend.services.people import names_in
from softmend.services.recording import current_record
from softmend.services.treat.batches import correct_batch, make_batch, solution, stock_of
from softmend.services.treat.labels import batch_label, solution_label
from softmend.services.treat.treat_steps import treat_steps
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number
from softmend.web.pages.treat.mixture_form import WANTED, Line, MixtureForm
from softmend.web.rendering import render

router = APIRouter()

Lines = Annotated[list[Line], Field(max_length=40)]


class BatchForm(MixtureForm):
    """A batch: by percentage through the calculator, or as it was weighed."""

    based_on: str = Field("", max_length=40)
    kind: BatchKind = BatchKind.ADHESIVE
    name: Line = ""
    made_on: str = Field("", max_length=10)
    way: str = Field("weighed", pattern="^(percentage|weighed)$")
    ingredient: Lines = Field(default_factory=list)
    ingredient_mass_g: Lines = Field(default_factory=list)
    ingredient_supplier: Lines = Field(default_factory=list)
    ingredient_lot: Lines = Field(default_factory=list)
    use_until: Line = ""
    removal_route: str = Field("", max_length=2000)
    hazard: str = Field("", max_length=2000)

    def record(self) -> Batch:
        """Return what was typed as a record."""
        return Batch(
            number=0,
            kind=self.kind,
            name=self.name.strip(),
            made_on=self.made_on.strip(),
            ingredients=self._ingredients(),
            use_until=known(self.use_until),
            removal_route=known(self.removal_route),
            hazard=known(self.hazard),
            mixture=self.inputs() if self.way == "percentage" else None,
        )

    def _ingredients(self) -> tuple[Ingredient, ...]:
        rows = zip_longest(
            self.ingredient,
            self.ingredient_mass_g,
            self.ingredient_supplier,
            self.ingredient_lot,
            fillvalue="",
        )
        return tuple(
            Ingredient(
                name.strip(),
                maybe_number(mass, f"The mass of {name.strip()}", "g", 0.00001, 1_000_000),
                known(supplier),
                known(lot),
            )
            for name, mass, supplier, lot in rows
            if name.strip()
        )


@router.get("/dossiers/{dossier_id}/treat/batches")
def batches(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    correct: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Show the batches with what is left of each, and the form of a new one or a correction."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        stock = stock_of(reader, dossier_id)
        steps = treat_steps(bench, reader, dossier_id)
        names = names_in(reader)
    corrected = next((one for one in stock if one.entry.subject_id == correct), None)
    return render(
        request,
        "treat/batches.html",
        here="treat/batches",
        dossier=dossier,
        steps=steps,
        stock=stock,
        shares={one.entry.id: shares_percent(one.batch) for one in stock},
        names=names,
        corrected=corrected,
        said=_said_of(corrected.batch.mixture if corrected else None),
        today=bench_day(bench),
        kinds=list(BatchKind),
        bases=BASES,
        wanted=WANTED,
    )


@router.post("/dossiers/{dossier_id}/treat/batches")
def record_batch(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[BatchForm, Form()],
) -> Response:
    """Record a batch."""
    make_batch(bench, person.author, dossier_id, form.record())
    return go_on(request, f"/dossiers/{dossier_id}/treat/batches")


@router.post("/dossiers/{dossier_id}/treat/batches/{batch_id}")
def record_correction(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    batch_id: Id,
    form: Annotated[BatchForm, Form()],
) -> Response:
    """Record a correction of a batch."""
    correct_batch(bench, person.author, dossier_id, batch_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/treat/batches")


@router.get("/dossiers/{dossier_id}/treat/batches/{batch_id}/label.pdf")
def label(bench: BenchHere, person: PersonHere, dossier_id: Id, batch_id: Id) -> Response:
    """Give the label of a batch."""
    with bench.store.reading() as reader:
        number = current_record(reader, dossier_id, "batch", batch_id)[1].number
    return label_answer(batch_label(bench, dossier_id, batch_id), f"batch-{number}")


@router.get("/calculator")
def calculator(
    request: Request, person: PersonHere, form: Annotated[MixtureForm, Query()]
) -> Response:
    """Show what a percentage means and what to weigh; no dossier is needed."""
    inputs = None if form.is_empty else form.inputs()
    answer = None if inputs is None else solution(inputs)
    return render(
        request,
        "treat/calculator.html",
        form=form,
        answer=answer,
        work=None if answer is None else working("mixture.convert", "", answer),
        query=urlencode(form.model_dump()),
        bases=BASES,
        wanted=WANTED,
    )


@router.get("/calculator/label.pdf")
def calculator_label(
    bench: BenchHere, person: PersonHere, form: Annotated[MixtureForm, Query()]
) -> Response:
    """Give the label of a solution that belongs to no dossier."""
    return label_answer(solution_label(bench, form.inputs(), person.name), "solution")


def _said_of(mixture: dict[str, Any] | None) -> dict[str, Any]:
    """Return a kept mixture as the fields of the form that it came from."""
    said = MixtureForm().model_dump() | (mixture or {})
    for wanted, amount in (mixture or {}).get("amount", {}).items():
        said |= {"wanted": wanted, "amount": amount}
    return said


def label_answer(content: bytes, name: str) -> Response:
    """Return a label to print."""
    headers = {"content-disposition": f'attachment; filename="{name}-label.pdf"'}
    return Response(content, media_type="application/pdf", headers=headers)
