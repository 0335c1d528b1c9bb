"""The steps of a proposal, in order, each with its stop rule; and striking what was planned."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.proposal import Aim, PlanStep
from softmend.services.propose.proposals import order_steps, plan_in, record_step
from softmend.services.recording import current_record, current_records, strike
from softmend.services.treat.treatment_words import action, actions
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.propose.frame import (
    EntryId,
    Line,
    Numbers,
    Text,
    frame,
    hours_typed,
    materials_in,
    places_in,
)
from softmend.web.rendering import render

router = APIRouter()

Chosen = Annotated[str, Query(pattern=f"{ID_PATTERN}|^$")]
PlanKind = Literal["plan_step", "plan_material", "plan_fill", "plan_removal"]
PAGES: dict[str, str] = {
    "plan_step": "steps",
    "plan_material": "materials",
    "plan_fill": "fills",
    "plan_removal": "removals",
}


@dataclass(frozen=True)
class StepLine:
    """One step as it is listed: its entry, its record and its action in words."""

    subject_id: str
    step: PlanStep
    action: str
    is_wet: bool


class StepForm(BaseModel):
    """The form of one step."""

    subject_id: EntryId = ""
    based_on: EntryId = ""
    place: Annotated[int, Field(ge=0, le=10_000)] = 0
    action_id: Annotated[str, Field(max_length=40)] = ""
    what: Text = ""
    stop_rule: Text = ""
    why: Text = ""
    aims: Annotated[list[Aim], Field(max_length=3)] = []
    mark_numbers: Numbers = []
    body_zone_numbers: Numbers = []
    on_zone_numbers: Numbers = []
    material_numbers: Numbers = []
    low_h: Line = ""
    likely_h: Line = ""
    high_h: Line = ""
    hours_basis: Line = ""

    def record(self) -> PlanStep:
        """Return what was typed as a record; without a chosen aim the action's own aims stand."""
        usual = action(self.action_id).aims
        return PlanStep(
            number=0,
            action_id=self.action_id,
            what=self.what.strip(),
            stop_rule=self.stop_rule.strip(),
            place=self.place,
            aims=tuple(aim for aim in Aim if aim in self.aims) or usual,
            mark_numbers=tuple(self.mark_numbers),
            body_zone_numbers=tuple(self.body_zone_numbers),
            on_zone_numbers=tuple(self.on_zone_numbers),
            material_numbers=tuple(self.material_numbers),
            hours=hours_typed(self.low_h, self.likely_h, self.high_h, self.hours_basis),
            why=known(self.why),
        )


@router.get("/dossiers/{dossier_id}/propose/steps")
def steps(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, step: Chosen = ""
) -> Response:
    """Show the steps in their order, and the form of one of them."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/steps")
        plan = plan_in(reader, dossier_id)
        ids = {
            one.number: entry.subject_id
            for entry, one in current_records(reader, dossier_id, "plan_step")
        }
        entry_id, chosen = "", PlanStep(0, "", "", "", place=len(plan.steps) + 1)
        if step:
            entry, chosen = current_record(reader, dossier_id, "plan_step", step)
            entry_id = entry.id
        shown |= {
            "places": places_in(reader, dossier_id),
            "materials": materials_in(reader, dossier_id),
        }
    lines = []
    for one in plan.steps:
        done = action(one.action_id)
        lines.append(StepLine(ids[one.number], one, done.action, done.is_wet))
    return render(
        request,
        "propose/steps.html",
        plan=plan,
        lines=lines,
        chosen=chosen,
        subject_id=step,
        entry_id=entry_id,
        actions=list(actions().values()),
        aims=list(Aim),
        **shown,
    )


@router.post("/dossiers/{dossier_id}/propose/steps")
def write_step(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[StepForm, Form()],
) -> Response:
    """Record one step."""
    record_step(
        bench,
        person.author,
        dossier_id,
        form.record(),
        subject_id=form.subject_id,
        based_on=form.based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/steps")


@router.post("/dossiers/{dossier_id}/propose/steps/order")
def move_step(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    number: Annotated[int, Form(ge=1)],
    way: Annotated[Literal["earlier", "later"], Form()],
) -> Response:
    """Move a step one place up or down."""
    with bench.store.reading() as reader:
        numbers = [step.number for step in plan_in(reader, dossier_id).steps]
    if number in numbers:
        here = numbers.index(number)
        there = min(max(here + (1 if way == "later" else -1), 0), len(numbers) - 1)
        numbers[here], numbers[there] = numbers[there], numbers[here]
        order_steps(bench, person.author, dossier_id, tuple(numbers))
    return go_on(request, f"/dossiers/{dossier_id}/propose/steps")


@router.post("/dossiers/{dossier_id}/propose/strike")
def strike_planned(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    kind: Annotated[PlanKind, Form()],
    subject_id: Annotated[str, Form(pattern=ID_PATTERN)],
    based_on: Annotated[str, Form(max_length=40)],
    because: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Take a step, material, fill or removal out of the plan, with a reason."""
    strike(
        bench,
        person.author,
        dossier_id=dossier_id,
        kind=kind,
        subject_id=subject_id,
        because=because,
        based_on=based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/{PAGES[kind]}")
