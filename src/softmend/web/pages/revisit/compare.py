"""Compare two dates: on one another, beside each other, and what each crack did between them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import FileResponse, Response
from pydantic import BaseModel, Field

from softmend.errors import InputError, NotFoundError
from softmend.records.comparison_of_views import ComparisonOfViews
from softmend.services.bench import Bench
from softmend.services.examine.suggesting import answer_suggestion, answer_to, lines_of
from softmend.services.examine.views import views_in
from softmend.services.jobs import Jobs
from softmend.services.next_steps import Step
from softmend.services.recording import current_record
from softmend.services.revisit.air import air_offered, air_read
from softmend.services.revisit.comparing import (
    Asked,
    answer_folder,
    answer_of,
    asked,
    compare_later,
    comparison_between,
    keep_moved,
    moved_between,
    record_comparison,
)
from softmend.services.revisit.laying import EARLIER, LAID
from softmend.services.revisit.moved import (
    CrackMoved,
    air_words,
    cracks_moved,
    mark_has_opening,
    new_cracks,
    record_as_opening,
    record_state,
)
from softmend.services.store import Reader
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number
from softmend.web.pages.revisit.frame import frame
from softmend.web.rendering import render
from softmend.web.viewing import view_name
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/revisit/compare"
NOTHING: dict[str, Any] = {"outputs": None, "new": []}
Line = Annotated[str, Field(max_length=500)]
ViewId = Annotated[str, Field(pattern=ID_PATTERN)]
InAddress = Annotated[str, Query(pattern=ID_PATTERN)]


class PairForm(BaseModel):
    """Which two views, and the entry that the person saw of what is changed."""

    earlier: ViewId
    later: ViewId
    based_on: Annotated[str, Field(max_length=40)] = ""


class CompareForm(PairForm):
    """The form that asks for a comparison: the views and the air of both dates."""

    repeat: Annotated[str, Field(max_length=40)] = ""
    earlier_percent: Line = ""
    later_percent: Line = ""
    air_expanded_percent: Line = ""
    earlier_degc: Line = ""
    later_degc: Line = ""
    air_from: Line = ""

    def record(self) -> ComparisonOfViews:
        """Return what was asked as a record."""
        humid, warm = _("The humidity"), _("The temperature")
        off = maybe_number(self.air_expanded_percent, _("The ± of the humidity"), "%RH", 0.1, 50)
        return ComparisonOfViews(
            earlier_view_id=self.earlier,
            later_view_id=self.later,
            repeat_view_id=self.repeat,
            earlier_percent=maybe_number(self.earlier_percent, humid, "%RH", 0, 100),
            later_percent=maybe_number(self.later_percent, humid, "%RH", 0, 100),
            air_expanded_percent=off or 3.0,
            earlier_degc=maybe_number(self.earlier_degc, warm, "°C", -40, 80),
            later_degc=maybe_number(self.later_degc, warm, "°C", -40, 80),
            air_from=known(self.air_from),
        )


class MarkOf(PairForm):
    """A form about one mark of a comparison."""

    mark_id: ViewId


class NewCrack(PairForm):
    """The answer to one suggested new crack."""

    number: Annotated[int, Field(ge=1, le=10_000)]
    answer: Literal["accept", "refuse"]


@router.get(AT)
def compare(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    earlier: InAddress,
    later: InAddress,
    job: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Show two dates on one another or beside, and what each crack did between them."""
    with bench.store.reading() as reader:
        around = frame(bench, reader, dossier_id, "revisit")
        before = current_record(reader, dossier_id, "view", earlier)[1]
        after = current_record(reader, dossier_id, "view", later)[1]
        standing = comparison_between(reader, earlier, later)
        question = asked(reader, dossier_id, *standing) if standing else None
        answer = answer_of(bench, question) if question else None
        moved = moved_between(reader, dossier_id, earlier, later)
        shown = _shown(reader, dossier_id, question, answer) if question and answer else NOTHING
        others = [
            (entry, view, view_name(view))
            for entry, view in views_in(reader, dossier_id)
            if entry.subject_id not in (earlier, later)
        ]
        days = (before.taken_on, after.taken_on)
        read = air_read(bench, reader, dossier_id, days) if standing is None else None
        is_under_way = bool(job) and not answer and _is_running(reader, job)
        message = reader.job(job).message if job and not answer else ""
    return render(
        request,
        "revisit/compare.html",
        **around | {"steps": steps_here(around["steps"], earlier, later, is_found=bool(answer))},
        earlier_id=earlier,
        later_id=later,
        before=before,
        after=after,
        comparison=standing[1] if standing else None,
        air_then=air_offered(standing[1] if standing else None, read),
        air_read=read,
        air=air_words(standing[1]) if standing else "",
        moved=moved,
        is_kept=bool(moved and answer and moved.run.outputs == answer["outputs"]),
        others=others,
        job=job if is_under_way else "",
        message=message,
        **shown,
    )


@router.post(AT)
def begin(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[CompareForm, Form()],
) -> Response:
    """Record what is compared and begin; the page shows how far it is, and a stop."""
    entry = record_comparison(bench, person.author, dossier_id, form.record())
    with bench.store.reading() as reader:
        standing = comparison_between(reader, form.earlier, form.later)
        question = asked(reader, dossier_id, *standing) if standing else None
    if question is None:
        raise NotFoundError("There is no such comparison", value=entry.subject_id)
    jobs: Jobs | None = request.app.state.jobs
    job = compare_later(jobs, bench, dossier_id, question)
    return go_on(request, _address(dossier_id, form) + (f"&job={job}" if job else ""))


@router.post(f"{AT}/stop/{{job_id}}")
def stop(
    request: Request,
    person: PersonHere,
    dossier_id: Id,
    job_id: Id,
    form: Annotated[PairForm, Form()],
) -> Response:
    """Stop a comparison; nothing of it is kept."""
    jobs: Jobs | None = request.app.state.jobs
    if jobs is not None:
        jobs.stop(job_id)
    return go_on(request, _address(dossier_id, form))


@router.get(f"{AT}/working/{{job_id}}")
def under_way(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    job_id: Id,
    earlier: InAddress,
    later: InAddress,
) -> Response:
    """Say how far a comparison is; when it has ended the page is shown anew."""
    with bench.store.reading() as reader:
        row = reader.job(job_id)
    address = f"/dossiers/{dossier_id}/revisit/compare?earlier={earlier}&later={later}"
    if row.state not in ("waiting", "running"):
        ended = "" if row.state == "done" else f"&job={job_id}"
        return Response(status_code=204, headers={"HX-Redirect": f"{address}{ended}"})
    return render(
        request,
        "revisit/working.html",
        row=row,
        dossier_id=dossier_id,
        earlier_id=earlier,
        later_id=later,
    )


@router.get(f"{AT}/picture/{{which}}.jpg")
def picture(
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    which: Literal["earlier", "later"],
    earlier: InAddress,
    later: InAddress,
) -> Response:
    """Give one of the two pictures for the eye."""
    question = _question(bench, dossier_id, earlier, later)
    path = answer_folder(bench, question) / (EARLIER if which == "earlier" else LAID)
    if not path.is_file():
        raise NotFoundError("These views were not compared as things stand now")
    return FileResponse(path, media_type="image/jpeg", headers={"cache-control": "private"})


@router.post(f"{AT}/keep")
def keep(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[PairForm, Form()],
) -> Response:
    """Keep what was found, with all that went in."""
    keep_moved(bench, person.author, dossier_id, _question_of(bench, dossier_id, form))
    return go_on(request, _address(dossier_id, form))


@router.post(f"{AT}/state")
def state(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[MarkOf, Form()],
) -> Response:
    """Record the state that was shown of one mark, with its grounds."""
    question = _question_of(bench, dossier_id, form)
    outputs = _outputs(bench, question)
    record_state(
        bench, person.author, dossier_id, form.mark_id, question, outputs, form.based_on
    )  # fmt: skip
    return go_on(request, _address(dossier_id, form))


@router.post(f"{AT}/opening")
def opening(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[MarkOf, Form()],
) -> Response:
    """Record both widths of one crack as its measured opening."""
    question = _question_of(bench, dossier_id, form)
    outputs = _outputs(bench, question)
    record_as_opening(bench, person.author, dossier_id, form.mark_id, question, outputs)
    return go_on(request, f"/dossiers/{dossier_id}/marks/{form.mark_id}/opening")


@router.post(f"{AT}/new")
def new_crack(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[NewCrack, Form()],
) -> Response:
    """Accept a suggested new crack as a mark on the later view, or refuse it."""
    question = _question_of(bench, dossier_id, form)
    found = new_cracks(question, _outputs(bench, question))
    if form.number > len(found):
        raise NotFoundError("There is no such suggestion", value=form.number)
    answer_suggestion(
        bench,
        person.author,
        dossier_id,
        found[form.number - 1],
        is_accepted=form.answer == "accept",
    )
    return go_on(request, _address(dossier_id, form))


def steps_here(steps: list[Step], earlier: str, later: str, *, is_found: bool) -> list[Step]:
    """Return the next steps as this page says them: its own without a way to where one stands."""
    own = f"revisit/compare?earlier={earlier}&later={later}"
    keep = _("Keep what the comparison found: the button stands above its cracks.")
    return [
        one
        if one.page != own
        else replace(one, page="revisit", sentence=keep if is_found else one.sentence)
        for one in steps
    ]


def _shown(
    reader: Reader, dossier_id: str, question: Asked, answer: dict[str, Any]
) -> dict[str, Any]:
    outputs = answer["outputs"]
    cracks = cracks_moved(question, outputs)
    new = [(one, answer_to(reader, one)) for one in new_cracks(question, outputs)]
    about = f"views {question.earlier.number} and {question.later.number}"
    return {
        "outputs": outputs,
        "cracks": cracks,
        "openings": {
            one.entry.subject_id: mark_has_opening(reader, dossier_id, one.entry.subject_id)
            for one in cracks
        },
        "lines": _lines(cracks, question.comparison.earlier_view_id),
        "new": new,
        "new_lines": lines_of(outputs["new_cracks"]),
        "work": working("photo.change", about, outputs),
    }


def _lines(cracks: list[CrackMoved], view_id: str) -> list[tuple[int, Any]]:
    return [
        (one.mark.number, seen.geometry.parts[0])
        for one in cracks
        for seen in one.mark.sightings
        if seen.view_id == view_id
    ]


def _question_of(bench: Bench, dossier_id: str, form: PairForm) -> Asked:
    return _question(bench, dossier_id, form.earlier, form.later)


def _question(bench: Bench, dossier_id: str, earlier: str, later: str) -> Asked:
    with bench.store.reading() as reader:
        standing = comparison_between(reader, earlier, later)
        if standing is None or standing[0].dossier_id != dossier_id:
            raise NotFoundError("These views were not compared")
        return asked(reader, dossier_id, *standing)


def _outputs(bench: Bench, question: Asked) -> dict[str, Any]:
    answer = answer_of(bench, question)
    if answer is None:
        raise InputError(
            _("These two views were not compared as things stand now"),
            remedy=_("Compare them again"),
        )
    found: dict[str, Any] = answer["outputs"]
    return found


def _is_running(reader: Reader, job_id: str) -> bool:
    return reader.job(job_id).state in ("waiting", "running")


def _address(dossier_id: str, form: PairForm) -> str:
    return f"/dossiers/{dossier_id}/revisit/compare?earlier={form.earlier}&later={form.later}"
