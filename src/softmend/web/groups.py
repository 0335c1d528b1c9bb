"""The parts of a stage in groups, in the order of the work: only the group one is in is opened."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from softmend.services.next_steps import Step
from softmend.services.part_state import PartState, owed_in
from softmend.web.words import counted
from softmend.web.words import said as _

Part = tuple[str, str]  # its page, and its name
Group = tuple[str, Sequence[Part]]

# Every page of a dossier that is of no other stage shows these.
EXAMINE = (
    (_("Views"), (("examine", _("Views")), ("scans", _("Scans")))),
    (
        _("Object"),
        (("object", _("Object")), ("hazards", _("Hazards")), ("law", _("Law"))),
    ),
    (
        _("Condition"),
        (
            ("condition", _("Condition")),
            ("quantities", _("Quantities")),
            ("words", _("Words")),
            ("since", _("Since last time")),
        ),
    ),
    (_("Record"), (("report", _("Report")), ("journal", _("Journal")))),
)
NOT_OF_A_NOTE = ("condition", "quantities", "since")


@dataclass(frozen=True)
class ShownPart:
    """A part of a stage as its tab shows it; a part that is only looked at says no state."""

    page: str
    name: str
    state: str
    is_owed: bool


@dataclass(frozen=True)
class ShownGroup:
    """A group of parts: its name, how it stands in words, and whether one is in it."""

    name: str
    parts: tuple[ShownPart, ...]
    state: str
    is_owed: bool
    is_here: bool


def shown_groups(
    groups: Iterable[Group], here: str, states: Mapping[str, PartState]
) -> list[ShownGroup]:
    """Return the groups as a page shows them; a group without states says nothing of itself."""
    return [_group(name, parts, here, states) for name, parts in groups]


def examine_groups(here: str, *, is_note: bool, steps: Iterable[Step]) -> list[ShownGroup]:
    """Return the groups of Examine; a note has fewer parts, and only what is owed says so."""
    groups = [
        (name, [part for part in parts if not (is_note and part[0] in NOT_OF_A_NOTE)])
        for name, parts in EXAMINE
    ]
    return shown_groups(groups, here, owed_in(steps))


def _group(
    name: str, parts: Sequence[Part], here: str, states: Mapping[str, PartState]
) -> ShownGroup:
    found = [states[page] for page, _name in parts if page in states]
    owed = found.count(PartState.OWED)
    if owed:
        state = counted("{n} to answer", "{n} to answer", owed)
    elif found:
        state = _((PartState.THERE if PartState.THERE in found else PartState.NOTHING).value)
    else:
        state = ""
    return ShownGroup(
        name if len(parts) > 1 else parts[0][1],
        tuple(_part(page, part, states.get(page)) for page, part in parts),
        state,
        is_owed=owed > 0,
        is_here=here in [page for page, _name in parts],
    )


def _part(page: str, name: str, state: PartState | None) -> ShownPart:
    return ShownPart(page, name, _(state.value) if state else "", is_owed=state is PartState.OWED)
