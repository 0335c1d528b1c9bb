"""Light: the plan of display, what fell before, and what each rule by its name leaves of a year."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from softmend.errors import InputError, MissingEvidenceError
from softmend.pictures.case_light import (
    LightBar,
    case_light_svg,
    case_light_words,
)
from softmend.records.entry import Entry
from softmend.records.light import LightPlan, PastLight, checked_past, checked_plan
from softmend.report.content import Working
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.legal_flags import today_at
from softmend.services.places.keep import keep_place_run
from softmend.services.recording import current_records, record_one, strike
from softmend.services.store import Reader
from softmend.services.workings import working
from softmend.tables import table

ABOUT = "light"


@dataclass(frozen=True)
class KeptPast:
    """A dose that fell, with the entry and the subject that hold it."""

    entry_id: str
    subject_id: str
    past: PastLight
    is_this_year: bool


@dataclass(frozen=True)
class LightPage:
    """The light of an object as its page shows it; `answer` is None until a plan is said."""

    plan_id: str
    plan: LightPlan | None
    past: tuple[KeptPast, ...]
    answer: Outcome | None = None
    refused: str = ""
    drawing: str = ""
    drawing_words: str = ""
    work: Working | None = None

    @property
    def total_lux_hours(self) -> float:
        """Return all that fell before, as far as it was recorded."""
        return sum(one.past.dose_lux_hours for one in self.past)


def known_parts() -> list[tuple[str, str]]:
    """Return the parts whose sensitivity the table knows, with the class of each."""
    return [
        (str(row["part"]), str(row["sensitivity"])) for row in table("light_sensitivities").rows
    ]


def light_page(bench: Bench, reader: Reader, dossier_id: str) -> LightPage:
    """Return the plan of display with its dose against every rule."""
    plan_id, plan = _plan(reader, dossier_id)
    past = tuple(_past(bench, reader, dossier_id))
    if plan is None:
        return LightPage(plan_id, None, past)
    try:
        answer = outcome("light.budget", budget_payload(plan, past))
    except InputError as refused:
        return LightPage(plan_id, plan, past, refused=refused.sentence())
    bars = list(_bars(answer, past))
    return LightPage(
        plan_id,
        plan,
        past,
        answer,
        drawing=case_light_svg(bars) if bars else "",
        drawing_words=case_light_words(bars),
        work=working("light.budget", "a year of display", answer),
    )


def budget_payload(plan: LightPlan, past: tuple[KeptPast, ...]) -> dict[str, Any]:
    """Return a plan and what fell before as the computation takes them."""
    return {
        "plan": [
            {"what": one.what, "light_lux": one.light_lux, "hours_a_day": one.hours_a_day,
             "days_a_year": one.days_a_year}
            | ({} if one.ultraviolet_uw_per_lm is None
               else {"ultraviolet_uw_per_lm": one.ultraviolet_uw_per_lm})
            for one in plan.lines
        ],
        "parts": [
            {"part": one.part}
            | ({"sensitivity": one.sensitivity} if one.sensitivity else {})
            | ({} if one.blue_wool is None else {"blue_wool": one.blue_wool})
            for one in plan.parts
        ],
        "past": [
            {"what": one.past.what, "dose_lux_hours": one.past.dose_lux_hours,
             "in_this_year": one.is_this_year}
            for one in past
        ],
    }  # fmt: skip


def plan_light(
    bench: Bench, author: Author, dossier_id: str, plan: LightPlan, based_on: str
) -> Entry:
    """Record the plan of display; a plan whose dose cannot be computed is refused."""
    checked = checked_plan(plan)
    outcome("light.budget", budget_payload(checked, ()))
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=f"{dossier_id}:light",
        record=checked,
        based_on=based_on,
    )


def record_past_light(bench: Bench, author: Author, dossier_id: str, past: PastLight) -> Entry:
    """Record a dose that has fallen, after a loan or a display."""
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=bench.fresh_id(),
        record=checked_past(past),
        based_on="",
    )


def strike_past_light(
    bench: Bench, author: Author, dossier_id: str, subject_id: str, because: str, based_on: str
) -> Entry:
    """Strike a dose that was recorded wrongly, with the reason."""
    return strike(
        bench,
        author,
        dossier_id=dossier_id,
        kind="past_light",
        subject_id=subject_id,
        because=because,
        based_on=based_on,
    )


def keep_light(bench: Bench, author: Author, dossier_id: str) -> Entry:
    """Keep the dose of the plan against its rules with all that was read."""
    with bench.store.reading() as reader:
        page = light_page(bench, reader, dossier_id)
    if page.answer is None or page.plan is None:
        raise MissingEvidenceError(
            "There is no plan of display yet", remedy="Say what will light it"
        )
    return keep_place_run(
        bench,
        author,
        dossier_id,
        computation="light.budget",
        about=ABOUT,
        inputs=budget_payload(page.plan, page.past),
        outputs=page.answer,
        read_entry_ids=(page.plan_id, *(one.entry_id for one in page.past)),
    )


def _plan(reader: Reader, dossier_id: str) -> tuple[str, LightPlan | None]:
    for entry, plan in current_records(reader, dossier_id, "light_plan"):
        return entry.id, plan
    return "", None


def _past(bench: Bench, reader: Reader, dossier_id: str) -> Iterator[KeptPast]:
    year = f"{today_at(bench).year:04d}-"
    found = current_records(reader, dossier_id, "past_light")
    for entry, past in sorted(found, key=lambda one: one[1].ended_on, reverse=True):
        yield KeptPast(entry.id, entry.subject_id, past, past.ended_on.startswith(year))


def _bars(answer: Outcome, past: tuple[KeptPast, ...]) -> Iterator[LightBar]:
    fallen = sum(one.past.dose_lux_hours for one in past if one.is_this_year)
    for one in answer["rules"]:
        if one["budget_lux_hours"]:
            yield LightBar(
                one["rule"], one["budget_lux_hours"], fallen, answer["dose_lux_hours"],
                one["words"],
            )  # fmt: skip
