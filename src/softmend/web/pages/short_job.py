"""What a short dossier records beyond its condition, all of it on its one screen."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Request, UploadFile
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.action import Hidden
from softmend.records.consent import Decision
from softmend.services.bench import Bench
from softmend.services.days import bench_day
from softmend.services.house_forms import short_docx
from softmend.services.next_steps import Asked, Step, Urgency
from softmend.services.propose.consents import points_hash, standings_in
from softmend.services.recording import current_records
from softmend.services.short_job import (
    OneOption,
    asked_of_a_short_job,
    bring_in_after,
    one_option_in,
    print_short_job,
    write_one_option,
)
from softmend.services.store import Reader
from softmend.services.treat.day_log import log_of
from softmend.services.treat.treatment_words import actions
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.hand_over.frame import DOCX, PDF, download
from softmend.web.uploads import received
from softmend.web.words import said as _

router = APIRouter()

PLACE_OF_ITEM = {
    "options": "#option",
    "consent": "#consent",
    "log": "#log",
    "photograph_after": "#after",
}
"""Where on the one screen each thing that a short job asks for is answered."""

Line = Annotated[str, Field(max_length=2000)]


class OptionForm(BaseModel):
    """The form of the one option beside doing nothing."""

    based_on: Annotated[str, Field(max_length=40)] = ""
    nothing_result: Line = ""
    nothing_risk: Line = ""
    what: Line = ""
    action_id: Annotated[str, Field(max_length=60)] = ""
    result: Line = ""
    risk: Line = ""
    stop_rule: Line = ""
    chosen: Annotated[str, Field(pattern=r"^(nothing|option)?$")] = ""
    chosen_because: Line = ""

    def record(self) -> OneOption:
        """Return what was typed."""
        return OneOption(
            nothing_result=known(self.nothing_result),
            nothing_risk=known(self.nothing_risk),
            what=self.what.strip(),
            action_id=self.action_id,
            result=known(self.result),
            risk=known(self.risk),
            stop_rule=self.stop_rule.strip(),
            is_chosen=self.chosen == "option",
            because=known(self.chosen_because),
        )


def short_job_shown(bench: Bench, reader: Reader, dossier_id: str) -> dict[str, Any]:
    """Return what the blocks of a short job show: option, consent, log, what is still asked."""
    options_entry_id, option = one_option_in(reader, dossier_id)
    standings = standings_in(reader, dossier_id)
    steps = current_records(reader, dossier_id, "plan_step")
    is_agreed = bool(standings) and standings[-1].allows_work
    return {
        "option": option,
        "options_entry_id": options_entry_id,
        "actions": list(actions().values()),
        "standing": standings[-1] if standings else None,
        "seen_hash": points_hash(reader, dossier_id),
        "decisions": list(Decision),
        "agreed_step": steps[0] if steps and is_agreed else None,
        "log": log_of(reader, dossier_id),
        "hiddens": [one for one in Hidden if one is not Hidden.NOT_KNOWN],
        "asked_after": asked_of_a_short_job(reader, dossier_id),
        "today": bench_day(bench),
    }


def steps_after(asked: list[Asked]) -> list[Step]:
    """Return what is still to be recorded of a short job, in the order of the work."""
    open_items = {one.item: one for one in asked if not (one.is_there or one.not_done_because)}
    return [
        Step(
            Urgency.RECORDS,
            f"Record {open_items[item].asks}.",
            _("Or say why it was not done; that is an answer too."),
            place,
        )
        for item, place in PLACE_OF_ITEM.items()
        if item in open_items
    ]


@router.post("/dossiers/{dossier_id}/short/option")
def record_option(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[OptionForm, Form()],
) -> Response:
    """Record the one option beside doing nothing, and which of the two was chosen."""
    write_one_option(bench, person.author, dossier_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}")


@router.post("/dossiers/{dossier_id}/short/after")
def photograph_after(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, after: UploadFile
) -> Response:
    """Bring in the photograph of the state after the work."""
    with received(bench, after) as path:
        name = after.filename or "photograph"
        bring_in_after(bench, person.author, dossier_id, path, name)
    return go_on(request, f"/dossiers/{dossier_id}")


@router.get("/dossiers/{dossier_id}/short-report.pdf")
def short_report(bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give the whole short job as one archival PDF."""
    content = print_short_job(bench, dossier_id)
    return download(bench, dossier_id, content, "short report", PDF)


@router.get("/dossiers/{dossier_id}/short-report.docx")
def short_report_to_edit(bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give the whole short job as an editable document."""
    return download(bench, dossier_id, short_docx(bench, dossier_id), "short report", DOCX)
