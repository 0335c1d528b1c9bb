"""Verify, withdraw, back up, restore: on the fake, SQLite and PostgreSQL alike."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import json
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text

from softmend.errors import ConflictError, InputError, NotFoundError, RuleError, StorageError
from softmend.records.bookkeeping import Withdrawal
from softmend.records.dossier import Dossier
from softmend.records.mark import Mark
from softmend.records.rows import Draft, Person
from softmend.records.view import Paper, View
from softmend.services.backup import back_up, backup_findings, restore
from softmend.services.bench import Author, Bench
from softmend.services.keeping import (
    printed_head,
    sweep_orphans,
    verify,
    withdraw_entry,
    withdraw_file,
)
from softmend.services.recording import record_one
from softmend.storage.store import open_store
from tests.storage.making import a_hazard, a_head, a_mark, a_strike, an_entry, an_opening, append

if TYPE_CHECKING:
    from pathlib import Path

    from softmend.records.entry import Entry, Finding
    from softmend.services.store import Store
    from softmend.storage.store import SqlStore

AUTHOR = Author("person-1", "a request of the owner")
SECRET = "the finder, Quintessa Vandermolen, lives at the mill"


def a_bench(store: Store) -> Bench:
    return Bench(store, clock=lambda: datetime(2026, 3, 9, tzinfo=UTC), zone="Europe/Oslo")


def a_letter(store: Store, content: bytes = b"a letter") -> Paper:
    sha256 = store.files.put(io.BytesIO(content))
    return Paper(1, "letter.txt", sha256, len(content), "a letter", quoted_reported=SECRET)


def filled(store: Store) -> list[Entry]:
    kept = append(
        store,
        an_opening("d1"),
        a_head("d1"),
        an_entry("d1", "m1", a_mark(1)),
        an_entry("d1", "p1", a_letter(store)),
        a_strike("d1", "mark", "m1"),
        an_entry("d1", "m2", a_mark(2)),
        an_opening("d2", "Z 9"),
    )
    with store.writing() as writer:
        writer.add_person(Person("person-1", "A. Conservator"))
        writer.save_draft(Draft("d1", "person-1", "mark", "m3", "{}", "", "2026-03-02"))
        writer.commit()
    return kept


def told(findings: tuple[Finding, ...] | list[Finding]) -> list[str]:
    return [f"{finding.where}: {finding.what}" for finding in findings]


def test_what_was_recorded_is_sound(store: Store) -> None:
    filled(store)
    verified = verify(store)
    assert verified.findings == ()
    assert (verified.dossier_count, verified.entry_count, verified.file_count) == (2, 7, 1)


def test_a_printed_head_stands_or_is_missed(store: Store) -> None:
    kept = filled(store)
    stands = printed_head(f"6:{kept[5].hash[:16]}")
    assert told(verify(store, [stands]).findings) == [
        f"printed head 6:{kept[5].hash[:16]}: stands as printed"
    ]
    missed = verify(store, [printed_head(f"9:{'0' * 64}")])
    assert not missed.is_sound
    assert missed.findings[0].what == "no journal has it: its end was cut off or written anew"


@pytest.mark.parametrize("wrong", ["", "6", "6:xyz", "0:00000000", "6:1234567", ":12345678"])
def test_a_head_that_no_report_prints_is_refused(wrong: str) -> None:
    with pytest.raises(InputError, match="This is not a printed head"):
        printed_head(wrong)


@pytest.mark.parametrize(
    ("change", "finding"),
    [
        ("UPDATE entry SET payload = replace(payload, 'crack', 'scratch') WHERE number = 3",
         "dossier INV 2026.14/3: entry 3 (mark): content was changed after it was recorded"),
        ("UPDATE entry SET purpose = 'sale' WHERE number = 4",
         "dossier INV 2026.14/3: entry 4 (paper): was changed after it was recorded"),
        ("UPDATE entry SET author_id = 'person-2' WHERE number = 1 AND dossier_id = 'd2'",
         "dossier Z 9: entry 1 (dossier): was changed after it was recorded"),
        ("UPDATE entry SET payload = NULL WHERE number = 3",
         "dossier INV 2026.14/3: entry 3 (mark): content is missing and no withdrawal is recorded"),
        ("DELETE FROM entry WHERE number = 5",
         "dossier INV 2026.14/3: before entry 6 (mark): entry 5 is missing"),
        ("UPDATE dossier SET entry_count = 7 WHERE id = 'd1'",
         "dossier INV 2026.14/3: its end: the journal should end with entry 7"),
        ("UPDATE current SET is_struck = 1 WHERE subject_id = 'm2'",
         "dossier INV 2026.14/3: the current state: does not follow from the entries"),
        ("UPDATE dossier_row SET title = 'another title' WHERE dossier_id = 'd1'",
         "dossier INV 2026.14/3: the line in the list: does not follow from the entries"),
        ("UPDATE dossier_row SET search_text = '' WHERE dossier_id = 'd2'",
         "dossier Z 9: the search text: does not follow from the entries"),
        ("DELETE FROM named_file",
         "dossier INV 2026.14/3: the list of files: does not follow from the entries"),
    ],
)  # fmt: skip
def test_a_tampered_record_is_found_and_named(
    sql_store: SqlStore, change: str, finding: str
) -> None:
    filled(sql_store)
    if sql_store._engine.dialect.name == "postgresql":
        change = change.replace("is_struck = 1", "is_struck = true")
    with sql_store._engine.begin() as connection:
        assert connection.execute(text(change)).rowcount == 1
    verified = verify(sql_store)
    assert not verified.is_sound
    assert finding in told(verified.findings)
    assert len([each for each in verified.findings if each.is_damage]) <= 2


def test_a_cut_tail_is_shown_by_a_printed_head_alone(sql_store: SqlStore) -> None:
    kept = filled(sql_store)
    with sql_store._engine.begin() as connection:
        for change in (
            "DELETE FROM current WHERE subject_id = 'm2'",
            "DELETE FROM entry WHERE number = 6",
            f"UPDATE dossier SET entry_count = 5, head_hash = '{kept[4].hash}' WHERE id = 'd1'",
            f"UPDATE dossier_row SET entry_count = 5, changed_at = '{kept[4].at}' "
            "WHERE dossier_id = 'd1'",
        ):
            connection.execute(text(change))
    assert verify(sql_store).is_sound
    assert not verify(sql_store, [printed_head(f"6:{kept[5].hash}")]).is_sound


def test_a_tampered_file_is_found_and_named(store: Store) -> None:
    filled(store)
    (sha256,) = store.files.all()
    path = store.files.path(sha256)
    path.chmod(0o600)
    path.write_bytes(b"A letter")
    where = f"dossier INV 2026.14/3: paper 1: original of letter.txt, entry 4: the file {sha256} "
    assert told(verify(store).findings) == [where + "was changed"]
    path.unlink()
    assert told(verify(store).findings) == [where + "is missing"]


def test_a_withdrawn_entry_is_withdrawn_and_never_missing(store: Store) -> None:
    letter = filled(store)[3]
    done = withdraw_entry(
        a_bench(store), AUTHOR, dossier_id="d1", entry_id=letter.id,
        decided_by="B. Owner", because="names a living person",
    )  # fmt: skip
    verified = verify(store)
    assert verified.is_sound
    assert told(verified.findings) == ["dossier INV 2026.14/3: entry 4 (paper): withdrawn"]
    assert done.to_delete[0] == "in every backup: journal/d1.jsonl, line 4"
    assert "dossier INV 2026.14/3" in done.to_delete[1]
    with store.reading() as reader:
        assert reader.entry(letter.id).payload is None
        assert reader.next_number("d1", "paper") == 2
        before = reader.projection("d1")
    with store.writing() as writer:
        writer.rebuild("d1")
        assert writer.projection("d1") == before


def test_a_withdrawn_file_is_withdrawn_in_every_dossier_that_names_it(store: Store) -> None:
    filled(store)
    append(store, an_entry("d2", "p1", a_letter(store)))
    (sha256,) = store.files.all()
    done = withdraw_file(
        a_bench(store), AUTHOR, sha256=sha256, decided_by="B. Owner", because="not ours"
    )
    assert [entry.dossier_id for entry in done.tombstones] == ["d1", "d2"]
    assert not store.files.has(sha256)
    verified = verify(store)
    assert verified.is_sound
    assert verified.findings[0].what == f"the file {sha256} is withdrawn"
    # Brought back on purpose: named again by a later entry, it is a file like any other.
    append(store, an_entry("d1", "p9", a_letter(store)))
    assert verify(store).findings == ()


def test_a_tombstone_beside_content_that_is_still_here_is_damage(store: Store) -> None:
    mark = filled(store)[2]
    append(store, an_entry("d1", mark.id, Withdrawal("mark", mark.id, "B. Owner", "no", "m1", 1)))
    assert told(verify(store).findings) == [
        "dossier INV 2026.14/3: entry 3: was withdrawn and its content is still here"
    ]


def test_a_photograph_goes_with_its_canonical_copy(store: Store) -> None:
    filled(store)
    original, copy = (store.files.put(io.BytesIO(each)) for each in (b"jpeg", b"tiff"))
    view = View(1, "front.jpg", original, 4, copy, 10, 8, 8, "sRGB")
    append(store, an_entry("d2", "v1", view))
    done = withdraw_file(a_bench(store), AUTHOR, sha256=copy, decided_by="B. Owner", because="no")
    assert len(done.tombstones) == 2
    assert not store.files.has(original)
    assert not store.files.has(copy)
    assert verify(store).is_sound
    assert f"in every backup: files/{original[:2]}/{original}" in done.to_delete


def test_orphans_are_swept_after_a_day_and_what_a_draft_names_is_not(store: Store) -> None:
    filled(store)
    orphan, drafted = (store.files.put(io.BytesIO(each)) for each in (b"orphan", b"drafted"))
    with store.writing() as writer:
        content = json.dumps({"picture_file": drafted})
        writer.save_draft(Draft("d1", "person-1", "view", "v1", content, "", "2026-03-02"))
        writer.commit()
    written = datetime.fromtimestamp(store.files.path(orphan).stat().st_mtime, UTC)
    early = Bench(store, clock=lambda: written + timedelta(hours=23))
    late = Bench(store, clock=lambda: written + timedelta(hours=25))
    assert sweep_orphans(early) == []
    assert sweep_orphans(late) == [orphan]
    assert verify(store).findings == ()
    assert store.files.has(drafted)


def test_a_file_withdrawn_but_still_here_is_damage(store: Store) -> None:
    filled(store)
    (sha256,) = store.files.all()
    withdraw_file(a_bench(store), AUTHOR, sha256=sha256, decided_by="B. Owner", because="no")
    store.files.put(io.BytesIO(b"a letter"))
    assert told(verify(store).findings) == [
        f"dossier INV 2026.14/3: withdrawn by entry 7: the file {sha256} was withdrawn and is "
        "still here"
    ]


@pytest.mark.parametrize(
    ("number", "sentence"),
    [(1, "A dossier needs its opening"), (5, "the record it took out would come back")],
)
def test_what_holds_the_rest_is_not_withdrawn(store: Store, number: int, sentence: str) -> None:
    entry = filled(store)[number - 1]
    with pytest.raises(RuleError, match=sentence):
        withdraw_entry(a_bench(store), AUTHOR, dossier_id="d1", entry_id=entry.id,
                       decided_by="B. Owner", because="no")  # fmt: skip
    assert verify(store).findings == ()


def test_an_older_opening_is_withdrawn(store: Store) -> None:
    opening = filled(store)[0]
    bench = a_bench(store)
    anew = Dossier("antler beam", "INV 1", "an invented house", "cracked")
    record_one(bench, AUTHOR, dossier_id="d1", subject_id="d1", record=anew, based_on=opening.id)
    withdraw_entry(bench, AUTHOR, dossier_id="d1", entry_id=opening.id,
                   decided_by="B. Owner", because="no")  # fmt: skip
    assert verify(store).is_sound


@pytest.mark.parametrize("missing", ["decided_by", "because"])
def test_no_withdrawal_without_a_person_and_a_reason(store: Store, missing: str) -> None:
    entry = filled(store)[2]
    said = {"decided_by": "B. Owner", "because": "no", missing: " "}
    with pytest.raises(RuleError, match="Nothing is withdrawn without a"):
        withdraw_entry(a_bench(store), AUTHOR, dossier_id="d1", entry_id=entry.id, **said)
    with pytest.raises(NotFoundError):
        withdraw_file(a_bench(store), AUTHOR, sha256="a" * 64, decided_by="B", because="no")


def test_withdrawn_words_are_gone_from_every_byte(sqlite_store: SqlStore, tmp_path: Path) -> None:
    bench = a_bench(sqlite_store)
    filled(sqlite_store)
    # A long text lies in overflow pages of the database, a short one within its page.
    long = Mark(7, "crack", (), note_observed=SECRET + " and further" * 3000)
    append(sqlite_store, an_entry("d1", "m7", long), a_head("d1", SECRET))
    with sqlite_store.writing() as writer:
        writer.save_draft(Draft("d1", "person-1", "mark", "m7", json.dumps(SECRET), "", "now"))
        writer.commit()
    assert _holding(tmp_path, b"Vandermolen")
    with sqlite_store.reading() as reader:
        entries = [each for each in reader.entries("d1") if SECRET in (each.payload or "")]
    assert len(entries) == 3
    for entry in entries:
        withdraw_entry(bench, AUTHOR, dossier_id="d1", entry_id=entry.id,
                       decided_by="B. Owner", because="names a living person")  # fmt: skip
    for word in (b"Vandermolen", b"vandermolen", b"and further"):
        assert _holding(tmp_path, word) == []
    assert verify(sqlite_store).is_sound


def _holding(folder: Path, word: bytes) -> list[str]:
    files = [path for path in folder.rglob("*") if path.is_file()]
    return [path.name for path in files if word in path.read_bytes()]


def test_a_backup_is_restored_to_the_same(
    store: Store, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("backups")
    letter = filled(store)[3]
    withdraw_entry(a_bench(store), AUTHOR, dossier_id="d1", entry_id=letter.id,
                   decided_by="B. Owner", because="no")  # fmt: skip
    append(
        store, an_entry("d2", "p1", a_letter(store, b"another")), an_entry("d2", "h", a_hazard())
    )
    made = back_up(a_bench(store), folder / "monday")
    assert (made.dossier_count, made.file_count, made.findings) == (2, 1, ())
    assert [path.name for path in folder.iterdir()] == ["monday"]
    assert backup_findings(folder / "monday") == []
    again = open_store(f"sqlite:///{(folder / 'again.sqlite').as_posix()}", folder / "again")
    verified = restore(again, folder / "monday")
    assert verified.is_sound
    with store.reading() as before, again.reading() as after:
        for dossier_id in ("d1", "d2"):
            assert after.entries(dossier_id) == before.entries(dossier_id)
            assert after.projection(dossier_id) == before.projection(dossier_id)
            assert after.drafts(dossier_id) == before.drafts(dossier_id)
        assert after.people() == before.people()
    with pytest.raises(ConflictError, match="already; nothing was restored"):
        restore(again, folder / "monday")
    again.close()


def test_a_backup_never_overwrites_another(store: Store, tmp_path: Path) -> None:
    filled(store)
    back_up(a_bench(store), tmp_path / "monday")
    with pytest.raises(ConflictError, match="there already"):
        back_up(a_bench(store), tmp_path / "monday")


def test_a_backup_cut_off_is_no_backup_and_goes_on(store: Store, tmp_path: Path) -> None:
    filled(store)
    begun = tmp_path / "monday.incomplete"
    (begun / "files" / "ab").mkdir(parents=True)
    (begun / "files" / "ab" / "withdrawn-since").write_bytes(b"x")
    (begun / "people.jsonl.arriving").write_bytes(b"half a li")
    with pytest.raises(InputError, match="not a whole backup"):
        backup_findings(begun)
    back_up(a_bench(store), tmp_path / "monday")
    assert not begun.exists()
    assert backup_findings(tmp_path / "monday") == []
    assert not (tmp_path / "monday" / "files" / "ab" / "withdrawn-since").exists()


@pytest.mark.parametrize(
    ("name", "old", "new", "finding"),
    [
        ("journal/d1.jsonl", b"crack", b"bruise",
         "journal/d1.jsonl, entry 1 (dossier): content was changed after it was recorded"),
        ("journal/d2.jsonl", b"person-1", b"person-2",
         "journal/d2.jsonl, entry 1 (dossier): was changed after it was recorded"),
        ("journal/d2.jsonl", b"{", b"[", "journal/d2.jsonl: cannot be read: line 1 is not JSON."),
        ("people.jsonl", b"A. Con", b"B. Con", "people.jsonl: was changed after the backup"),
        ("files", b"letter", b"Letter", "files/"),
    ],
)  # fmt: skip
def test_a_tampered_backup_is_named_and_not_restored(
    sqlite_store: SqlStore, tmp_path: Path, name: str, old: bytes, new: bytes, finding: str
) -> None:
    filled(sqlite_store)
    folder = tmp_path / "monday"
    back_up(a_bench(sqlite_store), folder)
    path = folder / name if name != "files" else next((folder / "files").glob("*/*"))
    content = path.read_bytes()
    path.unlink()
    path.write_bytes(content.replace(old, new, 1))
    assert any(each.startswith(finding) for each in told(backup_findings(folder)))
    empty = open_store(f"sqlite:///{(tmp_path / 'again.sqlite').as_posix()}", tmp_path / "again")
    with pytest.raises(StorageError, match="The backup is damaged; nothing was restored"):
        restore(empty, folder)
    with empty.reading() as reader:
        assert reader.dossier_ids() == []
    empty.close()


def test_a_damaged_file_is_not_taken_into_a_backup(sqlite_store: SqlStore, tmp_path: Path) -> None:
    filled(sqlite_store)
    path = sqlite_store.files.path(next(sqlite_store.files.all()))
    path.chmod(0o600)
    path.write_bytes(b"something else")
    made = back_up(a_bench(sqlite_store), tmp_path / "monday")
    assert [finding.is_damage for finding in made.findings] == [True]
    assert backup_findings(tmp_path / "monday") == []
