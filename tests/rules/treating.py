"""Short ways through the services that the rules are tested by."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from softmend.records.action import Action, Hidden
from softmend.records.consent import Decision
from softmend.records.kinds import record_in
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.passing import Passed
from softmend.records.proposal import PlanStep
from softmend.services.passing import pass_rule
from softmend.services.propose.consents import Answered, points_hash, record_consent
from softmend.services.propose.proposal_content import proposal_as_text
from softmend.services.propose.proposals import record_step
from softmend.services.treat.fragments import change_fragment

if TYPE_CHECKING:
    from softmend.records.entry import Entry
    from softmend.services.bench import Author, Bench

TODAY = "2026-03-02"
STEP = PlanStep(0, "dry_cleaning", "brush the loose dust off", "stop where anything moves")
DUSTED = Action(0, "dry_cleaning", TODAY, minutes=20, not_in_plan_because="no plan is written yet")
FILLED = replace(
    DUSTED, action="filling", hidden=Hidden.NO, wet_because="asked for as an urgent case"
)
YES = Answered(Decision.YES, "O. Owner", "owner", TODAY, no_paper_because="said by telephone")


def line(view_id: str, *points: tuple[float, float], term_id: str = "crack") -> Mark:
    shape = Geometry(Shape.LINE, (points or ((20.0, 20.0), (90.0, 60.0)),))
    return Mark(0, term_id, (Sighting(view_id, shape),))


def box(left: float, top: float, right: float, bottom: float) -> Any:
    return (((left, top), (right, top), (right, bottom), (left, bottom)),)


def agree(bench: Bench, author: Author, dossier_id: str, answered: Answered = YES) -> Entry:
    """Record an answer to the points as they stand now."""
    with bench.store.reading() as reader:
        seen = points_hash(reader, dossier_id)
    return record_consent(bench, author, dossier_id, answered, seen)


def agreed_step(bench: Bench, author: Author, dossier_id: str) -> Entry:
    """Plan one step and let the owner agree to it."""
    step = record_step(bench, author, dossier_id, STEP)
    agree(bench, author, dossier_id)
    return step


def pass_by_name(bench: Bench, author: Author, dossier_id: str, rule: int, about: str) -> None:
    """Let a named person pass a rule, for one thing."""
    pass_rule(bench, author, dossier_id, Passed(rule, about, f"reason {rule}", "H. Head"))


def is_printed(bench: Bench, dossier_id: str, rule: int) -> bool:
    """Say whether the print tells who passed a rule and why."""
    said = proposal_as_text(bench, dossier_id)["passed"]
    return f"reason {rule}" in said and "H. Head" in said


def step_on(bench: Bench, author: Author, dossier_id: str, entry: Entry, **change: Any) -> Entry:
    """Record a change of a fragment on its newest entry."""
    changed = replace(record_in(entry), **change)
    return change_fragment(bench, author, dossier_id, entry.subject_id, changed, entry.id)
