"""The words of treatment: actions with their aims, warrants, removal routes, coating reasons."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from softmend.errors import InputError
from softmend.records.fragment import Fragment
from softmend.records.material import Sum
from softmend.records.proposal import Aim
from softmend.services.propose.material_words import sum_text
from softmend.tables import table


@dataclass(frozen=True)
class Action:
    """One action: its usual aims, whether it wets the object, and whether it hides something."""

    action_id: str
    action: str
    aims: tuple[Aim, ...]
    is_wet: bool
    hides: bool
    definition: str


@cache
def actions() -> dict[str, Action]:
    """Return every action by its id, in the order of the table."""
    return {
        str(row["action_id"]): Action(
            action_id=str(row["action_id"]),
            action=str(row["action"]),
            aims=tuple(Aim(aim) for aim in str(row["aims"]).split(";")),
            is_wet=row["wetness"] == "wet",
            hides=row["hides"] == "yes",
            definition=str(row["definition"]),
        )
        for row in table("actions").rows
    }


def action(action_id: str) -> Action:
    """Return one action; InputError when the table has none of that id."""
    if not action_id:
        raise InputError("No action is chosen", remedy="Choose what is done from the list")
    if action_id not in actions():
        raise InputError(
            "There is no such action",
            value=action_id,
            allowed=", ".join(actions()),
        )
    return actions()[action_id]


def warrants() -> list[tuple[int, str, str]]:
    """Return each warrant of a fill: its number, its wording, and what it needs."""
    return [
        (int(float(row["warrant"] or 0)), str(row["wording"]), str(row["needs"]))
        for row in table("warrants").rows
    ]


def removal_routes() -> dict[str, tuple[str, str]]:
    """Return, for each removal route, how it is worded and what it needs."""
    return {
        str(row["route"]): (str(row["wording"]), str(row["needs"]))
        for row in table("removal_routes").rows
    }


def coating_reasons() -> list[tuple[str, str]]:
    """Return the usual reasons, each with what it speaks for: "no coating" or "a coating"."""
    return [(str(row["speaks_for"]), str(row["reason"])) for row in table("coating_reasons").rows]


def wet_locked_words() -> tuple[str, ...]:
    """Return the words of materials for which wet work is locked."""
    return tuple(str(row["word"]) for row in table("wet_locked").rows)


def fragments_named(numbers: Sequence[int]) -> str:
    """Return fragments by their numbers: "fragment 2", "fragments 1, 3", or "nothing"."""
    if not numbers:
        return "nothing"
    words = "fragment" if len(numbers) == 1 else "fragments"
    return f"{words} {', '.join(str(number) for number in numbers)}"


def fragment_mass(fragment: Fragment) -> str:
    """Return a fragment's mass as it is printed, or that nobody weighed it."""
    if fragment.mass_g is None:
        return "not weighed"
    return sum_text(Sum(fragment.mass_g, fragment.mass_expanded_g), "g")
