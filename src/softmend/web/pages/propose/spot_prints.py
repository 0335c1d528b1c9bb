"""Prints of spot tests: the sheet to fill in by hand, and the record with failures kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response

from softmend.services.propose.removing_print import (
    make_spot_sheet,
    print_record_of_tests,
    print_spot_sheet,
)
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.pages.hand_over.frame import PDF, download

router = APIRouter()


@router.post("/dossiers/{dossier_id}/propose/spots/sheet")
def make_sheet(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Annotated[str, Form(pattern=ID_PATTERN)],
) -> Response:
    """Make a sheet of a view with its numbered patches."""
    make_spot_sheet(bench, person.author, dossier_id, view_id)
    return go_on(request, f"/dossiers/{dossier_id}/propose/spots")


@router.get("/dossiers/{dossier_id}/propose/spots/sheets/{sheet_id}.pdf")
def sheet_pdf(bench: BenchHere, person: PersonHere, dossier_id: Id, sheet_id: Id) -> Response:
    """Give a sheet to print."""
    made = print_spot_sheet(bench, dossier_id, sheet_id)
    return download(bench, dossier_id, made, "spot tests sheet", PDF)


@router.get("/dossiers/{dossier_id}/propose/spots/record.pdf")
def record_pdf(bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give the record of spot tests to print."""
    made = print_record_of_tests(bench, dossier_id)
    return download(bench, dossier_id, made, "record of spot tests", PDF)
