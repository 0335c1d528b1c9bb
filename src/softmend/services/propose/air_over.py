"""The air over the work: what the house said of room and work, reckoned, and kept for the print."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from softmend.records.air_question import (
    AirQuestion,
    checked_air,
    numbers_missing,
    unasked_before_swab,
)
from softmend.records.entry import Entry
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.propose.removing_gate import (
    agent_payload,
    gate_of,
    object_facts,
    residues_are_asked,
    residues_of,
    shares_payload,
)
from softmend.services.propose.spot_tests import air_in
from softmend.services.recording import record_one
from softmend.services.runs import record_run
from softmend.services.store import Reader
from softmend.tables.exposure_limits import limit_lists

AIR = "exposure.air"
_NUMBERS = ("used_ml_per_h", "work_minutes", "room_volume_m3", "air_changes_per_h",
            "air_flow_m3_per_h", "captured_percent", "head_distance_mm")  # fmt: skip


@dataclass(frozen=True)
class AirShown:
    """The question as it stands, what it lacks, and the answer or None."""

    entry_id: str
    air: AirQuestion
    missing: tuple[str, ...]
    unasked: tuple[str, ...]
    residues: str
    answer: Outcome | None
    forbidden: tuple[str, ...]


def lists_of_limits() -> list[str]:
    """Return the names of the lists of limits that the house can reckon with."""
    return limit_lists()


def air_shown(reader: Reader, dossier_id: str) -> AirShown:
    """Return the air over the work as it stands."""
    entry_id, said = air_in(reader, dossier_id)
    air = said or AirQuestion()
    missing = numbers_missing(air)
    forbidden: tuple[str, ...] = ()
    if air.shares:
        facts = object_facts(reader, dossier_id)
        forbidden = gate_of(facts, agent_payload(air.shares)).forbidden
    return AirShown(
        entry_id=entry_id,
        air=air,
        missing=missing,
        unasked=unasked_before_swab(said, residues_are_asked(reader, dossier_id)),
        residues=residues_of(reader, dossier_id),
        answer=None if missing else outcome(AIR, air_payload(reader, dossier_id, air)),
        forbidden=forbidden,
    )


def air_payload(reader: Reader, dossier_id: str, air: AirQuestion) -> dict[str, Any]:
    """Return what the dossier supplies to the computation; a typed number is told as typed."""
    numbers = {
        name: {"value": getattr(air, name), "kind": "estimated", "origin": "typed at this bench"}
        for name in _NUMBERS
        if getattr(air, name) is not None
    }
    return {
        "parts": shares_payload(air.shares),
        **numbers,
        "stays_minutes": air.stays_minutes,
        "limit_list": air.limit_list,
        "pesticide_residues": residues_of(reader, dossier_id),
    }


def write_air(
    bench: Bench, author: Author, dossier_id: str, air: AirQuestion, based_on: str
) -> Entry:
    """Record the question about the air, and keep what is reckoned from it once it is whole."""
    checked = checked_air(air)
    entry = record_one(
        bench, author, dossier_id=dossier_id, subject_id=dossier_id, record=checked,
        based_on=based_on,
    )  # fmt: skip
    if not numbers_missing(checked):
        with bench.store.reading() as reader:
            payload = air_payload(reader, dossier_id, checked)
        record_run(
            bench, author, dossier_id, computation=AIR, inputs=payload,
            outputs=outcome(AIR, payload), read_entry_ids=(entry.id,),
            tables=("solvents", "exposure_limits"),
        )  # fmt: skip
    return entry
