"""Treat: the losses that a flake may have come from, laid over by eye. Nothing is placed here."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError, NotFoundError, SoftmendError
from softmend.records.fragment import CODE_WORDS, Trait
from softmend.records.seat import SeatSearch, Verdict
from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.examine.views import views_in
from softmend.services.jobs import Jobs
from softmend.services.store import Reader
from softmend.services.treat.fragments import fragment_in
from softmend.services.treat.seat_overlay import Overlay, overlay_pictures
from softmend.services.treat.seats import (
    Seats,
    SeatsAsked,
    candidate_of,
    found_seats,
    kept_seats,
    look_for_seats,
    losses_in,
    record_look,
    record_search,
    search_of,
    seats_asked,
    seats_shown,
)
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.numbers import typed_number
from softmend.web.pages.treat.trays import working_answer
from softmend.web.rendering import render
from softmend.web.viewing import view_name
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/treat/fragments/{fragment_id}/seats"
Line = Annotated[str, Field(max_length=500)]


class SearchForm(BaseModel):
    """How far edges may lie apart, and whether the flake may lie on its face."""

    wear_mm: Line = "0.2"
    gap_mm: Line = "0.5"
    over_mm: Line = "0.3"
    either_side_up: bool = False

    def record(self, fragment_id: str) -> SeatSearch:
        """Return what was typed as a record."""
        wear, gap, over = (
            typed_number(text, name, "mm", 0.01, 5)
            for text, name in (
                (self.wear_mm, _("The wear of the edge")),
                (self.gap_mm, _("How much smaller it may look")),
                (self.over_mm, _("The thickness of its edge")),
            )
        )
        return SeatSearch(fragment_id, wear, gap, over, self.either_side_up)


class LookForm(BaseModel):
    """What was seen at one loss, or that none of these is the seat."""

    mark_id: Annotated[str, Field(pattern=f"{ID_PATTERN}|^$")] = ""
    verdict: Verdict = Verdict.FITS
    seen_observed: Annotated[str, Field(max_length=2000)] = ""


@dataclass(frozen=True)
class _Stands:
    """What stands of the search for one fragment: why there is none, or question and answer."""

    search: SeatSearch
    question: SeatsAsked | None
    answer: dict[str, Any] | None
    shown: Seats | None
    owed: SoftmendError | None


@router.get(AT)
def seats(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    fragment_id: Id,
    job: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Show the candidates: "none of these" first and unranked until each was looked at."""
    with bench.store.reading() as reader:
        _entry, fragment = fragment_in(reader, dossier_id, fragment_id)
        stands = _stands(bench, reader, dossier_id, fragment_id)
        kept = kept_seats(reader, dossier_id, fragment_id)
        row = reader.job(job) if job and stands.answer is None else None
        around: dict[str, Any] = {
            "dossier": opened(reader, dossier_id),
            "losses": len(losses_in(reader, dossier_id)),
        }
    about = _("fragment {n}", n=fragment.number)
    return render(
        request,
        "treat/seats.html",
        here="treat/fragments",
        fragment_id=fragment_id,
        fragment=fragment,
        search=stands.search,
        question=stands.question,
        answer=stands.answer,
        seats=stands.shown,
        owed=stands.owed,
        kept=kept,
        work=working("fragment.seats", about, stands.answer) if stands.answer else None,
        job=job if row and row.state in ("waiting", "running") else "",
        message=row.message if row and row.state not in ("waiting", "running") else "",
        **around,
    )


@router.post(AT)
def look_for(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    fragment_id: Id,
    form: Annotated[SearchForm, Form()],
) -> Response:
    """Record how seats are looked for and begin."""
    search = form.record(fragment_id)
    with bench.store.reading() as reader:
        question = seats_asked(reader, dossier_id, search)
    record_search(bench, person.author, dossier_id, search)
    jobs: Jobs | None = request.app.state.jobs
    job = look_for_seats(jobs, bench, dossier_id, question)
    return go_on(request, _address(dossier_id, fragment_id) + (f"?job={job}" if job else ""))


@router.get(f"{AT}/working/{{job_id}}")
def under_way(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    fragment_id: Id,
    job_id: Id,
) -> Response:
    """Say how far the search is; when it has ended the page is shown anew."""
    return working_answer(request, bench, _address(dossier_id, fragment_id), job_id)


@router.post(f"{AT}/stop/{{job_id}}")
def stop(
    request: Request, person: PersonHere, dossier_id: Id, fragment_id: Id, job_id: Id
) -> Response:
    """Stop the search; nothing of it is kept."""
    jobs: Jobs | None = request.app.state.jobs
    if jobs is not None:
        jobs.stop(job_id)
    return go_on(request, _address(dossier_id, fragment_id))


@router.post(f"{AT}/looks")
def look(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    fragment_id: Id,
    form: Annotated[LookForm, Form()],
) -> Response:
    """Record what was seen at one loss, or that none of these is the seat."""
    question, _answer = _asked(bench, dossier_id, fragment_id)
    record_look(
        bench,
        person.author,
        dossier_id,
        question,
        mark_id=form.mark_id,
        verdict=form.verdict,
        seen_observed=form.seen_observed,
    )
    return go_on(request, _address(dossier_id, fragment_id))


@router.get(f"{AT}/{{mark_id}}")
def overlay(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    fragment_id: Id,
    mark_id: Id,
) -> Response:
    """Show the flake's own pixels laid on one loss, to judge by eye."""
    question, answer = _asked(bench, dossier_id, fragment_id)
    loss, candidate = candidate_of(question, answer, mark_id)
    with bench.store.reading() as reader:
        entry, fragment = fragment_in(reader, dossier_id, fragment_id)
        shown = seats_shown(reader, dossier_id, question, answer)
        around: dict[str, Any] = {
            "dossier": opened(reader, dossier_id),
        }
        views = [
            (one.subject_id, f"{view.number} · {view_name(view)}")
            for one, view in views_in(reader, dossier_id)
        ]
    seen = next(one.look for one in shown.candidates if one.mark_id == mark_id)
    laid = Overlay.of(loss, candidate)
    return render(
        request,
        "treat/seat.html",
        here="treat/fragments",
        fragment_id=fragment_id,
        fragment=fragment,
        entry=entry,
        mark_id=mark_id,
        loss=loss,
        candidate=candidate,
        look=seen,
        laid=laid,
        is_ranked=shown.is_ranked,
        verdicts=list(Verdict),
        codes=CODE_WORDS,
        traits=list(Trait),
        views=views,
        **around,
    )


@router.get(f"{AT}/{{mark_id}}/{{which}}")
def overlay_picture(
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    fragment_id: Id,
    mark_id: Id,
    which: Literal["loss.jpg", "flake.png"],
) -> Response:
    """Give the loss, or the flake cut out and laid as the fit lays it."""
    question, answer = _asked(bench, dossier_id, fragment_id)
    loss, candidate = candidate_of(question, answer, mark_id)
    picture = overlay_pictures(bench, question, loss, candidate)[which]
    kind = "image/jpeg" if which.endswith("jpg") else "image/png"
    return Response(picture, media_type=kind, headers={"cache-control": "private"})


def _stands(bench: Bench, reader: Reader, dossier_id: str, fragment_id: str) -> _Stands:
    standing = search_of(reader, dossier_id, fragment_id)
    search = standing[1] if standing else SeatSearch(fragment_id)
    try:
        question = seats_asked(reader, dossier_id, search)
    except (InputError, NotFoundError) as owed:
        return _Stands(search, None, None, None, owed)
    answer = found_seats(bench, question) if standing else None
    shown = seats_shown(reader, dossier_id, question, answer) if answer else None
    return _Stands(search, question, answer, shown, None)


def _asked(bench: Bench, dossier_id: str, fragment_id: str) -> tuple[SeatsAsked, dict[str, Any]]:
    with bench.store.reading() as reader:
        standing = search_of(reader, dossier_id, fragment_id)
        if standing is None:
            raise NotFoundError(_("Nobody has looked for the seats of this fragment"))
        question = seats_asked(reader, dossier_id, standing[1])
    answer = found_seats(bench, question)
    if answer is None:
        raise InputError(
            _("Seats were not looked for as things stand now"), remedy=_("Look for seats again")
        )
    return question, answer


def _address(dossier_id: str, fragment_id: str) -> str:
    return f"/dossiers/{dossier_id}/treat/fragments/{fragment_id}/seats"
