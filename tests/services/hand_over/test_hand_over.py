"""The stage Return: who is told what, what closing asks for, and opening again."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.closing import Closing
from softmend.records.dossier import Dossier, Size
from softmend.records.fragment import Bag
from softmend.records.location import Location
from softmend.records.proposal import Coat, Coating, Proposal
from softmend.report.content import Audience
from softmend.report.one_page import Page
from softmend.services.deposit.plain_copy import dossier_json
from softmend.services.dossiers import describe_object, open_dossier, opened
from softmend.services.examine.grades import answer_not_done
from softmend.services.hand_over.closing import (
    close_dossier,
    closing_state,
    is_closed,
    pass_at_closing,
    reopen_dossier,
)
from softmend.services.hand_over.custody import receipts_in, write_receipt
from softmend.services.hand_over.locations import move_thing, whereabouts_in
from softmend.services.hand_over.outputs import PAGES, handed_over, page_as_text, page_for
from softmend.services.numbered import record_numbered
from softmend.services.recording import current_records, record_one
from tests.services.hand_over_sample import (
    CRATE,
    PLACE,
    RECEIPT,
    USUAL,
    give_away,
    hand_back,
    work,
)

if TYPE_CHECKING:
    from softmend.services.bench import Author, Bench

CLOSING = Closing("2026-03-02", "treated as planned", "A. Conservator", "")
FOR_THE_REGISTRAR = (PLACE, USUAL, CRATE, "3217", "drawer eleven", "shelf in bag room", "M. Mover")


def tells(said: str, secret: str) -> bool:
    """Say whether a text tells a secret as a word of its own, not as digits inside an id."""
    return re.search(rf"(?<![\w-]){re.escape(secret)}(?![\w-])", said) is not None


def everything(bench: Bench, author: Author, dossier_id: str, view_id: str) -> None:
    hand_back(bench, author, dossier_id)
    work(bench, author, dossier_id, view_id)
    bag = Bag(0, "shelf in bag room", "no seat found", "2026-03-01")
    record_numbered(bench, author, dossier_id, bag)


@pytest.mark.parametrize("page", list(Page))
def test_only_the_registrars_page_tells_place_mass_and_movement(
    bench: Bench, author: Author, dossier_id: str, view_id: str, page: Page
) -> None:
    everything(bench, author, dossier_id, view_id)
    said = page_as_text(page_for(bench, dossier_id, page))
    told = {secret for secret in FOR_THE_REGISTRAR if tells(said, secret)}
    if page is Page.REGISTRAR:
        assert told == set(FOR_THE_REGISTRAR) - {CRATE}
    else:
        assert told == set()


def test_the_bench_copy_of_the_data_has_no_places_receipts_or_moves(
    bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    everything(bench, author, dossier_id, view_id)
    with bench.store.reading() as reader:
        copy = dossier_json(reader, dossier_id)
        whole = dossier_json(reader, dossier_id, for_registrar=True)
    assert [secret for secret in FOR_THE_REGISTRAR if tells(copy, secret)] == []
    assert all(tells(whole, secret) for secret in FOR_THE_REGISTRAR)
    assert {"custody", "location", "*.kept_where"} <= set(json.loads(copy)["withheld"])


@pytest.mark.parametrize("page", list(Page))
def test_hazards_come_first_on_every_page(
    bench: Bench, author: Author, dossier_id: str, page: Page
) -> None:
    hand_back(bench, author, dossier_id)
    made = page_for(bench, dossier_id, page)
    assert made.sections[0].key == "hazards"
    assert made.title == PAGES[page][0]


def test_the_next_conservator_reads_how_each_material_of_the_log_is_undone(
    bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    everything(bench, author, dossier_id, view_id)
    said = page_as_text(page_for(bench, dossier_id, Page.NEXT_CONSERVATOR))
    assert "batch 1" in said
    assert "0.420 ± 0.021 g" in said
    assert "swells in lukewarm water in five minutes, tested on shed antler" in said
    assert "brown resin" in said
    assert "kept" in said


def test_a_mark_touched_in_the_log_is_told_to_the_curator_and_the_next_conservator(
    bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    work(bench, author, dossier_id, view_id)
    with bench.store.reading() as reader:
        ((entry, first),) = current_records(reader, dossier_id, "action")
        ((mark, _crack),) = current_records(reader, dossier_id, "mark")
    at_the_mark = replace(first, place="not known", mark_ids=(mark.subject_id,))
    record_numbered(
        bench, author, dossier_id, at_the_mark,
        subject_id=entry.subject_id, based_on=entry.id,
    )  # fmt: skip
    with bench.store.reading() as reader:
        told = handed_over(bench, reader, dossier_id)
    assert told.work == ("filling (mark 1 crack)",)
    assert [row.where for row in told.materials if row.batch] == ["mark 1 crack"]
    assert "Filling (mark 1 crack)." in page_as_text(page_for(bench, dossier_id, Page.CURATOR))


def test_without_a_removal_route_the_page_says_that_nobody_knows(
    bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    batch_id = work(bench, author, dossier_id, view_id)
    with bench.store.reading() as reader:
        entry = reader.latest("batch", batch_id)
        batch = handed_over(bench, reader, dossier_id).materials[0]
    assert batch.undone_how.startswith("swells")
    assert entry is not None
    from softmend.records.kinds import record_in

    record_numbered(
        bench, author, dossier_id, replace(record_in(entry), removal_route="not known"),
        subject_id=batch_id, based_on=entry.id,
    )  # fmt: skip
    with bench.store.reading() as reader:
        (row,) = handed_over(bench, reader, dossier_id, Audience.BENCH).materials
    assert row.undone_how == "unknown: nobody recorded how it comes off"


def test_places_keep_their_history(bench: Bench, author: Author, dossier_id: str) -> None:
    hand_back(bench, author, dossier_id)
    with bench.store.reading() as reader:
        (before,) = whereabouts_in(reader, dossier_id)
    moved = Location("object", "Gallery two", "2026-03-02", "M. Mover", "display")
    move_thing(bench, author, dossier_id, moved, before.entry_id)
    with bench.store.reading() as reader:
        (after,) = whereabouts_in(reader, dossier_id)
    assert after.location.place == "Gallery two"
    assert [one.place for one in after.earlier] == [PLACE]
    with pytest.raises(InputError, match="no such thing"):
        move_thing(bench, author, dossier_id, replace(moved, thing="bag 9"), "")


def test_a_receipt_names_only_papers_that_are_there(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    with pytest.raises(InputError, match="no paper of that number"):
        write_receipt(bench, author, dossier_id, replace(RECEIPT, paper_number=3))
    write_receipt(bench, author, dossier_id, RECEIPT)
    with bench.store.reading() as reader:
        (line,) = receipts_in(bench, reader, dossier_id)
    assert (line.receipt.number, line.is_overdue) == (1, False)


def answer_everything(bench: Bench, author: Author, dossier_id: str) -> None:
    with bench.store.reading() as reader:
        missing = closing_state(reader, dossier_id).missing
    for one in missing:
        answer_not_done(bench, author, dossier_id, one.item, "this is a test", "")


def answer_the_coating(bench: Bench, author: Author, dossier_id: str) -> None:
    coating = Coating(Coat.NONE, ("it must itself be removed one day",))
    record_one(
        bench, author, dossier_id=dossier_id, subject_id=dossier_id,
        record=Proposal(coating=coating), based_on="",
    )  # fmt: skip


def test_a_dossier_closes_once_everything_is_there_answered_or_passed(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    hand_back(bench, author, dossier_id)
    with pytest.raises(RuleError, match="things are missing"):
        close_dossier(bench, author, dossier_id, CLOSING, "")
    answer_everything(bench, author, dossier_id)
    with pytest.raises(RuleError, match="coating question") as refused:
        close_dossier(bench, author, dossier_id, CLOSING, "")
    assert refused.value.rule == 11
    answer_the_coating(bench, author, dossier_id)
    with pytest.raises(RuleError, match="Two copies in two hands") as refused:
        close_dossier(bench, author, dossier_id, CLOSING, "")
    assert refused.value.rule == 19
    give_away(bench, author, dossier_id, "the owner")
    give_away(bench, author, dossier_id, "the conservator")
    close_dossier(bench, author, dossier_id, CLOSING, "")
    with bench.store.reading() as reader:
        state = closing_state(reader, dossier_id)
    assert state.closed is not None
    assert state.closed.next_check_on == "2126-03-01"
    assert state.closed.copies_with == ("the owner", "the conservator")
    assert state.closed.deposit_hash == "d" * 64


def closed(bench: Bench, author: Author, dossier_id: str) -> None:
    hand_back(bench, author, dossier_id)
    answer_everything(bench, author, dossier_id)
    pass_both(bench, author, dossier_id)
    close_dossier(bench, author, dossier_id, CLOSING, "")


def pass_both(bench: Bench, author: Author, dossier_id: str) -> None:
    for rule in (11, 19):
        pass_at_closing(bench, author, dossier_id, rule, "the house closes down", "H. Head")


def test_a_closed_dossier_is_opened_again_by_a_further_entry(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    closed(bench, author, dossier_id)
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        assert is_closed(reader, dossier_id)
    head = replace(dossier.object_head, title="other")
    with pytest.raises(RuleError, match="closed since entry"):
        describe_object(bench, author, dossier_id, head, dossier.object_entry_id)
    reopen_dossier(bench, author, dossier_id, "a new crack was seen")
    describe_object(bench, author, dossier_id, head, dossier.object_entry_id)
    with bench.store.reading() as reader:
        state = closing_state(reader, dossier_id)
        kinds = [entry.kind for entry in reader.entries(dossier_id)]
    assert state.closed is None
    assert [one.because for one in state.reopened] == ["a new crack was seen"]
    assert kinds.count("closing") == 1
    with pytest.raises(RuleError, match="This dossier is open"):
        reopen_dossier(bench, author, dossier_id, "once more")
    # What was passed for the first closing is asked for again, by name.
    assert {one.rule for one in state.findings} == {11, 19}
    assert state.passed == ()
    with pytest.raises(RuleError, match="a named person passes the rule"):
        close_dossier(bench, author, dossier_id, CLOSING, state.closing_entry_id)
    pass_both(bench, author, dossier_id)
    close_dossier(bench, author, dossier_id, CLOSING, state.closing_entry_id)
    with bench.store.reading() as reader:
        assert is_closed(reader, dossier_id)


def test_a_note_asks_for_little_and_never_for_a_coating_when_nothing_was_done(
    bench: Bench, author: Author
) -> None:
    note = open_dossier(bench, author, Dossier("box", "B 1", "a house", "look", Size.NOTE))
    full = open_dossier(bench, author, Dossier("box", "B 2", "a house", "look", Size.FULL))
    with bench.store.reading() as reader:
        small, large = closing_state(reader, note), closing_state(reader, full)
    assert {one.item for one in small.asked} < {one.item for one in large.asked}
    assert 11 not in {finding.rule for finding in small.findings}
    assert 11 in {finding.rule for finding in large.findings}
