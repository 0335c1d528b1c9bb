"""How each part of a proposal stands."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable

from softmend.records.consent import Decision, Plan, Standing
from softmend.services.next_steps import Step
from softmend.services.part_state import PartState, owed_in, states_by_kinds
from softmend.services.propose.consents import standings_in
from softmend.services.propose.wet_steps import wet_step_findings
from softmend.services.store import Reader

# Parts that count as answered once something of these kinds stands there.
_HOLDS = {
    "propose/removals": ("plan_removal",),
    "propose/spots": ("spot_test",),
    "propose/air": ("air_question",),
    "propose/fills": ("plan_fill",),
    "propose/tint": ("trial_card", "tint_recipe"),
    "propose/steps": ("plan_step",),
    "propose/materials": ("plan_material",),
    "propose/hours": ("estimate",),
    "propose/consent": ("consent",),
}
# Parts that every proposal must answer: they are answered when nothing of them is owed.
_ASKED = ("propose/options", "propose/why", "propose/surface", "propose/wet", "propose/limits")


def propose_states(
    reader: Reader, dossier_id: str, steps: Iterable[Step], plan: Plan
) -> dict[str, PartState]:
    """Return the state of each part by its page; `steps` is what propose_steps found."""
    states = states_by_kinds(reader, dossier_id, _HOLDS) | dict.fromkeys(_ASKED, PartState.THERE)
    # Nothing asks for a securing, so none is no gap; one that was made says so.
    if reader.current(dossier_id, "securing"):
        states["propose/secure"] = PartState.THERE
    owed = owed_in(steps)
    states |= owed
    # While something else is owed, what to do next does not name a consent that is void.
    standings = standings_in(reader, dossier_id, plan) if owed else []
    if standings and _asks_again(standings[-1]):
        states["propose/consent"] = PartState.OWED
    if wet_step_findings(reader, dossier_id):
        states["propose/wet"] = PartState.OWED
    return states


def _asks_again(newest: Standing) -> bool:
    return newest.is_void and newest.consent.decision is not Decision.NO
