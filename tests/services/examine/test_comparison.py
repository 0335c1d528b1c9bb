"""What changed since the last examination: in words, grade by grade, and by its own day."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any, get_args, get_type_hints

import pytest

from softmend.records.condition import Grade, GradeBasis
from softmend.records.dossier import ObjectHead
from softmend.records.examination import Examination
from softmend.records.kinds import KINDS, record_in
from softmend.records.mark import DepthStation, KnownHow, State, WidthStation
from softmend.services.dossiers import describe_object
from softmend.services.examine import comparison
from softmend.services.examine.comparison import since_last_examination
from softmend.services.examine.grades import grade_place, write_examination
from softmend.services.examine.marks import record_mark
from softmend.services.examine.told_words import UNTOLD, WORDS
from tests.services.conftest import crack

if TYPE_CHECKING:
    from softmend.services.bench import Author, Bench
    from softmend.services.examine.comparison import Change


class Days:
    """A clock that stands still until a test turns the day."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


@pytest.fixture
def days() -> Days:
    return Days()


@pytest.fixture
def bench(bench: Bench, days: Days) -> Bench:
    return replace(bench, clock=days)


def changes(bench: Bench, dossier_id: str) -> dict[str, Change]:
    with bench.store.reading() as reader:
        since = since_last_examination(reader, dossier_id)
    assert since is not None
    return {change.about: change for change in since.changes}


def test_what_is_drawn_on_the_day_of_examining_belongs_to_that_examination(
    bench: Bench, author: Author, dossier_id: str, view_id: str, days: Days
) -> None:
    looked = Examination("check", examined_on="2026-03-02")
    entry = write_examination(bench, author, dossier_id, looked, "")
    record_mark(bench, author, dossier_id, crack(view_id))
    assert changes(bench, dossier_id) == {}
    days.now += timedelta(days=1)
    record_mark(bench, author, dossier_id, crack(view_id))
    assert [one.what for one in changes(bench, dossier_id).values()] == ["recorded since"]
    again = replace(looked, examined_on="2026-09-02")
    write_examination(bench, author, dossier_id, again, entry.id)
    told = changes(bench, dossier_id)
    assert "Mark 1 (crack)" not in told
    assert told["Mark 2 (crack)"].what == "recorded since"


def test_words_that_are_written_later_count_as_the_examination_they_are_of(
    bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    looked = Examination("check", examined_on="2025-03-01")
    write_examination(bench, author, dossier_id, looked, "")
    record_mark(bench, author, dossier_id, crack(view_id))
    assert "Mark 1 (crack)" in changes(bench, dossier_id)


def test_it_says_which_grade_changed_and_from_what_to_what(
    bench: Bench, author: Author, dossier_id: str, view_id: str, days: Days
) -> None:
    mark = record_mark(bench, author, dossier_id, crack(view_id)).subject_id
    given = {}
    for of_kind, of_id in (("mark", mark), ("part", "tine"), ("part", "burr")):
        said = Grade(of_kind, of_id, 2, "old", GradeBasis.SEEN)
        given[of_id] = grade_place(bench, author, dossier_id, said, "")
    looked = Examination("check", examined_on="2026-03-02")
    write_examination(bench, author, dossier_id, looked, "")
    days.now += timedelta(days=30)
    worse = replace(record_in(given[mark]), grade=4, because="losing flakes")
    grade_place(bench, author, dossier_id, worse, given[mark].id)
    same = replace(record_in(given["tine"]), because="old and still")
    grade_place(bench, author, dossier_id, same, given["tine"].id)
    new = Grade("part", "beam", 3, "lifts", GradeBasis.HANDLED)
    grade_place(bench, author, dossier_id, new, "")
    told = changes(bench, dossier_id)
    assert {about: change.what for about, change in told.items()} == {
        "Grade of mark 1 (crack)": "grade 2 then, grade 4 now",
        "Grade of tine": "still grade 2, said anew",
        "Grade of beam": "grade 3, given since",
    }
    lines = [line.sentence for line in told["Grade of mark 1 (crack)"].lines]
    assert lines == ["grade was “2”, now “4”", "reason was “old”, now “losing flakes”"]


def test_no_field_shows_its_own_name_and_place_and_mass_stay_the_registrars(
    bench: Bench, author: Author, dossier_id: str, view_id: str, days: Days
) -> None:
    first = record_mark(bench, author, dossier_id, crack(view_id))
    head = describe_object(bench, author, dossier_id, ObjectHead("a beam"), "")
    write_examination(bench, author, dossier_id, Examination("c", examined_on="2026-03-02"), "")
    days.now += timedelta(days=30)
    changed = replace(
        record_in(first),
        term_id="split",
        state=State.BREATHES,
        state_grounds="two readings",
        widths=(WidthStation(1.0, 0.4, 0.1, "gauge"),),
        depths=(DepthStation(1.0, 1.0, 2.0, 3.0, KnownHow.GAUGE),),
    )
    record_mark(bench, author, dossier_id, changed, subject_id=first.subject_id, based_on=first.id)
    moved = ObjectHead("a beam", location="store 4", mass_g=900.0, deadline_on="2026-06-01")
    describe_object(bench, author, dossier_id, moved, head.id)
    told = changes(bench, dossier_id)
    lines = [line.sentence for change in told.values() for line in change.lines]
    assert "term was “crack”, now “split”" in lines
    assert "needed by was “not known”, now “2026-06-01”" in lines
    for line in lines:
        assert "_" not in line
        assert "store 4" not in line
        assert "900" not in line


def leaves(record: Any) -> set[str]:
    """Return the names of a record's fields and of the records inside it."""
    names = set()
    for name, hint in get_type_hints(record).items():
        names.add(name)
        for inner in (hint, *get_args(hint)):
            if isinstance(inner, type) and is_dataclass(inner) and name not in UNTOLD:
                names |= leaves(inner)
    return names


def test_every_field_of_a_compared_record_has_its_words_or_is_never_told() -> None:
    for kind in comparison._COMPARED:
        record = KINDS[kind].record
        assert {field.name for field in fields(record)} <= leaves(record)
        assert leaves(record) - set(WORDS) - UNTOLD == set(), kind
    assert not set(WORDS) & UNTOLD
