"""Marks: one number for ever, joined across views, drafts outside the journal."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import ConflictError, InputError, NotFoundError, RuleError
from softmend.records.kinds import record_in
from softmend.records.mark import DepthStation, Geometry, KnownHow, Role, Shape, Sighting, State
from softmend.services.drafts import draft_content, drafts_in, drop_draft, save_draft
from softmend.services.examine.marks import join_marks, marks_in, marks_on_view, record_mark
from softmend.services.recording import strike
from tests.services.conftest import crack


def numbers(bench, dossier_id) -> list[int]:
    with bench.store.reading() as reader:
        return [mark.number for _, mark in marks_in(reader, dossier_id)]


def test_a_mark_keeps_its_number_for_ever_and_a_struck_number_is_never_used_again(
    bench, author, dossier_id, view_id
) -> None:
    first = record_mark(bench, author, dossier_id, crack(view_id))
    second = record_mark(bench, author, dossier_id, crack(view_id))
    strike(
        bench,
        author,
        dossier_id=dossier_id,
        kind="mark",
        subject_id=second.subject_id,
        because="drawn on a scratch of the lens",
        based_on=second.id,
    )
    record_mark(bench, author, dossier_id, crack(view_id))
    changed = replace(crack(view_id), state=State.BREATHES)
    record_mark(bench, author, dossier_id, changed, subject_id=first.subject_id, based_on=first.id)
    assert numbers(bench, dossier_id) == [1, 3]


def test_two_tabs_on_one_mark_the_second_is_told_and_shown_both(
    bench, author, dossier_id, view_id
) -> None:
    entry = record_mark(bench, author, dossier_id, crack(view_id))
    key = {"subject_id": entry.subject_id, "based_on": entry.id}
    record_mark(bench, author, dossier_id, replace(crack(view_id), place="12 cm"), **key)
    with pytest.raises(ConflictError) as told:
        record_mark(bench, author, dossier_id, replace(crack(view_id), place="14 cm"), **key)
    assert (told.value.yours["place"], told.value.theirs["place"]) == ("14 cm", "12 cm")
    with bench.store.reading() as reader:
        assert record_in(reader.latest("mark", entry.subject_id)).place == "12 cm"


def test_the_same_crack_continues_here_joins_two_marks_under_the_kept_number(
    bench, author, dossier_id, view_id
) -> None:
    kept = record_mark(bench, author, dossier_id, crack(view_id))
    other = record_mark(bench, author, dossier_id, crack(view_id, (300.0, 50.0), (400.0, 60.0)))
    joined = join_marks(
        bench,
        author,
        dossier_id,
        kept_id=kept.subject_id,
        kept_based_on=kept.id,
        joined_id=other.subject_id,
        joined_based_on=other.id,
        role=Role.CONTINUES,
        overlap_fraction=0.25,
    )
    sightings = record_in(joined).sightings
    assert [(seen.role, seen.overlap_fraction) for seen in sightings] == [
        (Role.FIRST, 0.0),
        (Role.CONTINUES, 0.25),
    ]
    assert numbers(bench, dossier_id) == [1]


def test_a_join_on_an_older_entry_writes_nothing_at_all(bench, author, dossier_id, view_id) -> None:
    kept = record_mark(bench, author, dossier_id, crack(view_id))
    other = record_mark(bench, author, dossier_id, crack(view_id))
    with pytest.raises(ConflictError):
        join_marks(
            bench,
            author,
            dossier_id,
            kept_id=kept.subject_id,
            kept_based_on=kept.id,
            joined_id=other.subject_id,
            joined_based_on=kept.id,
            role=Role.CONTINUES,
        )
    assert numbers(bench, dossier_id) == [1, 2]


def area(view_id: str) -> Sighting:
    return Sighting(view_id, Geometry(Shape.AREA, (((1.0, 1.0), (9.0, 1.0), (9.0, 9.0)),)))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"term_id": "dragon"}, "no such term in the vocabulary; got dragon"),
        ({"sightings": ()}, "drawn at least once"),
        ({"state": State.GROWN}, "needs its grounds"),
        (
            {"depths": (DepthStation(0, 5.0, 2.0, 9.0, KnownHow.SEEN),)},
            "A depth is a range: low, typical, high; got 5, 2, 9 mm",
        ),
    ],
)
def test_what_a_mark_may_not_say_is_refused_in_one_sentence(
    bench, author, dossier_id, view_id, change, words
) -> None:
    with pytest.raises((InputError, RuleError), match=words):
        record_mark(bench, author, dossier_id, replace(crack(view_id), **change))


def test_a_crack_is_not_drawn_as_an_area(bench, author, dossier_id, view_id) -> None:
    with pytest.raises(InputError, match="“crack” is not drawn as a Polygon"):
        record_mark(bench, author, dossier_id, replace(crack(view_id), sightings=(area(view_id),)))


def test_a_sighting_belongs_to_a_view_of_this_dossier(bench, author, dossier_id, view_id) -> None:
    with pytest.raises(NotFoundError, match="no such view"):
        record_mark(bench, author, dossier_id, crack("view-of-elsewhere"))


def test_marks_on_a_view_are_those_with_a_sighting_there(
    bench, author, dossier_id, view_id
) -> None:
    record_mark(bench, author, dossier_id, crack(view_id))
    with bench.store.reading() as reader:
        assert len(marks_on_view(reader, dossier_id, view_id)) == 1
        assert marks_on_view(reader, dossier_id, "another") == []


def test_a_draft_is_kept_outside_the_journal_and_gone_once_recorded(
    bench, author, dossier_id, view_id
) -> None:
    for index in range(200):
        save_draft(
            bench,
            author.person_id,
            dossier_id=dossier_id,
            kind="mark",
            subject_id="mark-1",
            content={"points": [[1, 1], [index, 5]]},
            based_on="",
        )
    with bench.store.reading() as reader:
        before = reader.head(dossier_id).count
    kept = draft_content(bench, author.person_id, "mark", "mark-1")
    assert kept["content"] == {"points": [[1, 1], [199, 5]]}
    assert before == 2
    record_mark(bench, author, dossier_id, crack(view_id), subject_id="mark-1")
    assert drafts_in(bench, dossier_id) == []


def test_a_dropped_draft_is_gone(bench, author, dossier_id) -> None:
    save_draft(
        bench,
        author.person_id,
        dossier_id=dossier_id,
        kind="mark",
        subject_id="mark-1",
        content={},
        based_on="",
    )
    drop_draft(bench, author.person_id, "mark", "mark-1")
    with pytest.raises(NotFoundError):
        draft_content(bench, author.person_id, "mark", "mark-1")
