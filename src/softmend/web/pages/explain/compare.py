"""All fill systems side by side for one crack: the shelf first, dominated shown, no score."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from softmend.services.explain.fill_choice import choice_on
from softmend.services.legal_flags import today_at
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.explain.crack import AT, Number
from softmend.web.pages.explain.frame import frame
from softmend.web.rendering import render

router = APIRouter()


@router.get(f"{AT}/fills")
def fills(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, number: Number
) -> Response:
    """Give the page; the table follows as soon as it is computed."""
    with bench.store.reading() as reader:
        shown: dict[str, Any] = frame(bench, reader, dossier_id, f"explain/cracks/{number}", number)
    return render(request, "explain/compare.html", number=number, **shown)


@router.get(f"{AT}/fills/table")
def table(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    number: Number,
    every: Annotated[bool, Query()] = False,
) -> Response:
    """Give the fills side by side: those of the shelf, or every one that is known."""
    with bench.store.reading() as reader:
        choice = choice_on(reader, dossier_id, number, today_at(bench), with_all=every)
    return render(
        request,
        "explain/fills.html",
        base=f"/dossiers/{dossier_id}/explain/cracks/{number}",
        number=number,
        choice=choice,
    )
