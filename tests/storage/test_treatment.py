"""Treat on every store: the rules refuse, nothing half is kept, and projections can be remade."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from softmend.errors import RuleError
from softmend.records.action import Action, Hidden
from softmend.records.entry import chain_findings
from softmend.records.fragment import Code, Fragment, PlaceEvidence, Stand
from softmend.records.kinds import record_in
from softmend.records.projection import projection_of
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.look_up import objects_carrying
from softmend.services.people import come_to_the_bench
from softmend.services.treat.batches import make_batch
from softmend.services.treat.day_log import log_action, log_of
from softmend.services.treat.fragments import change_fragment, ledger_of, number_fragment
from tests.report.treatment_sample import glue, treated

if TYPE_CHECKING:
    from softmend.services.store import Store
    from tests.report.treatment_sample import Treated


@pytest.fixture
def bench(store: Store) -> Bench:
    return Bench(store, zone="Europe/Oslo")


@pytest.fixture
def author(bench: Bench) -> Author:
    return Author(come_to_the_bench(bench, "Ida Invented").id, "treatment")


@pytest.fixture
def sample(bench: Bench, author: Author) -> Treated:
    return treated(bench, author)


def test_a_treatment_is_kept_whole_and_its_projections_can_be_made_again(
    bench: Bench, sample: Treated
) -> None:
    with bench.store.reading() as reader:
        journal = reader.entries(sample.dossier_id)
        kept = reader.projection(sample.dossier_id)
        balance = ledger_of(reader, sample.dossier_id).balance
        log = log_of(reader, sample.dossier_id)
    assert kept == projection_of(journal)
    assert list(chain_findings(sample.dossier_id, journal)) == []
    assert (balance.numbered, balance.bonded, balance.bagged, balance.missing) == (3, 1, 1, 1)
    assert [one.action.number for one in log] == [1, 2, 3, 4, 5]
    for search in ("resin joins", "L 7", "consolidation", "batch 1 adhesive"):
        found = objects_carrying(bench, search).objects
        assert [one.row.dossier_id for one in found] == [sample.dossier_id], search


def test_the_rules_of_treat_refuse_and_nothing_is_kept(
    bench: Bench, author: Author, sample: Treated
) -> None:
    dossier_id = sample.dossier_id
    with bench.store.reading() as reader:
        count = reader.head(dossier_id).count
        entry = log_of(reader, dossier_id)[0].entry
    done = Action(0, "dry_cleaning", bench_day(bench), not_in_plan_because="asked for")
    refused = {
        3: lambda: log_action(
            bench,
            author,
            dossier_id,
            done,
            subject_id=entry.subject_id,
            based_on=entry.id,
        ),
        9: lambda: make_batch(bench, author, dossier_id, replace(glue(), written="20 %")),
        10: lambda: log_action(bench, author, dossier_id, replace(done, hidden=Hidden.YES)),
    }
    for rule, attempt in refused.items():
        with pytest.raises(RuleError) as told:
            attempt()
        assert told.value.rule == rule
    with bench.store.reading() as reader:
        assert reader.head(dossier_id).count == count


def test_no_bonding_on_evidence_d_on_any_store(
    bench: Bench, author: Author, sample: Treated
) -> None:
    dossier_id = sample.dossier_id
    entry = number_fragment(bench, author, dossier_id, Fragment(0, "in the crack"))
    near = PlaceEvidence("J2", Code.D, "lay beside it", view_id=sample.view_id)
    second = come_to_the_bench(bench, "Bo Invented").id
    piece = replace(record_in(entry), stand=Stand.CANDIDATE, evidence=(near,))
    for change in ({}, {"stand": Stand.PLACED_DRY, "place": "J2"}):
        piece = replace(piece, **change)
        entry = change_fragment(bench, author, dossier_id, entry.subject_id, piece, entry.id)
    bonded = replace(piece, stand=Stand.BONDED, second_id=second)
    with pytest.raises(RuleError) as told:
        change_fragment(bench, author, dossier_id, entry.subject_id, bonded, entry.id)
    assert told.value.rule == 6
