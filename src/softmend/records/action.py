"""The day log: one entry says what was done, where, with what, how long, and what came of it.

A log entry is a subject of the journal: it is corrected by a further entry that says why, and
what it said before stays in the chain.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import Enum

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.join import JoinMade
from softmend.records.mark import KnownHow
from softmend.records.material import Moved, checked_moved
from softmend.records.mixing import refuse_bare_percentage

TO_BE_SORTED = ""
"""The action of an entry that is only a photograph, a voice note or a bench sheet as yet."""

MOST_MINUTES = 24 * 60.0


class Hidden(Enum):
    """Whether what was done will be out of sight later."""

    NO = "stays in sight"
    YES = "will be hidden"
    NOT_KNOWN = "not known"


class Weighed(Enum):
    """What was weighed before and after a consolidation."""

    VESSEL = "the vessel"
    PIECE = "the piece"


@dataclass(frozen=True)
class Consolidation:
    """What consolidation asks beyond place and batch; a depth of None was not seen.

    Uptake is what the vessel lost or the piece gained; `reading_expanded_g` is one reading's
    95 % half-width.
    """

    weighed: Weighed = Weighed.VESSEL
    mass_before_g: float | None = None
    mass_after_g: float | None = None
    reading_expanded_g: float | None = None
    depth_mm: float | None = None
    depth_known_how: KnownHow = KnownHow.NOT_KNOWN
    sheen_observed: str = NOT_KNOWN
    stop_sign: str = NOT_KNOWN


@dataclass(frozen=True)
class TakingDown:
    """What taking down old work asks: how deep, how near the original, and why it ended there."""

    depth_reached_mm: float | None = None
    depth_known_how: KnownHow = KnownHow.NOT_KNOWN
    distance_to_original_mm: float | None = None
    magnification: str = NOT_KNOWN
    stop_sign: str = NOT_KNOWN


@dataclass(frozen=True)
class Action:
    """One entry of the day log.

    `done_on` is the day of the work; the journal entry that holds this has the day of writing.
    `plan_step_id` is empty for work that is not in the plan, and then `not_in_plan_because` says
    why. `also_by_ids` are the people who took part beside the author. `wet_because` is the reason
    for wet work while something was owed before it.
    """

    number: int
    action: str
    done_on: str
    place: str = NOT_KNOWN
    mark_ids: tuple[str, ...] = ()
    zone_ids: tuple[str, ...] = ()
    moved: tuple[Moved, ...] = ()
    minutes: float | None = None
    plan_step_id: str = ""
    plan_step: str = ""
    not_in_plan_because: str = ""
    agreed_with: str = NOT_KNOWN
    tool: str = NOT_KNOWN
    result_observed: str = NOT_KNOWN
    hidden: Hidden = Hidden.NOT_KNOWN
    hidden_view_ids: tuple[str, ...] = ()
    hidden_because: str = ""
    also_by_ids: tuple[str, ...] = ()
    view_ids: tuple[str, ...] = ()
    paper_ids: tuple[str, ...] = ()
    consolidation: Consolidation | None = None
    join: JoinMade | None = None
    taking_down: TakingDown | None = None
    wet_because: str = ""
    correction_because: str = ""

    @property
    def is_sorted(self) -> bool:
        """Say whether somebody has said what was done."""
        return self.action != TO_BE_SORTED

    @property
    def is_departure(self) -> bool:
        """Say whether it was done without a step of the plan."""
        return self.is_sorted and not self.plan_step_id


def checked_action(action: Action, today: str) -> Action:
    """Return a log entry if it says enough and nothing impossible; `today` is the bench's day."""
    check_says_something(action)
    check_day(action.done_on, today)
    if action.minutes is not None and not 0 < action.minutes <= MOST_MINUTES:
        raise InputError(
            "The time of a log entry is not possible",
            value=f"{action.minutes:g} min",
            allowed=f"more than 0, up to {MOST_MINUTES:g} min",
            remedy="Give the minutes at the bench; waiting and drying are not counted",
        )
    if action.is_sorted:
        check_is_in_plan_or_says_why(action)
        check_hidden_later(action)
    refuse_bare_percentage(action.tool)
    for moved in action.moved:
        checked_moved(moved)
    if action.consolidation is not None:
        _check_masses(action.consolidation)
    return action


def check_says_something(action: Action) -> None:
    """Refuse an entry that neither names what was done nor holds a picture or a paper."""
    if not action.is_sorted and not (action.view_ids or action.paper_ids):
        raise InputError(
            "This log entry says nothing yet",
            remedy="Choose what was done; or attach a photograph, a voice note or a bench sheet "
            "and sort it later",
        )


def check_day(done_on: str, today: str) -> None:
    """Refuse a day that is no date or has not come yet."""
    try:
        day = date.fromisoformat(done_on)
    except ValueError as unread:
        raise InputError(
            "The day of the work cannot be read", value=done_on, allowed="a date, as 2026-03-02"
        ) from unread
    if day > date.fromisoformat(today):
        raise InputError(
            "This day has not come yet",
            value=done_on,
            allowed=f"up to {today}",
            remedy="Log what was done when it was done; a plan goes under Propose",
        )


def check_is_in_plan_or_says_why(action: Action) -> None:
    """Refuse work outside the plan without a reason."""
    if action.is_departure and not action.not_in_plan_because.strip():
        raise RuleError(
            "This is not in the plan and says not why",
            remedy="Choose the step of the plan, or “not in plan” with a reason",
        )


def check_hidden_later(action: Action) -> None:
    """Refuse to hide a face without an image or a reason (rule 10)."""
    if action.hidden is Hidden.YES and not (
        action.hidden_view_ids or action.hidden_because.strip()
    ):
        raise RuleError(
            "This will be hidden and has neither an image nor a reason",
            rule=10,
            remedy="Choose the photograph that shows it, or say why there is none",
        )


def check_hidden_is_answered(action: Action, hides: bool) -> None:
    """Refuse an entry of an action that covers a face while nobody said whether it does (rule 10).

    `hides` is what the table of actions says of this action.
    """
    if hides and action.hidden is Hidden.NOT_KNOWN:
        raise RuleError(
            "Will this be hidden?",
            rule=10,
            remedy="Answer it: in sight, or hidden with an image or a reason",
        )


def check_wet_is_explained(action: Action, owed: Sequence[str]) -> None:
    """Refuse wet work logged without a reason while something was owed before it."""
    if owed and not action.wet_because.strip():
        raise RuleError(
            f"This was wet work, and before the first wet step was owed: {'; '.join(owed)}",
            remedy="Answer it under Propose, or say why it was done all the same; it is printed",
        )


def check_correction(before: Action, after: Action) -> None:
    """Refuse a correction that does not say why, or that takes another's number (rule 3)."""
    if after.number != before.number:
        raise RuleError("A log entry keeps its number", rule=3, remedy="Write a new entry")
    if before.is_sorted and not after.correction_because.strip():
        raise RuleError(
            "A log entry is never overwritten; a correction is a further entry with its reason",
            rule=3,
            remedy="Say why it is corrected; what it said before stays to be read",
        )
    if before.is_sorted and not after.is_sorted:
        raise RuleError("What was said cannot be unsaid", rule=3, remedy="Correct it in words")


def is_late(action: Action, written_on: str) -> bool:
    """Say whether an entry was written on a later day than the work was done."""
    return action.done_on < written_on


def uptake_g(consolidation: Consolidation) -> tuple[float, float | None] | None:
    """Return how much solution went in and its 95 % half-width, or None when not weighed.

    Solvent that evaporated between the two readings is counted too, so it is at most this when
    the vessel was weighed and at least this when the piece was.
    """
    before, after = consolidation.mass_before_g, consolidation.mass_after_g
    if before is None or after is None:
        return None
    gained = before - after if consolidation.weighed is Weighed.VESSEL else after - before
    reading = consolidation.reading_expanded_g
    return gained, None if reading is None else math.sqrt(2) * reading


def _check_masses(consolidation: Consolidation) -> None:
    uptake = uptake_g(consolidation)
    if uptake is not None and uptake[0] < 0:
        raise InputError(
            f"{consolidation.weighed.value} changed the wrong way".capitalize(),
            value=f"{consolidation.mass_before_g:g} g, then {consolidation.mass_after_g:g} g",
            allowed="the vessel becomes lighter, the piece heavier",
            remedy="Look at the two readings, or at what was weighed",
        )
