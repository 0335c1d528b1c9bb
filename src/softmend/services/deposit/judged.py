"""What was judged of each kind of record: does it leave the house for the public, and how much.

Facts of the object and of what was done to it may be shared: a later conservator needs them.
Persons, places, values, movements and whatever helps a thief stay. A kind that nobody has judged
stays too.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

WITHHELD = "withheld"


class Leaves(Enum):
    """How a kind of record leaves the house for the public."""

    WORD_FOR_WORD = "leaves word for word"
    IN_PART = "leaves with parts withheld"
    STAYS = "stays in the house"


@dataclass(frozen=True)
class Verdict:
    """The judgement of one kind: how it leaves, what is withheld of it at any depth, and why.

    `people` are fields that name a person: withheld unless names are asked for. `besides` says in
    words what is withheld that is no field of its own.
    """

    leaves: Leaves
    because: str
    hidden: Mapping[str, Any] = field(default_factory=dict)
    people: tuple[str, ...] = ()
    besides: tuple[str, ...] = ()


def _open(because: str) -> Verdict:
    return Verdict(Leaves.WORD_FOR_WORD, because)


def _part(because: str, hidden: Mapping[str, Any], *people: str) -> Verdict:
    return Verdict(Leaves.IN_PART, because, hidden, people)


def _stays(because: str) -> Verdict:
    return Verdict(Leaves.STAYS, because)


_SURFACE = "it speaks of the surface of the object and of nothing around it"
_RESTS = "what a value rests on is written freely and may name a place or a person"
_HOUSE = "it is the house's own affair"

VERDICTS: Mapping[str, Verdict] = {
    "hazard": _open("whoever comes near the object must know it"),
    "scale": _open(_SURFACE),
    "not_examined": _open(_SURFACE),
    "mark": _open(_SURFACE),
    "body_zone": _open(_SURFACE),
    "on_zone": _open(_SURFACE),
    "grade": _open(_SURFACE),
    "run": Verdict(
        Leaves.IN_PART,
        "a computation is checked by the values that went in; what a person wrote beside them may "
        "name a place, and some computations tell of a mass, a room or a way of working",
        besides=("what a typed value rests on", "runs of what nobody judged fit to leave"),
    ),
    "struck": _open("it says which record no longer stands"),
    "not_done": _open("what was left undone belongs to what was done"),
    "batch": _open("what lies on the object, and how it is undone"),
    "assembly": _open("how the pieces hold together"),
    "plan_material": _open("what was to lie on the object, and how it is undone"),
    "measured_opening": _open(_SURFACE),
    "second_tracing": _open(_SURFACE),
    "comparison_of_views": _open(_SURFACE),
    "suggestion_answer": _open(_SURFACE),
    "tray": _open(_SURFACE),
    "flake_outline": _open(_SURFACE),
    "seat_search": _open(_SURFACE),
    "seat_look": _open(_SURFACE),
    "crack_model": _part(_RESTS, {"grounds": WITHHELD, "old_fill_grounds": WITHHELD}),
    "coating_model": _part(_RESTS, {"grounds": WITHHELD, "coating_grounds": WITHHELD}),
    "join_model": _part(f"a mass helps a thief, and {_RESTS}",
                        {"mass_g": None, "grounds": WITHHELD}),
    "patch_grid": _open(_SURFACE),
    "spot_test": _open("what was tried on the object, failures too, and what it did"),
    "removal_way": _part("who decided is a person", {}, "leaving_by"),
    "spot_decision": _part("who decided is a person", {}, "decided_by"),
    "lock_override": _part("who decided is a person", {}, "decided_by"),
    "solvent_turned_on": _part("who decided is a person", {}, "decided_by"),
    "trial_card": _part("who judged is a person", {}, "judged_by", "second_look_by"),
    "tint_recipe": _part("a file's name says what its maker liked", {"file_name": WITHHELD}),
    "colour_reading": _part("a file's name says what its maker liked", {"file_name": WITHHELD}),
    "dossier": _part("why the object is here tells of movements", {"why_here": WITHHELD}),
    "object_head": _part(
        "place, mass and dates help a thief",
        {"location": WITHHELD, "mass_g": None, "mass_expanded_g": None, "deadline_on": WITHHELD,
         "intended_use": WITHHELD},
        "owner",
    ),
    "examination": _part(
        "where it lies, and when somebody comes again",
        {"examined_at_place": WITHHELD, "next_check_on": WITHHELD, "copies_to": WITHHELD},
        "requested_by",
    ),
    "scan": _part("a file's name says what its maker liked", {"original_name": WITHHELD},
                  "made_by"),
    "scan_length": _open(_SURFACE),
    "scan_matter": _part(f"a mass helps a thief, and {_RESTS}",
                         {"weighed_g": None, "weighed_expanded_g": None, "grounds": WITHHELD,
                          "density_grounds": WITHHELD}),
    "scan_holding": _part(_RESTS, {"why": WITHHELD}),
    "scan_line": _open(_SURFACE),
    "scan_void": _part(_RESTS, {"grounds": WITHHELD}),
    "scan_comparison": _open(_SURFACE),
    "scan_still": _open(_SURFACE),
    "scan_view": _open(_SURFACE),
    "stretch_set_aside": _part(_RESTS, {"because": WITHHELD}),
    "view": _part("a file's name says what its maker liked", {"original_name": WITHHELD},
                  "made_by"),
    "paper": _part("somebody else's words", {"original_name": WITHHELD,
                                             "quoted_reported": WITHHELD}, "said_by"),
    "options": _part("costs and hours are between the house and its client",
                     {"cost": WITHHELD, "hours": None}),
    "proposal": _part(
        "hours and what was asked of whom are between the house and its client; where it goes "
        "afterwards is its place",
        {"hours_agreed_h": None, "hours_over_percent": None, "sampling_asked": WITHHELD,
         "environment_afterwards": WITHHELD},
        "significance_asked_of",
    ),
    "plan_step": _part("hours are between the house and its client", {"hours": None}),
    "plan_fill": _part("who said yes is a person", {}, "curator_yes_by"),
    "plan_removal": _part("where removed matter lies is a place", {"kept_where": WITHHELD}),
    "securing": _part(
        "when the owner is told is between two people",
        {"owner_told_by_on": WITHHELD, "owner_told_on": WITHHELD},
    ),
    "before_wet": _part("who answered is a person", {}, "sampling_asked_of",
                        "remains_approved_by", "way_by", "by"),
    "passed": _part("who decided is a person", {}, "by"),
    "action": _part(
        "minutes beside an author would be one person's speed; who else took part is a person; "
        "where removed matter lies is a place",
        {
            "minutes": None,
            "also_by_ids": (),
            "dry_fit_by_id": "",
            "kept_where": WITHHELD,
        },
        "agreed_with",
    ),
    "fragment": _part(
        "where a fragment was found and lies are places, and to whom it went is a person",
        {
            "found_where": WITHHELD,
            "kept_where": WITHHELD,
            "because": WITHHELD,
            "second_id": "",
        },
        "found_by",
    ),
    "bag": _part("where a bag lies is a place", {"kept_where": WITHHELD}),
    "care": _part(
        "the case it stands in, when somebody comes and whom to call help a thief",
        {"support": WITHHELD, "next_check_on": WITHHELD, "later_checks": WITHHELD},
        "whom_to_tell",
    ),
    "consent": _stays("a decision between two people, with every point of their agreement"),
    "wording_noted": _stays("a decision between two people"),
    "legal_flag": _stays("title, permits and law: half of them in public misleads"),
    "loan": _stays("a movement"),
    "estimate": _stays("hours, and when the bench is worked"),
    "priority": _stays(_HOUSE),
    "incident": _stays("losses and searches: persons and security"),
    "custody": _stays("persons, places and movements"),
    "location": _stays("places and movements"),
    "hand_over": _stays("who holds a copy"),
    "closing": _stays("who signed, and who holds a copy"),
    "reopened": _stays(_HOUSE),
    "bench_sheet": _stays("a page to write on; what was written is a paper"),
    "sheet_back": _stays("handwriting, filed as a paper"),
    "withdrawal": _stays("who had something erased, and why"),
    "survey": _stays("other objects of the house"),
    "sample_list": _stays("other objects of the house, and their places"),
    "survey_grade": _stays("other objects of the house"),
    "bench_materials": _stays(_HOUSE),
    "shelf_item": _stays(_HOUSE),
    "own_value": _stays(_HOUSE),
    "own_system": _stays(_HOUSE),
    "solvent_item": _stays(_HOUSE),
    "crack_distance": _stays(_HOUSE),
    "watched_folder": _stays(_HOUSE),
    "paint": _stays(_HOUSE),
    "lamp": _stays(_HOUSE),
    "colour_chart": _stays(_HOUSE),
    "sight_distances": _stays(_HOUSE),
    "eye_test": _stays("what one person's eyes see"),
    "place": _stays(_HOUSE),
    "showcase": _stays(_HOUSE),
    "logger_file": _stays(_HOUSE),
    "object_place": _stays("places and movements"),
    "place_run": _stays("it tells of the room and the case that the object stands in"),
    "light_plan": _stays("how and when the object is shown"),
    "past_light": _stays("loans and displays are movements"),
    "object_in_air": _open(_SURFACE),
    "air_question": _stays("rooms and working hours of the house"),
}  # fmt: skip
"""Every kind that somebody has judged, and the verdict."""

NOT_JUDGED = Verdict(Leaves.STAYS, "nobody has judged it yet")
OPEN_KINDS = frozenset(kind for kind, one in VERDICTS.items() if one.leaves is Leaves.WORD_FOR_WORD)


def verdict(kind: str) -> Verdict:
    """Return the verdict on a kind of record; what nobody judged stays in the house."""
    return VERDICTS.get(kind, NOT_JUDGED)


def without_hidden(said: Any, hidden: Mapping[str, Any]) -> Any:
    """Return plain data with every hidden field, at any depth, in the words of its withholding.

    What was not known stays not known: that somebody did not answer is no secret.
    """
    if isinstance(said, list):
        return [without_hidden(one, hidden) for one in said]
    if not isinstance(said, dict):
        return said
    return {
        name: _withheld(value, hidden[name]) if name in hidden else without_hidden(value, hidden)
        for name, value in said.items()
    }


def _withheld(value: Any, instead: Any) -> Any:
    return value if value in (None, "", "not known") else instead
