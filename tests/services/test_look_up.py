"""Which objects carry it: by material, batch and method, across dossiers."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.records.action import Action
from softmend.records.batch import Batch, BatchKind, Ingredient
from softmend.records.dossier import Dossier
from softmend.records.material import Moved, Stays
from softmend.records.projection import projection_of
from softmend.services.dossiers import dossier_list, open_dossier
from softmend.services.look_up import objects_carrying
from softmend.services.recording import strike
from softmend.services.treat.batches import make_batch
from softmend.services.treat.day_log import log_action

TODAY = "2026-03-02"
RESIN = Batch(
    0,
    BatchKind.ADHESIVE,
    "acrylic for joins",
    TODAY,
    (Ingredient("acrylic resin", 20.0, "an invented supplier", "LOT-77/3"),),
)
BONDED = Action(0, "solvent_cleaning", TODAY, not_in_plan_because="no plan", wet_because="asked")


@pytest.fixture
def carrier(bench, author, dossier_id) -> tuple[str, str]:
    """Return a dossier that carries a batch, and the batch."""
    batch = make_batch(bench, author, dossier_id, RESIN)
    moved = Moved("acrylic resin", batch_id=batch.subject_id, mass_g=1.5, stays=Stays.ALL)
    log_action(bench, author, dossier_id, replace(BONDED, moved=(moved,)))
    other = open_dossier(bench, author, Dossier("casket", "INV 13", "an invented house", "x"))
    made = replace(RESIN, ingredients=(Ingredient("wax", 2.0, lot="LOT-78"),), name="wax")
    make_batch(bench, author, other, made)
    return dossier_id, other


@pytest.mark.parametrize(
    "search", ["acrylic", "LOT-77/3", "lot-77", "adhesive resin", "batch 1 acryl", "resin supplier"]
)
def test_objects_are_found_by_material_maker_lot_and_batch(bench, carrier, search) -> None:
    found = objects_carrying(bench, search)
    assert [one.row.dossier_id for one in found.objects] == [carrier[0]]
    (one,) = found.objects
    assert [total.put_on_g.value for total in one.totals] == [1.5]
    assert not one.is_made_only


def test_objects_are_found_by_method(bench, carrier) -> None:
    assert [one.row.number for one in objects_carrying(bench, "solvent clean").objects] == [
        "INV 12"
    ]


def test_a_batch_that_was_made_and_never_used_says_so(bench, carrier) -> None:
    (one,) = objects_carrying(bench, "wax").objects
    assert (one.row.dossier_id, one.is_made_only) == (carrier[1], True)


@pytest.mark.parametrize("search", ["", "epoxy", "acrylic wax"])
def test_what_nothing_carries_finds_nothing(bench, carrier, search) -> None:
    assert objects_carrying(bench, search).objects == ()


def test_the_list_of_dossiers_is_not_searched_by_what_they_carry(bench, carrier) -> None:
    assert dossier_list(bench, "acrylic")[1] == 0
    assert dossier_list(bench, "antler")[1] == 1


def test_pages_follow_each_other(bench, carrier) -> None:
    first = objects_carrying(bench, "lot", limit=1)
    second = objects_carrying(bench, "lot", offset=first.next_offset, limit=1)
    assert (len(first.objects), len(second.objects), second.next_offset) == (1, 1, 0)
    assert first.objects[0].row != second.objects[0].row


def test_a_struck_batch_is_found_no_more_and_the_words_are_those_of_a_rebuild(
    bench, author, dossier_id
) -> None:
    batch = make_batch(bench, author, dossier_id, RESIN)
    assert objects_carrying(bench, "acrylic").objects
    strike(
        bench,
        author,
        dossier_id=dossier_id,
        kind="batch",
        subject_id=batch.subject_id,
        because="made for another object",
        based_on=batch.id,
    )
    assert objects_carrying(bench, "acrylic").objects == ()
    with bench.store.reading() as reader:
        assert reader.projection(dossier_id) == projection_of(reader.entries(dossier_id))
