"""What services may rely on, held against the fake, SQLite and PostgreSQL alike."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from softmend.errors import ConflictError, InputError, NotFoundError, RuleError
from softmend.records.bookkeeping import Withdrawal
from softmend.records.dossier import Dossier
from softmend.records.entry import FIRST_PREVIOUS_HASH, chain_findings
from softmend.records.projection import projection_of
from softmend.records.rows import Draft, JobRow, Person
from softmend.records.view import View
from tests.storage.making import (
    SHA_A,
    SHA_B,
    a_hazard,
    a_head,
    a_mark,
    a_strike,
    an_entry,
    an_opening,
    append,
)

if TYPE_CHECKING:
    from softmend.services.store import Store


def test_entries_are_numbered_and_chained(store: Store) -> None:
    append(store, an_opening("d1"), an_entry("d1", "h1", a_hazard()))
    append(store, an_entry("d1", "h2", a_hazard("lead")))
    with store.reading() as reader:
        entries = reader.entries("d1")
        assert [entry.number for entry in entries] == [1, 2, 3]
        assert entries[0].previous_hash == FIRST_PREVIOUS_HASH
        assert list(chain_findings("d1", entries)) == []
        assert reader.head("d1").count == 3
        assert reader.head("d1").hash == entries[-1].hash
        assert reader.entries("d1", after=2) == entries[2:]
        assert reader.entry(entries[1].id) == entries[1]


def test_nothing_is_kept_without_commit(store: Store) -> None:
    append(store, an_opening("d1"))
    with store.writing() as writer:
        writer.append(an_entry("d1", "h1", a_hazard()))
        writer.add_person(Person("p1", "A. Conservator"))
    with pytest.raises(RuleError), store.writing() as writer:
        writer.append(replace(an_entry("d1", "h1", a_hazard()), author_id=""))
    with store.reading() as reader:
        assert reader.head("d1").count == 1
        assert reader.people() == []


def test_a_dossier_is_opened_by_its_first_entry(store: Store) -> None:
    with store.writing() as writer, pytest.raises(NotFoundError, match="no such dossier"):
        writer.append(an_entry("d1", "h1", a_hazard()))
    with store.reading() as reader:
        for question in (reader.head, reader.entries, reader.current, reader.file_names):
            with pytest.raises(NotFoundError):
                question("d1")
        assert reader.dossier_ids() == []


def test_no_entry_without_purpose(store: Store) -> None:
    with store.writing() as writer, pytest.raises(RuleError, match="without a purpose"):
        writer.append(replace(an_opening("d1"), purpose=" "))


def test_an_entry_is_kept_once(store: Store) -> None:
    kept = append(store, an_opening("d1"))
    with store.writing() as writer, pytest.raises(ConflictError, match="already recorded"):
        writer.append(kept[0])


def test_the_newest_entry_of_a_subject_is_current(store: Store) -> None:
    first, second = (an_entry("d1", "m1", a_mark(1, note=note)) for note in ("short", "longer"))
    append(store, an_opening("d1"), first, an_entry("d1", "m2", a_mark(2)), second)
    with store.reading() as reader:
        assert [entry.subject_id for entry in reader.current("d1", "mark")] == ["m1", "m2"]
        assert reader.current("d1", "mark")[0].id == second.id
        assert [entry.id for entry in reader.history("mark", "m1")] == [first.id, second.id]
        assert reader.latest("mark", "m1") == reader.current("d1", "mark")[0]
        assert reader.latest("mark", "m9") is None
        assert [entry.kind for entry in reader.current("d1")] == ["dossier", "mark", "mark"]


def test_a_struck_record_leaves_the_current_state_and_keeps_its_number(store: Store) -> None:
    append(store, an_opening("d1"), an_entry("d1", "m1", a_mark(1)))
    strike = append(store, a_strike("d1", "mark", "m1"))[0]
    with store.reading() as reader:
        assert reader.current("d1", "mark") == []
        assert reader.next_number("d1", "mark") == 2
        assert reader.latest("mark", "m1") == strike
        assert [entry.kind for entry in reader.history("mark", "m1")] == ["mark", "struck"]


def test_a_later_entry_brings_a_struck_record_back(store: Store) -> None:
    append(store, an_opening("d1"), an_entry("d1", "m1", a_mark(1)), a_strike("d1", "mark", "m1"))
    again = append(store, an_entry("d1", "m1", a_mark(1)))[0]
    with store.reading() as reader:
        assert reader.current("d1", "mark") == [again]


def test_a_strike_touches_its_own_kind_only(store: Store) -> None:
    # A scale's subject is its view's: one id, two kinds.
    append(store, an_opening("d1"), an_entry("d1", "x", a_mark(1)), an_entry("d1", "x", a_hazard()))
    append(store, a_strike("d1", "hazard", "x"))
    with store.reading() as reader:
        assert [entry.kind for entry in reader.current("d1")] == ["dossier", "mark"]
        assert [entry.kind for entry in reader.history("mark", "x")] == ["mark"]


@pytest.mark.parametrize("first", [(), ("mark",), ("hazard", "mark", "struck", "view", "grade")])
def test_what_stands_reads_the_same_whatever_was_asked_before(
    store: Store, first: tuple[str, ...]
) -> None:
    old, new = (an_entry("d1", "m1", a_mark(1, note=note)) for note in ("short", "longer"))
    append(store, an_opening("d1"), old, an_entry("d1", "m2", a_mark(2)), new)
    append(store, an_entry("d1", "x", a_hazard()), an_entry("d1", "y", a_hazard("lead")))
    append(store, a_strike("d1", "hazard", "x"), an_opening("d2"))
    append(store, an_entry("d2", "n1", a_mark(1)))
    with store.reading() as reader:
        asked = [[one.subject_id for one in reader.current("d1", kind)] for kind in first]
        assert asked in ([], [["m1", "m2"]], [["y"], ["m1", "m2"], [], [], []])
        assert reader.current("d1", "mark")[0].id == new.id
        assert [one.subject_id for one in reader.current("d1")] == ["d1", "y", "m1", "m2"]
        assert [one.subject_id for one in reader.current("d1", "hazard")] == ["y"]
        assert [one.subject_id for one in reader.current("d2", "mark")] == ["n1"]
        assert reader.entry(old.id).id == old.id
        assert (
            reader.entry(new.id) == reader.latest("mark", "m1") == reader.history("mark", "m1")[1]
        )
        struck = reader.latest("hazard", "x")
        assert struck is not None
        assert struck.kind == "struck"
        assert reader.latest("hazard", "m1") is None


def test_numbers_are_per_dossier_and_kind(store: Store) -> None:
    append(store, an_opening("d1"), an_opening("d2"), an_entry("d1", "m1", a_mark(7)))
    with store.reading() as reader:
        assert reader.next_number("d1", "mark") == 8
        assert reader.next_number("d1", "view") == 1
        assert reader.next_number("d2", "mark") == 1


def test_dossiers_are_listed_newest_change_first(store: Store) -> None:
    append(store, an_opening("d1", at_s=1), an_opening("d2", at_s=2), an_opening("d3", at_s=3))
    append(store, an_entry("d1", "h1", a_hazard(), at_s=9))
    with store.reading() as reader:
        assert [row.dossier_id for row in reader.dossiers()] == ["d1", "d3", "d2"]
        assert [row.dossier_id for row in reader.dossiers(limit=1, offset=1)] == ["d3"]
        assert reader.dossier_count() == 3
        row = reader.dossiers()[0]
        assert (row.number, row.what, row.size) == ("INV 2026.14/3", "antler beam", "short")
        assert (row.entry_count, row.is_invented, row.title) == (2, False, "")
        assert row.opened_at.startswith("2026-03-02T09:00:01")
        assert row.changed_at.startswith("2026-03-02T09:00:09")


@pytest.mark.parametrize(
    "search",
    ["", "antler", "ANT", "inv 2026.14/3", "14", "muller", "Müll", "old-77", "resin invented",
     "sub", "beam of a", "(invented)"],
)  # fmt: skip
def test_a_dossier_is_found_by_the_beginnings_of_its_words(store: Store, search: str) -> None:
    append(store, an_opening("d1"), a_head("d1"))
    append(store, an_opening("d2", number="Z 9"))
    with store.reading() as reader:
        assert "d1" in [row.dossier_id for row in reader.dossiers(search)]
        assert reader.dossier_count(search) == len(reader.dossiers(search))


@pytest.mark.parametrize("search", ["ntler", "%", "_ntler", "antler bronze", "/3x", "not known"])
def test_other_words_do_not_find_it(store: Store, search: str) -> None:
    append(store, an_opening("d1"), a_head("d1"))
    with store.reading() as reader:
        assert reader.dossier_count(search) == 0


def test_the_list_follows_a_new_title_and_a_new_number(store: Store) -> None:
    append(store, an_opening("d1"), a_head("d1", "first title"), a_head("d1", "second title"))
    renumbered = Dossier("tusk", "N 5", "an invented house", "cracked", is_invented=True)
    append(store, an_entry("d1", "d1", renumbered))
    with store.reading() as reader:
        row = reader.dossiers("second tusk")[0]
        assert (row.title, row.number, row.is_invented) == ("second title", "N 5", True)
        assert reader.dossier_count("first") == 0


def test_drafts_are_one_row_per_person_and_subject(store: Store) -> None:
    append(store, an_opening("d1"))
    draft = Draft("d1", "p1", "mark", "m1", "{}", "", "2026-03-02T09:00:00.000Z[UTC]")
    newer = replace(draft, content='{"points":[1]}')
    with store.writing() as writer:
        for each in (draft, newer, replace(draft, author_id="p2")):
            writer.save_draft(each)
        writer.commit()
    with store.reading() as reader:
        assert reader.draft("p1", "mark", "m1") == newer
        assert reader.draft("p3", "mark", "m1") is None
        assert len(reader.drafts("d1")) == 2
    with store.writing() as writer:
        writer.drop_draft("p1", "mark", "m1")
        writer.drop_draft("p1", "mark", "m1")
        writer.commit()
    with store.reading() as reader:
        assert [each.author_id for each in reader.drafts("d1")] == ["p2"]


def test_a_draft_needs_its_dossier(store: Store) -> None:
    draft = Draft("d1", "p1", "mark", "m1", "{}", "", "2026-03-02T09:00:00.000Z[UTC]")
    with store.writing() as writer, pytest.raises(NotFoundError):
        writer.save_draft(draft)


def test_a_name_is_erased_and_the_id_stays(store: Store) -> None:
    with store.writing() as writer:
        writer.add_person(Person("p1", "A. Conservator"))
        with pytest.raises(ConflictError, match="already on the list"):
            writer.add_person(Person("p1", "B. Conservator"))
        writer.commit()
    with store.writing() as writer:
        writer.erase_name("p1")
        with pytest.raises(NotFoundError):
            writer.erase_name("p2")
        writer.commit()
    with store.reading() as reader:
        assert reader.people() == [Person("p1", None)]


def test_jobs_are_replaced_and_listed_newest_first(store: Store) -> None:
    job = JobRow("j1", "tiles", "d1", "running", 0, 10, "", "", "2026-03-02T09:00", "x", "host:1")
    later = replace(job, id="j2", dossier_id=None, started_at="2026-03-02T10:00")
    with store.writing() as writer:
        for each in (job, later, replace(job, done=4)):
            writer.save_job(each)
        writer.commit()
    with store.reading() as reader:
        assert reader.job("j1") == replace(job, done=4)
        assert [each.id for each in reader.jobs()] == ["j2", "j1"]
        assert [each.id for each in reader.jobs("d1")] == ["j1"]
        with pytest.raises(NotFoundError):
            reader.job("j9")


def a_view(number: int = 1) -> View:
    return View(number, "front.jpg", SHA_A, 10, SHA_B, 1000, 800, 8, "sRGB")


def test_files_are_named_by_what_they_are(store: Store) -> None:
    append(store, an_opening("d1"), an_entry("d1", "v1", a_view()))
    with store.reading() as reader:
        assert reader.file_names("d1") == {
            SHA_A: "view 1: original of front.jpg",
            SHA_B: "view 1: canonical of front.jpg",
        }


def test_a_withdrawn_entry_keeps_hash_number_and_chain(store: Store) -> None:
    append(store, an_opening("d1"), a_head("d1"))
    view = append(store, an_entry("d1", "v1", a_view(4)))[0]
    said = Withdrawal("view", view.id, "A. Conservator", "shows a person", "v1", 4)
    with store.writing() as writer:
        writer.append(an_entry("d1", view.id, said))
        writer.erase_payload(view.id)
        writer.commit()
    with store.reading() as reader:
        entries = reader.entries("d1")
        assert entries[2] == replace(view, payload=None)
        assert [f.is_damage for f in chain_findings("d1", entries, frozenset({view.id}))] == [False]
        assert reader.file_names("d1") == {}
        assert reader.next_number("d1", "view") == 5
        assert [entry.payload for entry in reader.current("d1", "view")] == [None]


def test_projections_are_those_of_the_entries(store: Store) -> None:
    append(store, an_opening("d1"), a_head("d1"), an_entry("d1", "v1", a_view()))
    append(store, an_entry("d1", "m1", a_mark(1)), a_strike("d1", "mark", "m1"))
    view = append(store, an_entry("d1", "v2", a_view(2)))[0]
    with store.writing() as writer:
        writer.append(an_entry("d1", view.id, Withdrawal("view", view.id, "A", "b", "v2", 2)))
        writer.erase_payload(view.id)
        writer.commit()
    append(store, an_entry("d1", "m2", a_mark(2)), an_entry("d1", "h1", a_hazard()))
    with store.writing() as writer:
        before = writer.projection("d1")
        assert before == projection_of(writer.entries("d1"))
        writer.rebuild("d1")
        assert writer.projection("d1") == before


def test_a_chain_made_elsewhere_is_kept_as_it_is(store: Store) -> None:
    append(store, an_opening("d1"), an_entry("d1", "m1", a_mark(3)))
    with store.reading() as reader:
        entries = reader.entries("d1")
    moved = [replace(entry, dossier_id="d2", id=f"{entry.id}-moved") for entry in entries]
    with store.writing() as writer:
        writer.keep_chain(moved)
        with pytest.raises(ConflictError, match="already here"):
            writer.keep_chain(entries)
        writer.commit()
    with store.reading() as reader:
        assert reader.entries("d2") == moved
        assert reader.next_number("d2", "mark") == 4
        assert reader.dossier_ids() == ["d1", "d2"]


def test_a_file_put_twice_is_kept_once(store: Store) -> None:
    sha256 = store.files.put(io.BytesIO(b"antler"))
    # printf antler | sha256sum
    assert sha256 == "785ee58e52ac31b4854a58b7a9590681b9d6a667245da372aff44d4306def047"
    assert store.files.put(io.BytesIO(b"antler")) == sha256
    assert list(store.files.all()) == [sha256]
    assert store.files.path(sha256).read_bytes() == b"antler"
    assert store.files.has(sha256)
    assert store.files.size(sha256) == 6


def test_an_erased_file_is_gone_with_what_was_made_from_it(store: Store) -> None:
    sha256 = store.files.put(io.BytesIO(b"antler"))
    tile = store.files.derived_folder(sha256, "tiles") / "0.jpg"
    tile.write_bytes(b"tile")
    store.files.erase(sha256)
    assert not store.files.has(sha256)
    assert not tile.exists()
    with pytest.raises(NotFoundError, match="no such file"):
        store.files.path(sha256)


@pytest.mark.parametrize("name", ["../../etc/passwd", "A" * 64, "", "a" * 63, "a" * 63 + "/"])
def test_only_a_hash_names_a_file(store: Store, name: str) -> None:
    for question in (store.files.path, store.files.has, store.files.erase):
        with pytest.raises(InputError, match="not the name of a file"):
            question(name)


def test_a_finished_temporary_file_is_taken_over(store: Store) -> None:
    with store.files.working_folder() as folder:
        (folder / "canonical.tif").write_bytes(b"tiff")
        sha256 = store.files.put_path(folder / "canonical.tif")
    assert store.files.path(sha256).read_bytes() == b"tiff"
    assert not folder.exists()


def test_its_own_folder_is_told_from_any_other(store: Store, tmp_path: Path) -> None:
    with store.files.working_folder() as own:
        assert store.files.holds(own)
        assert store.files.holds(own.parent)
        assert not store.files.holds(Path(tmp_path.anchor))
        (tmp_path / "elsewhere").symlink_to(own)
        assert store.files.holds(tmp_path / "elsewhere")


def test_the_sweep_takes_old_files_that_nothing_names(store: Store) -> None:
    named, orphan = (store.files.put(io.BytesIO(text)) for text in (b"named", b"orphan"))
    written = store.files.path(orphan).stat().st_mtime
    assert store.files.sweep({named}, before=written - 86_400) == []
    assert store.files.sweep({named}, before=written + 86_400) == [orphan]
    assert list(store.files.all()) == [named]


def test_a_copy_goes_where_it_is_told(
    store: Store, tmp_path_factory: pytest.TempPathFactory
) -> None:
    sha256 = store.files.put(io.BytesIO(b"antler"))
    folder = tmp_path_factory.mktemp("copies")
    assert store.files.copy_into(sha256, folder) == sha256
    assert (folder / sha256[:2] / sha256).read_bytes() == b"antler"


def test_a_zero_byte_in_a_text_does_no_harm(store: Store) -> None:
    append(store, an_opening("d1", "IN\x00V"), a_head("d1", "be\x00am"))
    with store.reading() as reader:
        row = reader.dossiers()[0]
        assert (row.number, row.title) == ("INV", "beam")
        assert reader.dossier_count("a\x00ntler") == 0
        assert reader.entries("d1")[0].payload is not None
