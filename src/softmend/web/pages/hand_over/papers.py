"""House forms: the editable report beside the archival one, and the signed copy that comes back."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, UploadFile
from fastapi.responses import Response

from softmend.records.house_forms import FILE_NAME
from softmend.services.house_forms import (
    file_signed_copy,
    headings_table,
    proposal_docx,
    report_docx,
    treatment_docx,
)
from softmend.services.recording import current_records
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.hand_over.frame import DOCX, download, frame
from softmend.web.rendering import render
from softmend.web.uploads import received

router = APIRouter()

Typed = Annotated[str, Form(max_length=2000)]


@router.get("/dossiers/{dossier_id}/return/papers")
def papers(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Offer the editable report, take the signed copy, show the table of headings."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "return/papers")
        kept = [paper for _entry, paper in current_records(reader, dossier_id, "paper")]
    return render(
        request,
        "hand_over/papers.html",
        papers=kept,
        table=headings_table(bench),
        file_name=FILE_NAME,
        **shown,
    )


@router.post("/dossiers/{dossier_id}/return/papers")
def attach_signed(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    paper: UploadFile,
    of_what: Typed = "",
    signed_by: Typed = "",
    signed_on: Typed = "",
) -> Response:
    """Attach the signed copy of a report or a receipt."""
    with received(bench, paper) as path:
        file_signed_copy(
            bench,
            person.author,
            dossier_id,
            path,
            paper.filename or "signed copy",
            of_what,
            known(signed_by),
            known(signed_on),
        )
    return go_on(request, f"/dossiers/{dossier_id}/return/papers")


@router.get("/dossiers/{dossier_id}/condition-report.docx")
def condition_report(bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give the condition report as an editable document."""
    content = report_docx(bench, dossier_id)
    return download(bench, dossier_id, content, "condition report", DOCX)


@router.get("/dossiers/{dossier_id}/treatment-proposal.docx")
def treatment_proposal(bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give the treatment proposal as an editable document."""
    content = proposal_docx(bench, dossier_id)
    return download(bench, dossier_id, content, "treatment proposal", DOCX)


@router.get("/dossiers/{dossier_id}/treatment-record.docx")
def treatment_record(bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give the treatment record as an editable document."""
    content = treatment_docx(bench, dossier_id)
    return download(bench, dossier_id, content, "treatment record", DOCX)
