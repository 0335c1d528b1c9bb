"""Return: one page for each who receives the object, as PDF, as an editable document, as text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Request
from fastapi.responses import Response

from softmend.services.hand_over.outputs import (
    PAGES,
    page_as_text,
    page_for,
    page_named,
    print_page,
    receipt_for,
)
from softmend.services.house_forms import page_docx
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.hand_over.frame import DOCX, PDF, download, frame
from softmend.web.rendering import render

router = APIRouter()

Named = Annotated[str, Path(pattern="^[a-z-]{3,40}$")]
Number = Annotated[int, Path(ge=1, le=2_147_483_647)]


@router.get("/dossiers/{dossier_id}/return")
def hand_over(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Offer the page of each reader."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "return")
    return render(request, "hand_over/front.html", pages=PAGES, **shown)


@router.get("/dossiers/{dossier_id}/return/{page}/text")
def page_text(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, page: Named
) -> Response:
    """Show one page as text, to be copied."""
    wanted = page_named(page)
    made = page_for(bench, dossier_id, wanted)
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "return")
    return render(
        request,
        "hand_over/text.html",
        title=PAGES[wanted][0],
        key=page,
        text=page_as_text(made),
        **shown,
    )


@router.get("/dossiers/{dossier_id}/return/{page}.pdf")
def page_pdf(bench: BenchHere, person: PersonHere, dossier_id: Id, page: Named) -> Response:
    """Give one page as an archival PDF."""
    made = page_for(bench, dossier_id, page_named(page))
    return download(bench, dossier_id, print_page(made), made.title, PDF)


@router.get("/dossiers/{dossier_id}/return/{page}.docx")
def page_document(bench: BenchHere, person: PersonHere, dossier_id: Id, page: Named) -> Response:
    """Give one page as an editable document under the house's headings."""
    made = page_for(bench, dossier_id, page_named(page))
    return download(bench, dossier_id, page_docx(bench, made), made.title, DOCX)


@router.get("/dossiers/{dossier_id}/return/receipts/{number}.pdf")
def receipt_pdf(bench: BenchHere, person: PersonHere, dossier_id: Id, number: Number) -> Response:
    """Give one receipt, to be signed by both."""
    made = receipt_for(bench, dossier_id, number)
    return download(bench, dossier_id, print_page(made), made.title, PDF)


@router.get("/dossiers/{dossier_id}/return/receipts/{number}.docx")
def receipt_docx(bench: BenchHere, person: PersonHere, dossier_id: Id, number: Number) -> Response:
    """Give one receipt as an editable document."""
    made = receipt_for(bench, dossier_id, number)
    return download(bench, dossier_id, page_docx(bench, made), made.title, DOCX)
