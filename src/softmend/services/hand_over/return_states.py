"""How each part of Return stands."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable

from softmend.services.hand_over.closing import is_closed
from softmend.services.next_steps import Step
from softmend.services.part_state import PartState, owed_in, states_by_kinds
from softmend.services.store import Reader

_HOLDS = {
    "return/care": ("care",),
    "return/climate": ("object_place",),
    "return/light": ("light_plan",),
    "return/custody": ("custody",),
    "return/places": ("location",),
}


def return_states(reader: Reader, dossier_id: str, steps: Iterable[Step]) -> dict[str, PartState]:
    """Return the state of each part by its page; `steps` is what return_steps found."""
    states = states_by_kinds(reader, dossier_id, _HOLDS) | owed_in(steps)
    if is_closed(reader, dossier_id):
        states["return/closing"] = PartState.THERE
    return states
