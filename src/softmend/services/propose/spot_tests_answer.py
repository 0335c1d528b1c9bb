"""What the spot tests say: what the coating behaves like, and the next swab; and keeping both."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from softmend.records.entry import Entry
from softmend.records.spot_test import GoOn, OnObject, SpotTest
from softmend.records.spot_test_rules import prompts
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.legal_flags import today_at
from softmend.services.propose.removing_gate import agent_payload, listed_solvent, object_facts
from softmend.services.propose.solvent_shelf import ForObject, agent_payload_of, shelf_for
from softmend.services.propose.spot_tests import decisions_in, spot_tests_in
from softmend.services.propose.spot_tests_words import agent_said
from softmend.services.recording import current_record, current_records
from softmend.services.runs import record_run, run_subject, stale_because
from softmend.services.store import Reader

SPOT, NEXT = "solvency.spot", "solvency.next_swab"


@dataclass(frozen=True)
class SpotAnswers:
    """What the tests say as they stand: each answer whole, and what is owed beside it.

    `left_out` names tests that no computation knows: a dry swab, a tool, a liquid not in the table.
    """

    spot: Outcome
    next_swab: Outcome
    prompts: tuple[str, ...]
    left_out: tuple[str, ...]
    agents: tuple[ForObject, ...]
    has_shelf: bool
    entry_ids: tuple[str, ...]

    @property
    def best_class(self) -> str:
        """Return the class that the newest layer behaves like most, or ""."""
        classes = self.spot["layers"][-1]["classes"] if self.spot["layers"] else ()
        return classes[0]["behaves_like"] if classes else ""


def spot_answers(reader: Reader, dossier_id: str, today: date) -> SpotAnswers:
    """Return what the coating behaves like and the next swab, from the tests as they stand."""
    payload, left_out, agents, has_shelf = spot_payload(reader, dossier_id, today)
    tests = [one for _, one in spot_tests_in(reader, dossier_id)]
    return SpotAnswers(
        spot=outcome(SPOT, payload),
        next_swab=outcome(NEXT, payload | _go_on(reader, dossier_id)),
        prompts=prompts(tests, agent_said),
        left_out=tuple(left_out),
        agents=tuple(agents),
        has_shelf=has_shelf,
        entry_ids=tuple(entry.id for entry, _ in spot_tests_in(reader, dossier_id)),
    )


def spot_payload(
    reader: Reader, dossier_id: str, today: date
) -> tuple[dict[str, Any], list[str], list[ForObject], bool]:
    """Return what the dossier supplies to the computations, and what it cannot."""
    facts = object_facts(reader, dossier_id)
    agents, has_shelf = shelf_for(reader, today, facts)
    found, left_out = [], []
    for _, test in spot_tests_in(reader, dossier_id):
        if test.judges_coating and all(listed_solvent(one.solvent) for one in test.shares):
            found.append(reading_payload(test))
        elif test.judges_coating:
            left_out.append(f"test {test.number}, {test.agent}: a liquid that the table lacks")
    payload = {
        "tests": found,
        "agents": [agent_payload_of(one.solvent_id) for one in agents],
        "object": facts,
    }
    return payload, left_out, agents, has_shelf


def reading_payload(test: SpotTest) -> dict[str, Any]:
    """Return one test as the computations take it."""
    agent = agent_payload(test.shares, test.carrier, test.carrier_name, test.carrier_shares)
    return {
        **agent,
        "coating": test.coating_observed.value,
        "object_effect": test.object_observed.value,
        "dwell_s": test.dwell_s,
        "layer": test.layer,
        "patch": f"{test.grid_number}/{test.patch}",
    }


def keep_spot(bench: Bench, author: Author, dossier_id: str) -> Entry:
    """Keep what the tests say as a run, for the proposal and its Workings."""
    with bench.store.reading() as reader:
        payload, *_ = spot_payload(reader, dossier_id, today_at(bench))
        read = tuple(entry.id for entry, _ in spot_tests_in(reader, dossier_id))
        advice = payload | _go_on(reader, dossier_id)
    tables = ("coating_classes", "solvents", "solvent_hansen", "substrate_harm", "swab_order")
    record_run(
        bench, author, dossier_id, computation=NEXT, inputs=advice,
        outputs=outcome(NEXT, advice), read_entry_ids=read, tables=tables,
    )  # fmt: skip
    return record_run(
        bench, author, dossier_id, computation=SPOT, inputs=payload,
        outputs=outcome(SPOT, payload), read_entry_ids=read, tables=tables,
    )  # fmt: skip


def kept_run(
    reader: Reader, dossier_id: str, computation: str, about: str = ""
) -> tuple[Entry, Any, str] | None:
    """Return the kept run of a computation with why it is stale, or None."""
    wanted = run_subject(dossier_id, computation, about)
    standing = reader.latest("run", wanted)
    if standing is None or standing.kind != "run" or standing.payload is None:
        return None
    entry, run = current_record(reader, dossier_id, "run", wanted)
    stale = stale_because(reader, run)
    return entry, run, stale or _newer_tests(reader, dossier_id, entry, computation)


def _newer_tests(reader: Reader, dossier_id: str, entry: Entry, computation: str) -> str:
    """Return that tests were recorded after a run about them was kept, or ""."""
    if not computation.startswith("solvency."):
        return ""
    newer = [
        test.number
        for one, test in current_records(reader, dossier_id, "spot_test")
        if one.number > entry.number
    ]
    return f"stale, because test {newer[-1]} was recorded after it" if newer else ""


def _go_on(reader: Reader, dossier_id: str) -> dict[str, Any]:
    """Return the decision to go on, when every effect on the object has one."""
    touched = [
        test
        for _, test in spot_tests_in(reader, dossier_id)
        if test.object_observed is not OnObject.NONE
    ]
    decided = {one.test_number: one for one in decisions_in(reader, dossier_id)}
    standing = [decided.get(test.number) for test in touched]
    if not touched or not all(one and one.decision is GoOn.GO_ON for one in standing):
        return {}
    last = decided[touched[-1].number]
    return {"go_on": {"by": last.decided_by, "because": last.because}}
