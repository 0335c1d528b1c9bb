"""The rules of Return on the fake, SQLite and PostgreSQL alike: refused, and nothing written."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from softmend.errors import ConflictError, RuleError
from softmend.records.closing import Closing
from softmend.records.dossier import Dossier, Hazard, Size
from softmend.records.location import Location
from softmend.records.proposal import Coat, Coating, Proposal
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import open_dossier, opened, record_hazard
from softmend.services.examine.grades import answer_not_done
from softmend.services.hand_over.closing import (
    close_dossier,
    closing_state,
    is_closed,
    reopen_dossier,
)
from softmend.services.hand_over.custody import receipts_in, write_receipt
from softmend.services.hand_over.locations import move_thing, whereabouts_in
from softmend.services.people import come_to_the_bench
from softmend.services.recording import record_one, strike
from tests.services.hand_over_sample import PLACE, RECEIPT, give_away, hand_back

if TYPE_CHECKING:
    from softmend.services.store import Store

CLOSING = Closing("2026-03-02", "treated as planned", "A. Conservator", "")


@pytest.fixture
def bench(store: Store) -> Bench:
    return Bench(store, zone="Europe/Oslo")


@pytest.fixture
def author(bench: Bench) -> Author:
    return Author(come_to_the_bench(bench, "A. Conservator").id, "hand-over")


@pytest.fixture
def dossier_id(bench: Bench, author: Author) -> str:
    facts = Dossier("antler beam", "INV 12", "an invented house", "to be shown", Size.FULL, True)
    made = open_dossier(bench, author, facts)
    hand_back(bench, author, made)
    return made


def count(bench: Bench, dossier_id: str) -> int:
    with bench.store.reading() as reader:
        return reader.head(dossier_id).count


def answered(bench: Bench, author: Author, dossier_id: str) -> None:
    """Answer everything that closing asks for with "not done"."""
    with bench.store.reading() as reader:
        missing = closing_state(reader, dossier_id).missing
    for one in missing:
        answer_not_done(bench, author, dossier_id, one.item, "this is a test", "")


def test_coating_question_answered_before_closing_and_closing_needs_copies_and_deposit(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    answered(bench, author, dossier_id)
    before = count(bench, dossier_id)
    with pytest.raises(RuleError) as refused:
        close_dossier(bench, author, dossier_id, CLOSING, "")
    assert refused.value.rule == 11
    coating = Proposal(coating=Coating(Coat.NONE, ("it must itself be removed",)))
    record_one(bench, author, dossier_id=dossier_id, subject_id=dossier_id, record=coating,
               based_on="")  # fmt: skip
    for giver in ("the owner", "the conservator"):
        with pytest.raises(RuleError) as refused:
            close_dossier(bench, author, dossier_id, CLOSING, "")
        assert refused.value.rule == 19
        give_away(bench, author, dossier_id, giver)
    assert count(bench, dossier_id) == before + 3
    close_dossier(bench, author, dossier_id, CLOSING, "")
    with bench.store.reading() as reader:
        assert is_closed(reader, dossier_id)


def test_a_closed_dossier_takes_nothing_new_until_it_is_opened_again(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    answered(bench, author, dossier_id)
    record_one(bench, author, dossier_id=dossier_id, subject_id=dossier_id, based_on="",
               record=Proposal(coating=Coating(Coat.NONE, ("a reason",))))  # fmt: skip
    for giver in ("the owner", "the conservator"):
        give_away(bench, author, dossier_id, giver)
    closed = close_dossier(bench, author, dossier_id, CLOSING, "")
    before = count(bench, dossier_id)
    with bench.store.reading() as reader:
        head = opened(reader, dossier_id)
    for refused in (
        lambda: record_hazard(bench, author, dossier_id, Hazard("mould")),
        lambda: strike(bench, author, dossier_id=dossier_id, kind="object_head", because="wrong",
                       subject_id=dossier_id, based_on=head.object_entry_id),
        lambda: close_dossier(bench, author, dossier_id, CLOSING, closed.id),
    ):  # fmt: skip
        with pytest.raises(RuleError, match="closed since entry"):
            refused()
    assert count(bench, dossier_id) == before
    reopen_dossier(bench, author, dossier_id, "a new crack")
    with bench.store.reading() as reader:
        assert not is_closed(reader, dossier_id)
        assert closing_state(reader, dossier_id).closing_entry_id == closed.id


def test_a_signed_receipt_stays_as_it_was_signed(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    with bench.store.reading() as reader:
        (line,) = receipts_in(bench, reader, dossier_id)
    explained = replace(line.receipt, no_paper_because="signed on the crate's own form")
    write_receipt(bench, author, dossier_id, explained, subject_id=line.entry.subject_id,
                  based_on=line.entry.id)  # fmt: skip
    with pytest.raises(ConflictError):
        write_receipt(bench, author, dossier_id, explained, subject_id=line.entry.subject_id,
                      based_on=line.entry.id)  # fmt: skip
    second = write_receipt(bench, author, dossier_id, RECEIPT)
    with bench.store.reading() as reader:
        assert [one.receipt.number for one in receipts_in(bench, reader, dossier_id)] == [1, 2]
    assert second.subject_id != line.entry.subject_id


def test_an_earlier_place_is_never_lost(bench: Bench, author: Author, dossier_id: str) -> None:
    with bench.store.reading() as reader:
        (first,) = whereabouts_in(reader, dossier_id)
    away = Location("object", "Gallery two", "2026-03-02")
    move_thing(bench, author, dossier_id, away, first.entry_id)
    with bench.store.reading() as reader:
        (now,) = whereabouts_in(reader, dossier_id)
    assert (now.location.place, [one.place for one in now.earlier]) == ("Gallery two", [PLACE])
