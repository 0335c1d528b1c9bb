"""Coat or not: four ways to keep the object side by side, answered as the proposal's decision."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response

from softmend.records.proposal import Coat
from softmend.services.hand_over.coat import coat_page, decide_coating, kept_coat
from softmend.services.places.account import NEVER_PERMITS
from softmend.services.propose.proposals import proposal_in
from softmend.services.treat.treatment_words import coating_reasons
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.hand_over.frame import Line, frame
from softmend.web.pages.propose.limits import SurfaceForm
from softmend.web.rendering import render

router = APIRouter()
AT = "/dossiers/{dossier_id}/return/coat"


class DecisionForm(SurfaceForm):
    """The decision, and the film that it was weighed against."""

    film: Line = ""


@router.get(AT)
def coat(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    film: Annotated[str, Query(max_length=200)] = "",
) -> Response:
    """Show the object open, coated, in a case, with buffer, and ask for the decision."""
    with bench.store.reading() as reader:
        around = frame(bench, reader, dossier_id, "return/coat")
        page = coat_page(bench, reader, dossier_id, film)
        entry_id, proposal = proposal_in(reader, dossier_id)
        kept = kept_coat(reader, dossier_id)
    usual = coating_reasons()
    offered = [page.answer["decision"]] if page.answer else []
    standing = {words for _side, words in usual} | set(offered)
    own = [one for one in proposal.coating.reasons if one not in standing]
    return render(
        request,
        "hand_over/coat.html",
        **around,
        page=page,
        kept=kept,
        coating=proposal.coating,
        entry_id=entry_id,
        answers=[one for one in Coat if one is not Coat.NOT_ANSWERED],
        usual=usual,
        offered=offered,
        own_reason="; ".join(own),
        never=NEVER_PERMITS,
    )


@router.post(AT)
def decide(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[DecisionForm, Form()],
) -> Response:
    """Record the decision, and what it was taken on."""
    decide_coating(bench, person.author, dossier_id, form.record(), form.film, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/return/coat")
