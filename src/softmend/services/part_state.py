"""How a part of a stage stands, as its tab says it: owed, answered, or nothing there yet."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import Enum

from softmend.services.next_steps import Step
from softmend.services.store import Reader


class PartState(Enum):
    """How a part of a stage stands; a part that is only looked at has no state."""

    OWED = "to answer"
    THERE = "answered"
    NOTHING = "nothing yet"


def states_by_kinds(
    reader: Reader, dossier_id: str, kinds_of: Mapping[str, Iterable[str]]
) -> dict[str, PartState]:
    """Return for each page whether anything of its kinds stands in the dossier."""
    return {
        page: PartState.THERE
        if any(reader.current(dossier_id, kind) for kind in kinds)
        else PartState.NOTHING
        for page, kinds in kinds_of.items()
    }


def owed_in(steps: Iterable[Step]) -> dict[str, PartState]:
    """Return the pages that something to do next leads to."""
    return {step.page: PartState.OWED for step in steps}
