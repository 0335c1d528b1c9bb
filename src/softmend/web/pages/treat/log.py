"""Treat: the day log. An entry in a few touches; the newest first; corrected in the open."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.responses import Response

from softmend.errors import SoftmendError
from softmend.records.action import Action, Hidden
from softmend.records.dossier import NOT_KNOWN
from softmend.records.fragment import ON_THE_TABLE
from softmend.records.mark import KnownHow
from softmend.records.material import Direction, Fate, Stays
from softmend.records.view import Paper
from softmend.services.bench import Bench
from softmend.services.days import bench_day
from softmend.services.dossiers import OpenDossier, opened
from softmend.services.examine.marks import marks_in
from softmend.services.examine.views import attach_paper, import_photograph, views_in
from softmend.services.people import come_to_the_bench, names_in, people_at_the_bench
from softmend.services.propose.consents import require_consent
from softmend.services.propose.material_words import moved_text
from softmend.services.propose.wet_steps import wet_step_findings
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.services.treat.batches import batches_in, stock_of
from softmend.services.treat.day_log import (
    Logged,
    action_words,
    assembly_of,
    last_of,
    log_action,
    log_of,
    logged,
    plan_steps,
    repeat_last,
)
from softmend.services.treat.fragments import ledger_of
from softmend.services.treat.treat_steps import treat_steps
from softmend.services.treat.treatment_content import places_of
from softmend.services.treat.treatment_words import actions
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.treat.entry_form import (
    CONSOLIDATIONS,
    JOINS,
    OTHER,
    TAKING_DOWN,
    EntryForm,
)
from softmend.web.rendering import render
from softmend.web.uploads import received
from softmend.web.viewing import view_name
from softmend.web.words import said as _

router = APIRouter()

USUAL = (
    "dry_cleaning",
    "solvent_cleaning",
    "mechanical_removal",
    "consolidation",
    "dry_fit",
    "bonding",
    "filling",
    "toning",
)
MINUTES = (5, 15, 30, 60)
ENTRIES_SHOWN = 50


@router.get("/dossiers/{dossier_id}/treat")
def day_log(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    like: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Show what to do next, the form of an entry, and the log; `like` fills the form from one."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        log = log_of(reader, dossier_id)
        filled = next((one.action for one in log if one.entry.subject_id == like), None)
        shown = {
            **_choices(reader, dossier, log),
            "last": last_of(reader, dossier_id, person.person_id),
            "steps": treat_steps(bench, reader, dossier_id),
        }
    return render(
        request,
        "treat/log.html",
        here="treat",
        dossier=dossier,
        log=log[::-1][:ENTRIES_SHOWN],
        log_count=len(log),
        filled=filled or Action(0, "", bench_day(bench)),
        today=bench_day(bench),
        **_people(bench, person.person_id),
        **shown,
    )


@router.post("/dossiers/{dossier_id}/treat")
def append_entry(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[EntryForm, Form()],
    also_by_name: Annotated[str, Form(max_length=100)] = "",
) -> Response:
    """Append one entry to the log."""
    _add_helper(bench, form, also_by_name)
    log_action(bench, person.author, dossier_id, form.record(_names(bench, dossier_id)))
    return go_on(request, f"/dossiers/{dossier_id}/treat")


@router.post("/dossiers/{dossier_id}/treat/again")
def append_again(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id
) -> Response:
    """Log once more what this person logged last."""
    repeat_last(bench, person.author, dossier_id)
    return go_on(request, f"/dossiers/{dossier_id}/treat")


@router.post("/dossiers/{dossier_id}/treat/attach")
def append_attached(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    attached: UploadFile,
    what: Annotated[str, Form(max_length=200)] = "",
) -> Response:
    """Log a photograph, a voice note or a bench sheet by itself, to be sorted later."""
    name = attached.filename or "attached"
    entry = Action(0, "", bench_day(bench))
    with received(bench, attached) as path:
        if (attached.content_type or "").startswith("image/"):
            view = import_photograph(bench, person.author, dossier_id, path, name)
            entry = Action(0, "", bench_day(bench), view_ids=(view.subject_id,))
        else:
            record = Paper(0, name, "", 0, what.strip() or _("voice note"), said_by=person.name)
            paper = attach_paper(bench, person.author, dossier_id, path, record)
            entry = Action(0, "", bench_day(bench), paper_ids=(paper.subject_id,))
    log_action(bench, person.author, dossier_id, entry)
    return go_on(request, f"/dossiers/{dossier_id}/treat")


@router.get("/dossiers/{dossier_id}/treat/log/{entry_id}")
def entry_page(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, entry_id: Id
) -> Response:
    """Show one entry, what it said before, and the form that corrects it."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        one = logged(reader, dossier_id, entry_id)
        shown = _choices(reader, dossier, [one])
    return render(
        request,
        "treat/entry.html",
        here="treat",
        dossier=dossier,
        one=one,
        filled=one.action,
        today=bench_day(bench),
        **_people(bench, one.by_ids[0]),
        **shown,
    )


@router.post("/dossiers/{dossier_id}/treat/log/{entry_id}")
def correct_entry(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    entry_id: Id,
    form: Annotated[EntryForm, Form()],
    also_by_name: Annotated[str, Form(max_length=100)] = "",
) -> Response:
    """Record a correction, or sort what was only attached."""
    _add_helper(bench, form, also_by_name)
    log_action(
        bench,
        person.author,
        dossier_id,
        form.record(_names(bench, dossier_id)),
        subject_id=entry_id,
        based_on=form.based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/treat")


def _choices(reader: Reader, dossier: OpenDossier, log: list[Logged]) -> dict[str, Any]:
    dossier_id = dossier.dossier_id
    marks = {entry.subject_id for entry, _mark in marks_in(reader, dossier_id)}
    steps = plan_steps(reader, dossier_id)
    recent = dict.fromkeys(one.action.action for one in log[::-1] if one.action.action in actions())
    usual = list(dict.fromkeys([*recent, *USUAL]))[: len(USUAL)]
    owed = _consent_owed(reader, dossier_id) if steps else ""
    planned = [one.action.plan_step_id for one in log[::-1] if one.action.plan_step_id]
    _assembly_entry, assembly = assembly_of(reader, dossier_id)
    return {
        "usual": [actions()[each] for each in usual],
        "unusual": [each for name, each in actions().items() if name not in usual],
        "other": OTHER,
        "places": places_of(reader, dossier_id),
        "marks": marks,
        "stock": stock_of(reader, dossier_id),
        "plan": steps,
        "plan_says": _plan_says(reader, dossier_id),
        "last_step": planned[0] if planned and not owed else "",
        "consent_owed": owed,
        "no_plan": _("no plan is recorded yet") if not steps else "",
        "minutes": MINUTES,
        "views": [
            (entry.subject_id, f"{view.number} · {view_name(view)}")
            for entry, view in views_in(reader, dossier_id)
        ],
        "papers": [
            (entry.subject_id, f"{paper.number} · {paper.what}")
            for entry, paper in current_records(reader, dossier_id, "paper")
        ],
        "fragments": [
            (entry.subject_id, one)
            for entry, one in ledger_of(reader, dossier_id).fragments
            if one.stand in ON_THE_TABLE
        ],
        "joins": [join.name for join in assembly.joins],
        "owed": wet_step_findings(reader, dossier_id),
        "names": names_in(reader),
        "hiddens": list(Hidden),
        "directions": list(Direction),
        "stays": list(Stays),
        "fates": list(Fate),
        "known_hows": list(KnownHow),
        "panels": {
            "consolidation": CONSOLIDATIONS,
            "join": JOINS,
            "taking_down": TAKING_DOWN,
        },
        "action_words": action_words,
        "moved_text": moved_text,
        "not_known": NOT_KNOWN,
    }


def _consent_owed(reader: Reader, dossier_id: str) -> str:
    """Return why no step of the plan may be worked on yet, or nothing."""
    try:
        require_consent(reader, dossier_id)
    except SoftmendError as owed:
        return owed.sentence()
    return ""


def _plan_says(reader: Reader, dossier_id: str) -> dict[str, dict[str, Any]]:
    """Return what each step of the plan does, and the ids of the marks it does it at."""
    marks = {mark.number: entry.subject_id for entry, mark in marks_in(reader, dossier_id)}
    return {
        entry.subject_id: {
            "action": step.action_id,
            "marks": [marks[number] for number in step.mark_numbers if number in marks],
        }
        for entry, step in current_records(reader, dossier_id, "plan_step")
    }


def _people(bench: Bench, author_id: str) -> dict[str, Any]:
    others = [one for one in people_at_the_bench(bench) if one.id != author_id]
    return {"people": others, "people_chips": [(one.id, one.name) for one in others]}


def _names(bench: Bench, dossier_id: str) -> dict[str, str]:
    with bench.store.reading() as reader:
        return {batch_id: one.name for batch_id, one in batches_in(reader, dossier_id).items()}


def _add_helper(bench: Bench, form: EntryForm, name: str) -> None:
    if name.strip():
        form.also_by_ids.append(come_to_the_bench(bench, name).id)
