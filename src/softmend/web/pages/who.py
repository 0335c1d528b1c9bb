"""Who is at the bench, asked once per start; and the dim mode of this browser."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse, Response

from softmend.errors import InputError
from softmend.services.people import come_to_the_bench, name_at_the_bench, people_at_the_bench
from softmend.web.answering import go_on, own_address
from softmend.web.caller import BenchHere, remember, said_before
from softmend.web.rendering import render

router = APIRouter()

USUAL_PURPOSE = "condition examination"
Mode = Literal["light", "dim", "red-free"]
Line = Annotated[str, Form(max_length=200)]


@router.get("/who", name="who")
def who(request: Request, bench: BenchHere, next: str = "/") -> Response:
    """Ask who is at the bench, and what for."""
    before = said_before(request, bench)
    request.state.person = before
    return render(
        request,
        "who.html",
        people=people_at_the_bench(bench),
        purpose=before.purpose if before else USUAL_PURPOSE,
        next=own_address(next),
    )


@router.post("/who")
def say_who(
    request: Request,
    bench: BenchHere,
    purpose: Line = "",
    name: Line = "",
    person_id: Line = "",
    next: Line = "/",
) -> Response:
    """Remember who is at the bench; a new name is added to the list."""
    if not purpose.strip():
        raise InputError(
            "Nothing is recorded without a purpose", remedy="Say what you are here to do"
        )
    if person_id:
        name_at_the_bench(bench, person_id)
    else:
        person_id = come_to_the_bench(bench, name).id
    answer = go_on(request, own_address(next))
    remember(answer, request.app.state.token, person_id, " ".join(purpose.split()))
    return answer


@router.post("/mode")
def choose_mode(
    mode: Annotated[Literal["light", "dim", "red-free"], Form()], back: Line = "/"
) -> Response:
    """Dim every page of this browser for work in a dark room, or light them again."""
    answer = RedirectResponse(own_address(back), 303)
    answer.set_cookie("softmend-mode", mode, samesite="strict", path="/")
    return answer
