"""A full disk gives one sentence, keeps nothing half done and loses nothing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import errno
import io
import sqlite3
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import exc

from softmend.errors import ConflictError, NoSpaceError, StorageError
from softmend.services.backup import back_up, backup_findings
from softmend.services.bench import Bench
from softmend.services.keeping import verify
from softmend.storage.engine import errors_said
from softmend.storage.store import SqlStore, open_store
from tests.storage.making import a_mark, an_entry, an_opening, append
from tests.storage.small_disk import fill, small_disk

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from softmend.records.entry import Entry

SENTENCE = (
    "The disk is full; nothing was saved and nothing was lost; Free some space and try again."
)


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    with small_disk(tmp_path / "disk", 3) as folder:
        yield folder


def is_pretended(disk: Path) -> bool:
    """Say whether nothing could be mounted, so that only single files have a limit."""
    return disk.stat().st_dev == disk.parent.stat().st_dev


def store_on(disk: Path) -> SqlStore:
    return open_store(f"sqlite:///{(disk / 'softmend.sqlite').as_posix()}", disk)


def left_over(disk: Path) -> list[str]:
    return [path.name for path in (disk / "files").rglob("*") if path.is_file()]


def append_many(store: SqlStore, kept: list[Entry]) -> None:
    for number in range(1, 200):
        kept += append(store, an_entry("d1", f"m{number}", a_mark(number, note="x" * 20_000)))


def test_a_file_too_large_for_the_disk_leaves_nothing(disk: Path) -> None:
    store = store_on(disk)
    small = store.files.put(io.BytesIO(b"small"))
    with pytest.raises(NoSpaceError) as full:
        store.files.put(io.BytesIO(b"x" * (5 << 20)))
    assert full.value.sentence() == SENTENCE
    assert left_over(disk) == [small]
    assert store.files.put(io.BytesIO(b"another")) in store.files.all()
    store.close()


def test_entries_on_a_full_disk_are_kept_whole_or_not_at_all(disk: Path) -> None:
    store = store_on(disk)
    append(store, an_opening("d1"))
    if is_pretended(disk):
        with store._engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA max_page_count = 200")
    kept: list[Entry] = []
    with pytest.raises(NoSpaceError) as full:
        append_many(store, kept)
    assert full.value.sentence() == SENTENCE
    store.close()
    (disk / "filler").unlink(missing_ok=True)
    store = store_on(disk)
    verified = verify(store)
    assert verified.findings == ()
    assert verified.entry_count == 1 + len(kept) > 10
    store.close()


def test_a_disk_filled_by_others_is_said_and_freed_again(disk: Path) -> None:
    store = store_on(disk)
    append(store, an_opening("d1"))
    filler = fill(disk)
    with pytest.raises(NoSpaceError):
        store.files.put(io.BytesIO(b"x" * (4 << 20)))
    filler.unlink()
    append(store, an_entry("d1", "m1", a_mark(2)))
    assert verify(store).findings == ()
    store.close()


def test_a_backup_on_a_full_disk_says_so_and_goes_on_later(
    sqlite_store: SqlStore, tmp_path: Path
) -> None:
    append(sqlite_store, an_opening("d1"))
    for number in range(1, 200):
        note = str(number % 10) * 25_000
        append(sqlite_store, an_entry("d1", f"m{number}", a_mark(number, note=note)))
    with small_disk(tmp_path / "disk", 3) as disk:
        with pytest.raises(NoSpaceError) as full:
            back_up(Bench(sqlite_store), disk / "monday")
        assert full.value.sentence() == (
            "The backup's disk is full; the backup is not complete and its name says so; "
            "Free some space and make it again: it goes on where it stopped."
        )
        assert [path.name for path in disk.iterdir()] == ["monday.incomplete"]
    back_up(Bench(sqlite_store), tmp_path / "monday")
    assert backup_findings(tmp_path / "monday") == []


class PostgresDiskFull(Exception):
    sqlstate = "53100"


def said(original: BaseException) -> StorageError:
    with pytest.raises(StorageError) as translated, errors_said():
        raise exc.OperationalError("INSERT", {}, original)
    return translated.value


def test_what_the_databases_say_becomes_our_sentence() -> None:
    assert said(PostgresDiskFull()).sentence() == SENTENCE
    busy = sqlite3.OperationalError("database is locked")
    busy.sqlite_errorcode = sqlite3.SQLITE_BUSY
    assert said(busy).problem == "Another Softmend is writing to this folder; nothing was saved"
    other = said(sqlite3.OperationalError("no such table: entry\nDETAIL: a person's words"))
    assert other.sentence() == (
        "The database could not do what was asked; got no such table: entry."
    )
    with pytest.raises(ConflictError, match="already kept; nothing was written"), errors_said():
        raise exc.IntegrityError("INSERT", {}, Exception("UNIQUE"))


def test_other_failures_of_the_disk_are_not_called_full(
    sqlite_store: SqlStore,
) -> None:
    class Broken(io.RawIOBase):
        def readable(self) -> bool:
            return True

        def readinto(self, buffer: object) -> int:
            raise OSError(errno.EIO, "input/output error")

    with pytest.raises(OSError, match="input/output error") as broken:
        sqlite_store.files.put(io.BufferedReader(Broken()))
    assert not isinstance(broken.value, NoSpaceError)
    assert list(sqlite_store.files.all()) == []
