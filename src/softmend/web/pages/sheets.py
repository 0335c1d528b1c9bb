"""Bench sheets: made for the day, printed, photographed back, and laid under the view."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, UploadFile
from fastapi.responses import FileResponse, Response

from softmend.services.dossiers import opened
from softmend.services.examine.views import views_in
from softmend.services.legal_flags import today_at
from softmend.services.next_steps import Urgency, next_steps
from softmend.services.treat.bench_sheet import (
    file_sheet,
    make_sheet,
    print_sheet,
    sheets_in,
    squared_up_path,
    underlay_path,
)
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.hand_over.frame import PDF, download
from softmend.web.rendering import render
from softmend.web.uploads import received

router = APIRouter()


@router.get("/dossiers/{dossier_id}/treat/sheets")
def sheets(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the sheets, what came back of each, and the form of a new one."""
    with bench.store.reading() as reader:
        steps = next_steps(reader, dossier_id, today_at(bench))
        return render(
            request,
            "sheets.html",
            here="treat/sheets",
            dossier=opened(reader, dossier_id),
            urgent=[step for step in steps if step.urgency < Urgency.HANDLING],
            sheets=sheets_in(reader, dossier_id),
            views=views_in(reader, dossier_id),
        )


@router.post("/dossiers/{dossier_id}/treat/sheets")
def make(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Annotated[str, Form(pattern=f"{ID_PATTERN}|^$")] = "",
    note: Annotated[str, Form(max_length=300)] = "",
) -> Response:
    """Make a sheet of today."""
    make_sheet(bench, person.author, dossier_id, view_id, known(note))
    return go_on(request, f"/dossiers/{dossier_id}/treat/sheets")


@router.get("/dossiers/{dossier_id}/treat/sheets/{sheet_id}.pdf")
def sheet_pdf(bench: BenchHere, person: PersonHere, dossier_id: Id, sheet_id: Id) -> Response:
    """Give a sheet to print."""
    return download(bench, dossier_id, print_sheet(bench, dossier_id, sheet_id), "bench sheet", PDF)


@router.post("/dossiers/{dossier_id}/treat/sheets/{sheet_id}")
def file_back(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    sheet_id: Id,
    photograph: UploadFile,
) -> Response:
    """Take the photograph of a sheet: reported, handwritten."""
    name = photograph.filename or "bench sheet"
    with received(bench, photograph) as path:
        file_sheet(bench, person.author, dossier_id, sheet_id, path, name)
    return go_on(request, f"/dossiers/{dossier_id}/treat/sheets")


@router.get("/dossiers/{dossier_id}/treat/sheets/{back_id}/squared-up.jpg")
def squared_up(bench: BenchHere, person: PersonHere, dossier_id: Id, back_id: Id) -> Response:
    """Give the squared-up sheet, computed for display."""
    return FileResponse(squared_up_path(bench, dossier_id, back_id), media_type="image/jpeg")


@router.get("/dossiers/{dossier_id}/treat/sheets/{back_id}/underlay.png")
def underlay(bench: BenchHere, person: PersonHere, dossier_id: Id, back_id: Id) -> Response:
    """Give a sheet's pen marks alone, in the proportions of the view drawn on."""
    return FileResponse(underlay_path(bench, dossier_id, back_id), media_type="image/png")
