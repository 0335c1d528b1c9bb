"""Quantities: a table of marks, totals, zones and fills; each number shows its working."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from softmend.services.dossiers import opened
from softmend.services.examine.marks import marks_in
from softmend.services.examine.report_content import condition_report
from softmend.services.next_steps import next_steps
from softmend.services.propose.fills import fills_in, record_fills
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.rendering import render

router = APIRouter()


@router.get("/dossiers/{dossier_id}/quantities")
def quantities(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show every quantity of the dossier, and what each was computed from."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        report = condition_report(reader, dossier_id)
        mark_ids = {mark.number: entry.subject_id for entry, mark in marks_in(reader, dossier_id)}
        fills = fills_in(reader, dossier_id)
        steps = next_steps(reader, dossier_id)
    fill_workings = [work for work in report.workings if work.computation == "fill.volume"]
    workings: dict[str, list[Any]] = {}
    for work in report.workings:
        workings.setdefault(work.about, []).append(work)
    return render(
        request,
        "quantities.html",
        here="quantities",
        dossier=dossier,
        steps=steps,
        report=report,
        mark_ids=mark_ids,
        workings=workings,
        fill_workings=fill_workings,
        fill_total=fills.total_text,
    )


@router.post("/dossiers/{dossier_id}/quantities/fills")
def keep_fills(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Keep today's fill volumes; a later change of what they rest on is then seen."""
    record_fills(bench, person.author, dossier_id)
    return go_on(request, f"/dossiers/{dossier_id}/quantities")
