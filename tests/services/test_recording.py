"""Recording: never over somebody else's newer entry, never lost, never silent."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.errors import ConflictError, InputError, NotFoundError, RuleError
from softmend.records.dossier import Dossier, Hazard, HazardStatus, ObjectHead, Size
from softmend.records.kinds import record_in
from softmend.services.bench import Author, Bench, new_id
from softmend.services.dossiers import (
    change_size,
    describe_object,
    dossier_list,
    open_dossier,
    opened,
    record_hazard,
)
from softmend.services.people import come_to_the_bench, erase_name, name_of, people_at_the_bench
from softmend.services.recording import restore, strike


def test_a_dossier_is_opened_with_three_facts_and_a_size(bench, author, dossier_id) -> None:
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
    assert (dossier.dossier.size, dossier.title, dossier.head.count) == (
        Size.SHORT,
        "antler beam",
        1,
    )


@pytest.mark.parametrize("missing", ["what", "number", "number_issued_by", "why_here"])
def test_a_fact_that_is_blank_is_refused(bench, author, missing: str) -> None:
    facts = {"what": "a", "number": "b", "number_issued_by": "c", "why_here": "d"} | {missing: " "}
    with pytest.raises(InputError, match="three facts"):
        open_dossier(bench, author, Dossier(**facts))
    assert dossier_list(bench) == ([], 0)


def test_two_people_on_one_subject_the_second_is_told_and_nothing_is_written(
    bench, author, dossier_id
) -> None:
    first = describe_object(bench, author, dossier_id, ObjectHead(title="antler"), based_on="")
    describe_object(bench, author, dossier_id, ObjectHead(title="beam"), based_on=first.id)
    with pytest.raises(ConflictError) as told:
        describe_object(bench, author, dossier_id, ObjectHead(title="horn"), based_on=first.id)
    assert told.value.yours["title"] == "horn"
    assert told.value.theirs["title"] == "beam"
    with bench.store.reading() as reader:
        assert reader.head(dossier_id).count == 3


def test_a_strike_needs_a_reason_and_keeps_the_journal(bench, author, dossier_id) -> None:
    entry = record_hazard(bench, author, dossier_id, Hazard("mould", HazardStatus.PRESENT))
    keys = {"dossier_id": dossier_id, "kind": "hazard", "subject_id": entry.subject_id}
    with pytest.raises(RuleError, match="without a reason"):
        strike(bench, author, **keys, because=" ", based_on=entry.id)
    strike(bench, author, **keys, because="typed on the wrong dossier", based_on=entry.id)
    with bench.store.reading() as reader:
        assert reader.current(dossier_id, "hazard") == []
        assert len(reader.history("hazard", entry.subject_id)) == 2


def test_undo_after_recording_is_a_further_entry_that_restores_the_earlier_state(
    bench, author, dossier_id
) -> None:
    first = describe_object(bench, author, dossier_id, ObjectHead(title="antler"), based_on="")
    second = describe_object(bench, author, dossier_id, ObjectHead(title="beam"), first.id)
    third = restore(bench, author, dossier_id=dossier_id, entry_id=first.id, based_on=second.id)
    assert record_in(third) == ObjectHead(title="antler")
    with bench.store.reading() as reader:
        titles = [record_in(e).title for e in reader.history("object_head", dossier_id)]
    assert titles == ["antler", "beam", "antler"]


def test_a_struck_record_comes_back_by_recording_it_again(bench, author, dossier_id) -> None:
    entry = record_hazard(bench, author, dossier_id, Hazard("mould", HazardStatus.PRESENT))
    struck = strike(
        bench,
        author,
        dossier_id=dossier_id,
        kind="hazard",
        subject_id=entry.subject_id,
        because="a mistake",
        based_on=entry.id,
    )
    restore(bench, author, dossier_id=dossier_id, entry_id=entry.id, based_on=struck.id)
    with bench.store.reading() as reader:
        assert len(reader.current(dossier_id, "hazard")) == 1


def test_nothing_is_recorded_in_a_dossier_that_does_not_exist(bench, author) -> None:
    with pytest.raises(NotFoundError):
        describe_object(bench, author, "no-such-dossier", ObjectHead(title="antler"), based_on="")


def test_a_dossier_grows_and_never_shrinks(bench, author, dossier_id) -> None:
    with bench.store.reading() as reader:
        first = opened(reader, dossier_id).dossier_entry_id
    grown = change_size(bench, author, dossier_id, Size.FULL, based_on=first)
    with pytest.raises(RuleError, match="size full cannot become note"):
        change_size(bench, author, dossier_id, Size.NOTE, based_on=grown.id)


def test_tested_clear_needs_its_method_and_its_limit(bench, author, dossier_id) -> None:
    with pytest.raises(RuleError, match="needs the method and its detection limit"):
        record_hazard(bench, author, dossier_id, Hazard("mould", HazardStatus.TESTED_CLEAR))


def test_the_always_asked_hazards_stand_as_not_tested_until_answered(
    bench, author, dossier_id
) -> None:
    record_hazard(bench, author, dossier_id, Hazard("mould", HazardStatus.PRESENT))
    with bench.store.reading() as reader:
        hazards = opened(reader, dossier_id).hazards
    assert [(h.hazard, h.status.value) for _, _, h in hazards] == [
        ("mould", "present"),
        ("pesticide residues", "not tested"),
        ("lead or asbestos in old fills", "not tested"),
        ("radioactivity", "not tested"),
    ]


def test_a_name_is_kept_once_and_can_be_erased(bench: Bench) -> None:
    first = come_to_the_bench(bench, "  Ann   Other ")
    assert come_to_the_bench(bench, "ann other") == first
    erase_name(bench, first.id)
    assert people_at_the_bench(bench) == []
    assert name_of(bench, first.id) == "name erased"
    assert come_to_the_bench(bench, "Ann Other").id != first.id


def test_an_author_must_be_named(bench, dossier_id) -> None:
    with pytest.raises(RuleError, match="Nothing is recorded without an author"):
        describe_object(bench, Author("", "check"), dossier_id, ObjectHead(title="x"), based_on="")


def test_ids_are_version_7_and_ordered_by_time() -> None:
    ids = [new_id() for _ in range(50)]
    assert len(set(ids)) == 50
    assert {one[14] for one in ids} == {"7"}
    assert [one[:8] for one in ids] == sorted(one[:8] for one in ids)
