"""The ledger kept: the balance at every save, incidents, bags, two pairs of eyes."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from softmend.errors import ConflictError, NotFoundError, RuleError
from softmend.records.fragment import Bag, Code, Fragment, PlaceEvidence, Stand, next_stands
from softmend.records.incident import Incident
from softmend.records.kinds import record_in
from softmend.services.bench import Author
from softmend.services.people import come_to_the_bench
from softmend.services.recording import strike
from softmend.services.treat.fragments import (
    change_fragment,
    fragment_in,
    incidents_of,
    ledger_of,
    move_bag,
    number_fragment,
    open_bag,
    open_incident,
)

FOUND = Fragment(0, "in the tray", "2026-03-02", mass_g=1.2)
BAG = Bag(0, "drawer 4", "no seat found at J1 to J7", "2026-03-02")


def ledger(bench, dossier_id):
    with bench.store.reading() as reader:
        return ledger_of(reader, dossier_id)


def step(bench, author, dossier_id, entry, **change):
    """Record a change of a fragment on its newest entry; return the newer one."""
    changed = replace(record_in(entry), **change)
    return change_fragment(bench, author, dossier_id, entry.subject_id, changed, entry.id)


def seated(view_id, code=Code.A) -> PlaceEvidence:
    return PlaceEvidence("J7", code, "no rocking, no light through the join", view_id=view_id)


def test_a_fragment_is_bonded_by_two_people_on_evidence(bench, author, dossier_id, view_id) -> None:
    entry = number_fragment(bench, author, dossier_id, FOUND)
    evidence = {"stand": Stand.CANDIDATE, "evidence": (seated(view_id),)}
    entry = step(bench, author, dossier_id, entry, **evidence)
    entry = step(bench, author, dossier_id, entry, stand=Stand.PLACED_DRY, place="J7")
    bonded = {"stand": Stand.BONDED, "second_id": author.person_id}
    with pytest.raises(RuleError, match="one pair of eyes"):
        step(bench, author, dossier_id, entry, **bonded)
    second = come_to_the_bench(bench, "B. Second").id
    step(bench, author, dossier_id, entry, **(bonded | {"second_id": second}))
    balance = ledger(bench, dossier_id).balance
    assert (balance.numbered, balance.bonded, balance.on_the_table) == (1, 1, 0)


def test_no_bonding_on_evidence_d(bench, author, dossier_id, view_id) -> None:
    entry = number_fragment(bench, author, dossier_id, FOUND)
    near = {"stand": Stand.CANDIDATE, "evidence": (seated(view_id, Code.D),)}
    entry = step(bench, author, dossier_id, entry, **near)
    entry = step(bench, author, dossier_id, entry, stand=Stand.PLACED_DRY, place="J7")
    second = come_to_the_bench(bench, "B. Second").id
    with pytest.raises(RuleError, match="evidence D") as told:
        step(bench, author, dossier_id, entry, stand=Stand.BONDED, second_id=second)
    assert told.value.rule == 6
    with bench.store.reading() as reader:
        assert fragment_in(reader, dossier_id, entry.subject_id)[1].stand is Stand.PLACED_DRY


def test_missing_opens_an_incident_and_found_again_closes_it(bench, author, dossier_id) -> None:
    entry = number_fragment(bench, author, dossier_id, FOUND)
    lost = {"stand": Stand.MISSING, "because": "tray, floor and bin searched"}
    entry = step(bench, author, dossier_id, entry, **lost)
    with bench.store.reading() as reader:
        ((_, incident),) = incidents_of(reader, dossier_id)
    assert (incident.number, incident.is_open) == (1, True)
    assert incident.what_observed == "fragment 1 is missing"
    found = {"stand": Stand.NUMBERED, "because": "under the balance"}
    step(bench, author, dossier_id, entry, **found)
    with bench.store.reading() as reader:
        ((_, incident),) = incidents_of(reader, dossier_id)
    assert incident.closed_how == "found again: under the balance"


def test_a_bag_is_tracked_and_tells_what_lies_in_it(bench, author, dossier_id) -> None:
    bag = open_bag(bench, author, dossier_id, BAG)
    entry = number_fragment(bench, author, dossier_id, FOUND)
    entry = step(bench, author, dossier_id, entry, stand=Stand.UNPLACED)
    with pytest.raises(NotFoundError):
        step(bench, author, dossier_id, entry, stand=Stand.BAGGED, bag_id="no")
    step(bench, author, dossier_id, entry, stand=Stand.BAGGED, bag_id=bag.subject_id)
    moved = replace(BAG, kept_where="with the object's file")
    move_bag(bench, author, dossier_id, bag.subject_id, moved, bag.id)
    found = ledger(bench, dossier_id)
    assert [one.number for one in found.in_bag(bag.subject_id)] == [1]
    assert found.bags[0][1] == replace(moved, number=1)


def test_a_struck_fragment_is_still_accounted_for(bench, author, dossier_id) -> None:
    entry = number_fragment(bench, author, dossier_id, FOUND)
    number_fragment(bench, author, dossier_id, FOUND)
    strike(
        bench,
        author,
        dossier_id=dossier_id,
        kind="fragment",
        subject_id=entry.subject_id,
        because="a crumb of plaster",
        based_on=entry.id,
    )
    number_fragment(bench, author, dossier_id, FOUND)
    balance = ledger(bench, dossier_id).balance
    assert (balance.numbered, balance.on_the_table, balance.struck) == (3, 2, 1)


def test_two_tabs_on_one_fragment(bench, author, dossier_id) -> None:
    entry = number_fragment(bench, author, dossier_id, FOUND)
    step(bench, author, dossier_id, entry, stand=Stand.UNPLACED)
    with pytest.raises(ConflictError):
        step(bench, author, dossier_id, entry, stand=Stand.MISSING)


def test_an_incident_says_what_happened(bench, author, dossier_id) -> None:
    fell = Incident(0, "the clamp slipped and marked the edge", "2026-03-02")
    assert record_in(open_incident(bench, author, dossier_id, fell)).number == 1


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=20, deadline=None
)
@given(st.data())
def test_fragment_balance_holds_at_every_save(bench, author, dossier_id, view_id, data) -> None:
    second = come_to_the_bench(bench, "B. Second")
    bag = open_bag(bench, author, dossier_id, BAG)
    whole = {
        "evidence": (seated(view_id),),
        "place": "J7",
        "second_id": second.id,
        "bag_id": bag.subject_id,
        "kept_where": "an invented laboratory",
        "because": "as drawn",
    }
    entries = []
    for _ in range(data.draw(st.integers(1, 12))):
        if not entries or data.draw(st.booleans()):
            entries.append(number_fragment(bench, author, dossier_id, FOUND))
        else:
            at = data.draw(st.integers(0, len(entries) - 1))
            ways = next_stands(record_in(entries[at]))
            if ways:
                stand = data.draw(st.sampled_from(ways))
                change = {**whole, "stand": stand}
                entries[at] = step(bench, author, dossier_id, entries[at], **change)
        balance = ledger(bench, dossier_id).balance
        assert balance.numbered == balance.accounted
        assert balance.missing == sum(one.is_open for one in _incidents(bench, dossier_id))


def _incidents(bench, dossier_id) -> list[Incident]:
    with bench.store.reading() as reader:
        return [incident for _, incident in incidents_of(reader, dossier_id)]


def test_a_fragment_of_another_dossier_is_not_found(bench, author: Author, dossier_id) -> None:
    entry = number_fragment(bench, author, dossier_id, FOUND)
    with bench.store.reading() as reader, pytest.raises(NotFoundError):
        fragment_in(reader, "another", entry.subject_id)
