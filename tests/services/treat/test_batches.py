"""Batches: masses from the solution calculator, numbered once, corrected in the open."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.batch import Batch, BatchKind, Ingredient
from softmend.records.kinds import record_in
from softmend.services.treat.batches import batches_in, correct_batch, make_batch, solution

TODAY = "2026-03-02"
WEIGHED = Batch(0, BatchKind.PULP, "bulked wax", TODAY, (Ingredient("wax", 4.0),))
# practice.md 2.5, first table: 20 % read as g in 100 mL of solution is 23.6 % w/w (recalled).
MIXTURE = {
    "written_percent": 20.0,
    "basis": "w/v of solution",
    "solute": "resin",
    "solvent": "acetone",
    "solute_density_g_per_ml": 1.15,
    "solvent_density_g_per_ml": 0.785,
    "amount": {"solution_volume_ml": 100.0},
}


def test_a_percentage_becomes_masses(bench, author, dossier_id) -> None:
    asked = Batch(
        0,
        BatchKind.ADHESIVE,
        "resin for joins",
        TODAY,
        (Ingredient("resin", None, "an invented supplier", "L 7"),),
        mixture=MIXTURE,
    )
    batch = record_in(make_batch(bench, author, dossier_id, asked))
    resin, acetone = batch.ingredients
    assert (resin.name, resin.lot, acetone.name) == ("resin", "L 7", "acetone")
    assert resin.mass_g == pytest.approx(20.0, abs=0.1)
    share = 100 * resin.mass_g / (resin.mass_g + acetone.mass_g)
    assert share == pytest.approx(23.6, abs=0.2)
    assert batch.written == "20 % w/v of solution resin in acetone"
    assert "20.0 g of resin" in batch.instruction


def test_a_percentage_without_basis_is_refused(bench, author, dossier_id) -> None:
    bare = {name: value for name, value in MIXTURE.items() if name != "basis"}
    with pytest.raises(InputError, match="a bare percentage is refused"):
        solution(bare)
    with pytest.raises(RuleError) as told:
        make_batch(bench, author, dossier_id, replace(WEIGHED, written="5 % in white spirit"))
    assert told.value.rule == 9


def test_a_calculation_without_an_amount_gives_no_batch(bench, author, dossier_id) -> None:
    without = {name: value for name, value in MIXTURE.items() if name != "amount"}
    with pytest.raises(InputError, match="was not told how much is wanted"):
        make_batch(bench, author, dossier_id, replace(WEIGHED, mixture=without))


def test_a_batch_keeps_its_number_when_it_is_corrected(bench, author, dossier_id) -> None:
    make_batch(bench, author, dossier_id, WEIGHED)
    second = make_batch(bench, author, dossier_id, WEIGHED)
    right = replace(WEIGHED, ingredients=(Ingredient("wax", 5.0),))
    correct_batch(bench, author, dossier_id, second.subject_id, right, second.id)
    with bench.store.reading() as reader:
        held = batches_in(reader, dossier_id)
    assert [batch.number for batch in held.values()] == [1, 2]
    assert held[second.subject_id].ingredients == (Ingredient("wax", 5.0),)


def test_a_batch_of_tomorrow_is_refused(bench, author, dossier_id) -> None:
    with pytest.raises(InputError, match="has not come yet"):
        make_batch(bench, author, dossier_id, replace(WEIGHED, made_on="2026-03-03"))
