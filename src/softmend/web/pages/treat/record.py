"""Treat: the record of treatment, to print and to copy."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re

from fastapi import APIRouter, Request
from fastapi.responses import Response

from softmend.services.dossiers import opened
from softmend.services.treat.treat_steps import treat_steps
from softmend.services.treat.treatment_content import print_treatment, treatment_as_text
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.rendering import render

router = APIRouter()


@router.get("/dossiers/{dossier_id}/treat/record")
def record(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show every section of the treatment record, to copy, and offer the print."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        steps = treat_steps(bench, reader, dossier_id)
    return render(
        request,
        "treat/record.html",
        here="treat/record",
        dossier=dossier,
        steps=steps,
        sections=treatment_as_text(bench, dossier_id),
    )


@router.get("/dossiers/{dossier_id}/treat/record.pdf")
def record_pdf(bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give the treatment record as an archival PDF."""
    with bench.store.reading() as reader:
        number = opened(reader, dossier_id).dossier.number
    # Only letters that every file system and every header takes as they stand.
    name = re.sub(r"[^A-Za-z0-9.]+", "-", f"{number} treatment record").strip("-.")
    headers = {"content-disposition": f'attachment; filename="{name}.pdf"'}
    content = print_treatment(bench, dossier_id)
    return Response(content, media_type="application/pdf", headers=headers)
