"""The report: what is still asked for, the prints, and every section as text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import Annotated

from fastapi import APIRouter, Form, Path, Request
from fastapi.responses import Response

from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.examine.grades import answer_not_done
from softmend.services.examine.printing import (
    print_crack_map,
    print_registrars_report,
    print_report,
    report_as_text,
)
from softmend.services.examine.views import views_in
from softmend.services.next_steps import PAGE_OF_ITEM, asked_for, next_steps
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.rendering import is_partial, render

router = APIRouter()

ViewNumber = Annotated[int, Path(ge=1, le=2_147_483_647)]


@router.get("/dossiers/{dossier_id}/report")
def report(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show what is asked for and how it is answered, and offer the prints."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        asked = asked_for(reader, dossier_id)
        steps = next_steps(reader, dossier_id)
        views = views_in(reader, dossier_id)
    return render(
        request,
        "report.html",
        here="report",
        dossier=dossier,
        steps=steps,
        missing=[one for one in asked if not one.is_there and not one.not_done_because],
        not_done=[one for one in asked if not one.is_there and one.not_done_because],
        there=[one for one in asked if one.is_there],
        page_of=PAGE_OF_ITEM,
        views=[view for _entry, view in views],
    )


@router.get("/dossiers/{dossier_id}/report/text")
def report_text(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give every section of the report as text, as a page or as the part of one."""
    sections = report_as_text(bench, dossier_id)
    if is_partial(request):
        return render(request, "part_text.html", sections=sections)
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
    return render(request, "report_text.html", here="report", dossier=dossier, sections=sections)


@router.post("/dossiers/{dossier_id}/not-done")
def not_done(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    asked: Annotated[str, Form(max_length=40, pattern=r"^[a-z_]+$")],
    because: Annotated[str, Form(max_length=2000)] = "",
    based_on: Annotated[str, Form(max_length=40)] = "",
) -> Response:
    """Answer something asked for with: not done, because."""
    answer_not_done(bench, person.author, dossier_id, asked, because, based_on)
    return go_on(request, f"/dossiers/{dossier_id}/report")


@router.get("/dossiers/{dossier_id}/report.pdf")
def report_pdf(bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give the condition report as an archival PDF."""
    name = _file_name(bench, dossier_id, "condition report")
    return _pdf(print_report(bench, dossier_id), name)


@router.get("/dossiers/{dossier_id}/registrars-report.pdf")
def registrars_report_pdf(bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give the registrar's copy, with place and mass."""
    name = _file_name(bench, dossier_id, "condition report for the registrar")
    return _pdf(print_registrars_report(bench, dossier_id), name)


@router.get("/dossiers/{dossier_id}/crack-map-{view_number}.pdf")
def crack_map_pdf(
    bench: BenchHere, person: PersonHere, dossier_id: Id, view_number: ViewNumber
) -> Response:
    """Give one page for one view: its marks, the legend and the table."""
    name = _file_name(bench, dossier_id, f"crack map view {view_number}")
    return _pdf(print_crack_map(bench, dossier_id, view_number), name)


def _file_name(bench: Bench, dossier_id: str, what: str) -> str:
    with bench.store.reading() as reader:
        number = opened(reader, dossier_id).dossier.number
    # Only letters that every file system and every header takes as they stand.
    return re.sub(r"[^A-Za-z0-9.]+", "-", f"{number} {what}").strip("-.") + ".pdf"


def _pdf(content: bytes, name: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type="application/pdf", headers=headers)
