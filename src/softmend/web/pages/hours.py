"""Hours and weeks: the estimate that stands, plan against actual, and making a further one."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response

from softmend.pictures.weeks import weeks_of, weeks_svg
from softmend.records.estimate import WEEKDAYS, EstimateClass, WaitFor
from softmend.services.dossiers import opened
from softmend.services.propose.hours import (
    estimates_in,
    plan_against_actual,
    plan_to_begin_with,
    reckoned,
    record_estimate,
    working_of,
)
from softmend.services.propose.hours_shown import (
    hours_words,
    spent_words,
    spread_words,
    still_words,
)
from softmend.services.propose.task_quantities import task_quantities, task_rows
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.hours_form import HoursForm, form_rows
from softmend.web.pages.propose.frame import parts_shown
from softmend.web.rendering import render

router = APIRouter()

HERE = "propose/hours"

# How the templates say hours and days.
_WORDS: dict[str, Any] = {
    "hours_words": hours_words,
    "spent_words": spent_words,
    "spread_words": spread_words,
    "still_words": still_words,
}


@router.get("/dossiers/{dossier_id}/propose/hours")
def hours(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the estimate that stands, its weeks, plan against actual, and the earlier ones."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        kept = estimates_in(reader, dossier_id)
        shown: dict[str, Any] = {
            "dossier": dossier,
            "kept": kept,
            **parts_shown(bench, reader, dossier_id, HERE),
        }
        if kept:
            run = kept[0].estimate.weeks_run
            shown |= {
                "lines": plan_against_actual(reader, dossier_id, kept[0].estimate),
                "working": working_of(reader, kept[0]),
                "weeks": run.outputs,
                "total": kept[0].estimate.hours_run.outputs,
                "picture": weeks_svg(weeks_of(run.inputs, run.outputs)),
            }
    return render(request, "hours.html", here=HERE, **_WORDS, **shown)


@router.get("/dossiers/{dossier_id}/propose/hours/new")
def new_estimate(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id
) -> Response:
    """Give the form of a further estimate, begun with the plan that stands."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        plan = plan_to_begin_with(bench, reader, dossier_id)
        counted = task_quantities(reader, dossier_id)
        kept = estimates_in(reader, dossier_id)
        parts = parts_shown(bench, reader, dossier_id, HERE)
    return render(
        request,
        "hours_new.html",
        here=HERE,
        dossier=dossier,
        **parts,
        rows=form_rows(plan, counted),
        calendar=plan.calendar,
        classes=list(EstimateClass),
        chosen_class=kept[0].estimate.estimate_class if kept else EstimateClass.ROUGH,
        waits=list(WaitFor),
        weekdays=WEEKDAYS,
        table=task_rows(),
        is_first=not kept,
    )


@router.post("/dossiers/{dossier_id}/propose/hours/try")
def try_plan(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[HoursForm, Form()],
) -> Response:
    """Show the weeks of what was typed; nothing is recorded."""
    with bench.store.reading() as reader:
        found = reckoned(reader, dossier_id, form.plan())
    return render(
        request,
        "part_weeks.html",
        weeks=found.weeks,
        total=found.hours,
        picture=weeks_svg(weeks_of(found.weeks_inputs, found.weeks)),
        **_WORDS,
    )


@router.post("/dossiers/{dossier_id}/propose/hours")
def keep_estimate(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[HoursForm, Form()],
) -> Response:
    """Record an estimate; the earlier ones stay."""
    record_estimate(bench, person.author, dossier_id, form.estimate_class, form.basis, form.plan())
    return go_on(request, f"/dossiers/{dossier_id}/propose/hours")
