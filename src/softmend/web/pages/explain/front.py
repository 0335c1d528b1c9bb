"""Explain: which part gives first at each crack, and which question is still open."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.explain.frame import frame
from softmend.web.rendering import render

router = APIRouter()


@router.get("/dossiers/{dossier_id}/explain")
def front(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show every crack with who gives first, "unknown" where nobody knows."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "explain")
    return render(request, "explain/front.html", **shown)
