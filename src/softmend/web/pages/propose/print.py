"""The treatment proposal as an archival PDF, and as text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re

from fastapi import APIRouter, Request
from fastapi.responses import Response

from softmend.services.dossiers import opened
from softmend.services.propose.proposal_content import print_proposal, proposal_as_text
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.propose.frame import frame
from softmend.web.rendering import render

router = APIRouter()


@router.get("/dossiers/{dossier_id}/propose/print")
def prints(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Offer the print, and every section as text."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/print")
    sections = proposal_as_text(bench, dossier_id)
    return render(request, "propose/print.html", sections=sections, **shown)


@router.get("/dossiers/{dossier_id}/treatment-proposal.pdf")
def proposal_pdf(bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give the treatment proposal as an archival PDF."""
    with bench.store.reading() as reader:
        number = opened(reader, dossier_id).dossier.number
    name = re.sub(r"[^A-Za-z0-9.]+", "-", f"{number} treatment proposal").strip("-.") + ".pdf"
    return Response(
        print_proposal(bench, dossier_id),
        media_type="application/pdf",
        headers={"content-disposition": f'attachment; filename="{name}"'},
    )
