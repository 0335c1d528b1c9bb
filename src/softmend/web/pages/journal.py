"""The journal: every entry, who, when and why; and an earlier state brought back."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response

from softmend import catalogue
from softmend.errors import NotFoundError
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.mark import State
from softmend.records.payload import as_plain
from softmend.services.deposit.plain_copy import WITHHELD_KINDS
from softmend.services.dossiers import opened
from softmend.services.examine.vocabulary import term
from softmend.services.next_steps import next_steps
from softmend.services.people import names_in
from softmend.services.restoring import bring_back as bring_back_state
from softmend.services.store import Reader
from softmend.web.answering import go_on, own_address
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.rendering import render
from softmend.web.words import named, sign
from softmend.web.words import said as _

router = APIRouter()

ENTRIES_A_PAGE = 100
_KIND_WORDS = {
    "action": _("log entry"),
    "assembly": _("order of assembly"),
    "dossier": _("dossier opened or changed"),
    "object_head": _("object described"),
    "examination": _("examination in words"),
    "not_examined": _("place not examined"),
    "body_zone": _("zone of the body"),
    "on_zone": _("zone on the body"),
    "not_done": _("answered: not done"),
    "struck": _("struck"),
    "run": _("computation"),
    "crack_model": _("said of a crack"),
    "coating_model": _("said of a coating"),
    "join_model": _("said of a join"),
    "place_run": _("computation for its place"),
    "object_place": _("where it is to stand"),
    "object_in_air": _("how it takes up the air"),
    "past_light": _("light of the past"),
    "light_plan": _("light planned"),
    "suggestion_answer": _("answer to a suggestion"),
    "comparison_of_views": _("two views compared"),
    "patch_grid": _("grid of test patches"),
    "spot_decision": _("decision on a spot test"),
    "lock_override": _("lock on wet work opened"),
    "solvent_turned_on": _("lock on a solvent opened"),
    "removal_way": _("how old work comes off"),
    "air_question": _("air over the work"),
    "plan_step": _("planned step"),
    "plan_material": _("planned material"),
    "plan_fill": _("planned fill"),
    "plan_removal": _("planned removal"),
    "wording_noted": _("changed wording told to the owner"),
    "before_wet": _("before the first wet step"),
    "passed": _("rule passed by name"),
    "sheet_back": _("bench sheet brought back"),
    "custody": _("receipt"),
    "care": _("care sheet"),
    "estimate": _("estimate of hours"),
}


@dataclass(frozen=True)
class Line:
    """One entry as the journal shows it."""

    entry: Entry
    who: str
    what: str
    detail: str
    is_newest: bool

    @property
    def may_be_withdrawn(self) -> bool:
        """Say whether there is content that a person may decide to erase."""
        kept = self.entry.payload is not None
        return kept and self.entry.kind not in ("dossier", "struck", "withdrawal")


@router.get("/dossiers/{dossier_id}/journal")
def journal(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    before: Annotated[int, Query(ge=0, le=2_147_483_647)] = 0,
) -> Response:
    """Show the entries, newest first."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        last = before - 1 if before else dossier.head.count
        first = max(0, last - ENTRIES_A_PAGE)
        entries = [one for one in reader.entries(dossier_id, first) if one.number <= last]
        lines = lines_of(reader, entries)
        steps = next_steps(reader, dossier_id)
    return render(
        request,
        "journal.html",
        here="journal",
        dossier=dossier,
        steps=steps,
        lines=lines,
        earlier=first + 1 if first else 0,
    )


@router.post("/dossiers/{dossier_id}/restore")
def bring_back(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    entry_id: Annotated[str, Form(max_length=40)],
    based_on: Annotated[str, Form(max_length=40)],
    back: Annotated[str, Form(max_length=200)] = "",
) -> Response:
    """Bring back an earlier state as a further entry."""
    bring_back_state(
        bench, person.author, dossier_id=dossier_id, entry_id=entry_id, based_on=based_on
    )
    return go_on(request, own_address(back or f"/dossiers/{dossier_id}/journal"))


def lines_of(reader: Reader, entries: list[Entry]) -> list[Line]:
    """Return entries as the journal shows them, newest first."""
    names = names_in(reader)
    return [
        Line(
            entry=entry,
            who=names[entry.author_id],
            what=_KIND_WORDS.get(entry.kind, named(entry.kind)),
            detail=_detail(entry),
            is_newest=_is_newest(reader, entry),
        )
        for entry in reversed(entries)
    ]


def _is_newest(reader: Reader, entry: Entry) -> bool:
    latest = reader.latest(entry.kind, entry.subject_id)
    return latest is not None and latest.id == entry.id


def _detail(entry: Entry) -> str:
    """Return the few words by which a person recognises an entry."""
    if entry.payload is None:
        return _("content withdrawn")
    if entry.kind in WITHHELD_KINDS:
        return _("told on the registrar’s pages")
    plain = as_plain(record_in(entry))
    if entry.kind == "mark":
        return f"{plain['number']} {sign(State(plain['state']))} · {term(plain['term_id']).term}"
    if entry.kind == "scale":
        return named(plain["method"])
    if "computation" in plain:
        return _title(plain["computation"])
    shown = ("number", "title", "hazard", "status", "original_name", "body", "on_it",
             "place", "grade", "because", "asked", "what")  # fmt: skip
    words = [plain[name] for name in shown if plain.get(name) not in (None, "")]
    return " · ".join(str(one) for one in words if not isinstance(one, dict | list))


def _title(computation: str) -> str:
    """Return what a computation is called; one that the catalogue no longer has keeps its name."""
    try:
        return catalogue.entry(computation).title
    except NotFoundError:
        return computation
