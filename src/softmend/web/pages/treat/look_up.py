"""Which objects carry it: materials, batches and methods looked up across dossiers."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from softmend.services.look_up import objects_carrying
from softmend.services.propose.material_words import put_on_text
from softmend.services.treat.day_log import action_words
from softmend.web.caller import BenchHere, PersonHere
from softmend.web.rendering import render

router = APIRouter()


@router.get("/look-up")
def look_up(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    search: Annotated[str, Query(max_length=200)] = "",
    offset: Annotated[int, Query(ge=0, le=10_000_000)] = 0,
) -> Response:
    """Show the objects that carry what is looked for."""
    return render(
        request,
        "treat/look_up.html",
        search=search,
        found=objects_carrying(bench, search, offset),
        action_words=action_words,
        put_on_text=put_on_text,
    )
