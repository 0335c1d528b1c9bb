"""Several writers at once: no gaps, no doubles, and nobody overwrites what they did not see."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import multiprocessing
import threading
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text

from softmend.errors import ConflictError, RuleError
from softmend.records.entry import chain_findings
from softmend.services.bench import Author, Bench
from softmend.services.keeping import verify
from softmend.services.recording import record_one
from softmend.storage.store import open_store
from tests.storage.making import a_hazard, a_mark, an_entry, an_opening, append

if TYPE_CHECKING:
    from pathlib import Path

    from softmend.services.store import Store
    from softmend.storage.store import SqlStore

AUTHOR = Author("person-1", "condition check")


def mark_repeatedly(store: Store, count: int) -> list[int]:
    """Append marks, each with the next free number."""
    bench, given = Bench(store), []
    for _ in range(count):
        with store.writing() as writer:
            number = writer.next_number("d1", "mark")
            entry = an_entry("d1", bench.fresh_id(), a_mark(number))
            writer.append(replace(entry, id=bench.fresh_id()))
            writer.commit()
        given.append(number)
    return given


def in_a_process(url: str, folder: Path, count: int) -> list[int]:
    store = open_store(url, folder)
    try:
        return mark_repeatedly(store, count)
    finally:
        store.close()


def assert_one_line(store: Store, given: list[list[int]], each: int) -> None:
    numbers = sorted(number for numbers in given for number in numbers)
    assert numbers == list(range(1, len(given) * each + 1))
    with store.reading() as reader:
        entries = reader.entries("d1")
    assert [entry.number for entry in entries] == list(range(1, len(numbers) + 2))
    assert list(chain_findings("d1", entries)) == []
    assert verify(store).findings == ()


def test_threads_write_one_chain(store: Store) -> None:
    append(store, an_opening("d1"))
    with ThreadPoolExecutor(4) as threads:
        given = list(threads.map(lambda _: mark_repeatedly(store, 10), range(4)))
    assert_one_line(store, given, 10)


def test_processes_write_one_chain(database_url: str, tmp_path: Path) -> None:
    store = open_store(database_url, tmp_path)
    append(store, an_opening("d1"))
    with ProcessPoolExecutor(3, multiprocessing.get_context("spawn")) as processes:
        asked = [processes.submit(in_a_process, database_url, tmp_path, 12) for _ in range(3)]
        assert_one_line(store, [each.result() for each in asked], 12)
    store.close()


def test_of_two_who_saw_the_same_one_is_told(store: Store) -> None:
    append(store, an_opening("d1"))
    seen = append(store, an_entry("d1", "h1", a_hazard()))[0]
    bench, start = Bench(store), threading.Barrier(2)

    def record(name: str) -> str:
        start.wait()
        try:
            record_one(bench, AUTHOR, dossier_id="d1", subject_id="h1", record=a_hazard(name),
                       based_on=seen.id)  # fmt: skip
        except ConflictError:
            return "told"
        return "kept"

    with ThreadPoolExecutor(2) as threads:
        assert sorted(threads.map(record, ["lead", "arsenic"])) == ["kept", "told"]
    with store.reading() as reader:
        assert reader.head("d1").count == 3


def test_a_read_sees_one_state_while_others_write(store: Store) -> None:
    append(store, an_opening("d1"))
    with store.reading() as reader:
        assert reader.head("d1").count == 1
        append(store, an_entry("d1", "h1", a_hazard()), an_opening("d2"))
        assert reader.head("d1").count == 1
        assert len(reader.entries("d1")) == 1
        assert reader.dossier_ids() == ["d1"]
    with store.reading() as reader:
        assert reader.head("d1").count == 2


def test_the_databases_are_opened_as_agreed(sql_store: SqlStore) -> None:
    with sql_store._engine.connect() as connection:
        if sql_store._engine.dialect.name == "sqlite":
            kept = {
                name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
                for name in ("journal_mode", "synchronous", "foreign_keys", "secure_delete")
            }
            assert kept == {
                "journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "secure_delete": 1
            }  # fmt: skip
    with sql_store.reading() as reader:
        if sql_store._engine.dialect.name == "postgresql":
            said = reader._connection.scalar(text("SHOW transaction_isolation"))
            assert said == "repeatable read"
            assert reader._connection.scalar(text("SHOW transaction_read_only")) == "on"


def test_the_writers_lock_is_let_go_when_its_holder_is_cut_off(sql_store: SqlStore) -> None:
    append(sql_store, an_opening("d1"))
    with pytest.raises(RuleError), sql_store.writing() as writer:
        writer.append(replace(an_entry("d1", "h1", a_hazard()), purpose=""))
    append(sql_store, an_entry("d1", "h2", a_hazard()))
    with sql_store.reading() as reader:
        assert reader.head("d1").count == 2
