"""What every page of Propose is given: the dossier, what to do next, and the parts of the stage."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from softmend.records.proposal import Hours
from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.examine.vocabulary import term
from softmend.services.legal_flags import today_at
from softmend.services.propose.proposals import plan_in
from softmend.services.propose.propose_states import propose_states
from softmend.services.propose.propose_steps import propose_steps
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.web.groups import shown_groups
from softmend.web.numbers import maybe_number, typed_number
from softmend.web.words import said as _

Line = Annotated[str, Field(max_length=2000)]
Text = Annotated[str, Field(max_length=20_000)]
EntryId = Annotated[str, Field(max_length=40)]
Number = Annotated[int, Field(ge=1, le=2_147_483_647)]
Numbers = Annotated[list[Number], Field(max_length=500)]

MOST_HOURS = 100_000.0

# In the order of the work. What waits for nobody stands first.
GROUPS = (
    (_("Overview"), (("propose", _("Proposal")), ("propose/secure", _("Secure now")))),
    (_("What and why"), (("propose/options", _("Options")), ("propose/why", _("Why")))),
    (
        _("Old work off"),
        (
            ("propose/removals", _("Removals")),
            ("propose/spots", _("Spot tests")),
            ("propose/off", _("What takes it off")),
            ("propose/solvents", _("Solvents")),
            ("propose/air", _("The air")),
        ),
    ),
    (
        _("Fills and tint"),
        (
            ("propose/fills", _("Fills")),
            ("propose/tint", _("Tint")),
            ("propose/surface", _("Coating")),
        ),
    ),
    (
        _("Steps and hours"),
        (
            ("propose/steps", _("Steps")),
            ("propose/materials", _("Materials")),
            ("propose/wet", _("Before wet work")),
            ("propose/hours", _("Hours")),
        ),
    ),
    (
        _("Limits and consent"),
        (
            ("propose/limits", _("Limits")),
            ("propose/print", _("Print")),
            ("propose/consent", _("Consent")),
        ),
    ),
)


def frame(bench: Bench, reader: Reader, dossier_id: str, here: str) -> dict[str, Any]:
    """Return what the frame of a page of Propose shows."""
    return {
        "here": here,
        "dossier": opened(reader, dossier_id),
        **parts_shown(bench, reader, dossier_id, here),
    }


def parts_shown(bench: Bench, reader: Reader, dossier_id: str, here: str) -> dict[str, Any]:
    """Return what to do next, and the parts of the stage with how each stands."""
    plan = plan_in(reader, dossier_id)
    steps = propose_steps(reader, dossier_id, today_at(bench), plan)
    states = propose_states(reader, dossier_id, steps, plan)
    return {"steps": steps, "groups": shown_groups(GROUPS, here, states)}


def places_in(reader: Reader, dossier_id: str) -> dict[str, list[tuple[int, str]]]:
    """Return the marks and zones that can be named, each by its field, number and words."""
    return {
        "mark_numbers": [
            (mark.number, _("Mark {n}: {term}", n=mark.number, term=term(mark.term_id).term))
            for _entry, mark in current_records(reader, dossier_id, "mark")
        ],
        "body_zone_numbers": [
            (zone.number, _("Zone {name}: {what}", name=zone.name, what=zone.body.value))
            for _entry, zone in current_records(reader, dossier_id, "body_zone")
        ],
        "on_zone_numbers": [
            (zone.number, _("On it, {name}: {what}", name=zone.name, what=zone.on_it.value))
            for _entry, zone in current_records(reader, dossier_id, "on_zone")
        ],
    }


def materials_in(reader: Reader, dossier_id: str) -> list[tuple[int, str]]:
    """Return the planned materials that can be named."""
    return [
        (one.number, _("Material {n}: {name}", n=one.number, name=one.generic_name))
        for _entry, one in current_records(reader, dossier_id, "plan_material")
    ]


def hours_typed(low: str, likely: str, high: str, basis: str) -> Hours | None:
    """Return three typed hours, or None where nothing was typed."""
    if not any(text.strip() for text in (low, likely, high)):
        return None
    return Hours(
        low_h=typed_number(low, _("The low estimate"), "h", 0, MOST_HOURS),
        likely_h=typed_number(likely, _("The likely estimate"), "h", 0, MOST_HOURS),
        high_h=typed_number(high, _("The high estimate"), "h", 0, MOST_HOURS),
        basis=basis.strip() or "guess",
    )


def number_or_none(text: str, what: str) -> int | None:
    """Return a typed human number, or None for an empty field."""
    value = maybe_number(text, what, "", 1, 2_147_483_647)
    return None if value is None else int(value)
