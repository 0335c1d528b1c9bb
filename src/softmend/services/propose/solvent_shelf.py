"""My shelf of solvents: stocked, permitted, in date; one shelf for the whole house."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.removal import SolventItem, checked_solvent
from softmend.records.shelf import Freshness
from softmend.services.bench import Author, Bench
from softmend.services.house_journal import (
    HOUSE_ID,
    house_is_open,
    record_in_house,
    strike_in_house,
)
from softmend.services.propose.removing_gate import agent_payload, gate_of
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.tables.solvents import Solvent, solvent, solvents

PEROXIDES = ("diethyl-ether", "thf", "me-thf", "dioxane", "dioxolane", "dpm", "pm", "methylal")


@dataclass(frozen=True)
class OnSolventShelf:
    """One bottle with the entry that says so, the solvent of the table, and how it stands today."""

    entry_id: str
    item: SolventItem
    solvent: Solvent
    freshness: Freshness
    is_offered: bool

    @property
    def needs_opening_date(self) -> bool:
        """Say whether it forms peroxides and nobody said when it was opened."""
        return self.solvent.id in PEROXIDES and self.item.opened_on == NOT_KNOWN


@dataclass(frozen=True)
class ForObject:
    """One solvent against one object: at hand or not, and why it may not touch it."""

    solvent_id: str
    name: str
    on_shelf: bool
    forbidden: tuple[str, ...]
    warned: tuple[str, ...]


def solvent_shelf(reader: Reader, today: date) -> list[OnSolventShelf]:
    """Return the bottles of the shelf, those to be offered first, by name."""
    if not house_is_open(reader):
        return []
    found = [
        OnSolventShelf(
            entry.id, item, solvent(item.line.material), item.freshness(today),
            item.is_offered(today),
        )
        for entry, item in current_records(reader, HOUSE_ID, "solvent_item")
    ]  # fmt: skip
    return sorted(found, key=lambda one: (not one.is_offered, one.solvent.name.casefold()))


def every_solvent() -> list[Solvent]:
    """Return every solvent of the table, in its order."""
    return solvents()


def offered_solvents(reader: Reader, today: date) -> list[str]:
    """Return the ids of the solvents that are at hand, permitted and in date."""
    return [one.solvent.id for one in solvent_shelf(reader, today) if one.is_offered]


def put_solvent(bench: Bench, author: Author, item: SolventItem, based_on: str = "") -> Entry:
    """Record how this house has a solvent, by any of its names in the table."""
    found = solvent(item.line.material)
    named = replace(item, line=replace(item.line, material=found.id))
    checked = checked_solvent(named)
    return record_in_house(bench, author, _subject(found.id), checked, based_on)


def take_solvent_off(bench: Bench, author: Author, name: str, because: str, based_on: str) -> Entry:
    """Strike a bottle from the shelf, with the reason; it stays in the journal."""
    return strike_in_house(
        bench, author, "solvent_item", _subject(solvent(name).id), because, based_on
    )


def shelf_for(
    reader: Reader, today: date, facts: Mapping[str, Any]
) -> tuple[list[ForObject], bool]:
    """Return the solvents that may be proposed for an object first, then those it locks.

    They are the shelf's, or those that the table calls ok while the shelf is empty; the second
    value says whether there is a shelf.
    """
    own = offered_solvents(reader, today)
    names = own or [one.id for one in solvents() if one.status == "ok"]
    found = []
    for name in names:
        stands = gate_of(facts, agent_payload_of(name))
        one = solvent(name)
        found.append(ForObject(one.id, one.name, bool(own), stands.forbidden, stands.warned))
    return sorted(found, key=lambda one: bool(one.forbidden)), bool(own)


def agent_payload_of(name: str) -> dict[str, Any]:
    """Return one solvent on a swab as computations take it."""
    from softmend.records.spot_test import Share

    return agent_payload([Share(name)])


def _subject(solvent_id: str) -> str:
    return f"{HOUSE_ID}:solvent:{solvent_id}"
