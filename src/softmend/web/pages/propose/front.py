"""Propose: why to act at all, the options from nothing upward, and how the proposal stands."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.proposal import Aim, Option, Options
from softmend.services.propose.consents import standings_in
from softmend.services.propose.proposals import (
    missing_in,
    options_in,
    plan_in,
    proposal_in,
    write_options,
    write_proposal,
)
from softmend.services.propose.securing import securings_in
from softmend.services.propose.wet_steps import wet_step_findings
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.propose.frame import EntryId, Line, Text, frame, hours_typed
from softmend.web.rendering import render

router = APIRouter()

NEW = "new"


class WhyForm(BaseModel):
    """The form of why anything is done."""

    based_on: EntryId = ""
    significance: Text = ""
    significance_asked_of: Line = ""
    aims: Annotated[list[Aim], Field(max_length=3)] = []
    aims_in_words: Text = ""
    why_act: Text = ""
    better_conditions_alone: Text = ""
    tests_reported: Text = ""


class OptionForm(BaseModel):
    """The form of one option; `place` is its row, or "new"."""

    based_on: EntryId = ""
    place: Annotated[str, Field(pattern=r"^(\d{1,2}|new)$")] = NEW
    name: Line = ""
    result: Text = ""
    risk: Text = ""
    blocks_later: Text = ""
    leaves_undone: Text = ""
    low_h: Line = ""
    likely_h: Line = ""
    high_h: Line = ""
    hours_basis: Line = ""
    cost: Line = ""

    def record(self) -> Option:
        """Return what was typed as a record."""
        return Option(
            name=self.name.strip(),
            result=known(self.result),
            risk=known(self.risk),
            blocks_later=known(self.blocks_later),
            leaves_undone=known(self.leaves_undone),
            hours=hours_typed(self.low_h, self.likely_h, self.high_h, self.hours_basis),
            cost=known(self.cost),
        )


@router.get("/dossiers/{dossier_id}/propose")
def front(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show how the proposal stands."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose")
        shown |= {
            "plan": plan_in(reader, dossier_id),
            "missing": missing_in(reader, dossier_id),
            "standings": standings_in(reader, dossier_id),
            "securings": securings_in(reader, dossier_id),
            "owed": wet_step_findings(reader, dossier_id),
        }
    return render(request, "propose/front.html", **shown)


@router.get("/dossiers/{dossier_id}/propose/why")
def why(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Ask why anything is done, and what it is for."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/why")
        entry_id, proposal = proposal_in(reader, dossier_id)
    return render(
        request, "propose/why.html", proposal=proposal, entry_id=entry_id, aims=list(Aim), **shown
    )


@router.post("/dossiers/{dossier_id}/propose/why")
def record_why(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[WhyForm, Form()],
) -> Response:
    """Record why anything is done."""
    with bench.store.reading() as reader:
        _entry_id, before = proposal_in(reader, dossier_id)
    after = replace(
        before,
        significance=known(form.significance),
        significance_asked_of=known(form.significance_asked_of),
        aims=tuple(aim for aim in Aim if aim in form.aims),
        aims_in_words=known(form.aims_in_words),
        why_act=known(form.why_act),
        better_conditions_alone=known(form.better_conditions_alone),
        tests_reported=known(form.tests_reported),
    )
    write_proposal(bench, person.author, dossier_id, after, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose")


@router.get("/dossiers/{dossier_id}/propose/options")
def options(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    option: Annotated[str, Query(pattern=r"^(\d{1,2}|new)?$")] = "",
) -> Response:
    """Show the options side by side, and the form of one of them."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/options")
        entry_id, held = options_in(reader, dossier_id)
    place = option or _first_unsaid(held)
    chosen = Option("") if place == NEW else _row(held, place)
    return render(
        request,
        "propose/options.html",
        options=held,
        entry_id=entry_id,
        place=place,
        option=chosen,
        **shown,
    )


@router.post("/dossiers/{dossier_id}/propose/options")
def record_option(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[OptionForm, Form()],
) -> Response:
    """Record one option."""
    with bench.store.reading() as reader:
        _entry_id, held = options_in(reader, dossier_id)
    write_options(
        bench, person.author, dossier_id, _with(held, form.place, form.record()), form.based_on
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/options")


@router.post("/dossiers/{dossier_id}/propose/options/drop")
def drop_option(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    place: Annotated[int, Form(ge=2, le=99)],
    based_on: Annotated[str, Form(max_length=40)] = "",
) -> Response:
    """Take a fuller option out; the first two rows cannot be taken out (rule 12)."""
    with bench.store.reading() as reader:
        _entry_id, held = options_in(reader, dossier_id)
    gone = _row(held, str(place))
    kept = tuple(one for one in held.fuller if one is not gone)
    after = replace(held, fuller=kept)
    if held.chosen == gone.name:
        after = replace(after, chosen="not known", chosen_because="not known")
    write_options(bench, person.author, dossier_id, after, based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose/options")


@router.post("/dossiers/{dossier_id}/propose/options/choose")
def choose(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    chosen: Annotated[str, Form(max_length=2000)] = "",
    because: Annotated[str, Form(max_length=20_000)] = "",
    based_on: Annotated[str, Form(max_length=40)] = "",
) -> Response:
    """Choose an option, with the reason."""
    with bench.store.reading() as reader:
        _entry_id, held = options_in(reader, dossier_id)
    after = replace(held, chosen=known(chosen), chosen_because=known(because))
    write_options(bench, person.author, dossier_id, after, based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose")


def _first_unsaid(held: Options) -> str:
    for place, row in enumerate(held.rows):
        if "not known" in (row.result, row.risk):
            return str(place)
    return NEW


def _row(held: Options, place: str) -> Option:
    if int(place) >= len(held.rows):
        raise InputError(
            "There is no such option", value=place, allowed=f"0 to {len(held.rows) - 1}"
        )
    return held.rows[int(place)]


def _with(held: Options, place: str, option: Option) -> Options:
    if place == NEW:
        return replace(held, fuller=(*held.fuller, option))
    before = _row(held, place)
    if before is held.nothing:
        return replace(held, nothing=replace(option, name=held.nothing.name))
    if before is held.less:
        return replace(held, less=replace(option, name=held.less.name))
    fuller = tuple(option if one is before else one for one in held.fuller)
    after = replace(held, fuller=fuller)
    return replace(after, chosen=option.name) if held.chosen == before.name else after
