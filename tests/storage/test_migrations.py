"""Bringing a database forward: the same schema by both roads, and never in place on SQLite."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import create_engine, inspect, text
from sqlalchemy.engine import make_url

from softmend.errors import StorageError
from softmend.records.rows import Person
from softmend.services.keeping import verify
from softmend.storage.engine import engine_for, write_transaction
from softmend.storage.migrate import take_steps
from softmend.storage.schema import MIGRATIONS, SCHEMA, Schema, make_ready
from softmend.storage.store import open_store
from softmend.storage.tables import REVISION, metadata
from tests.storage.making import a_mark, an_entry, an_opening, append

if TYPE_CHECKING:
    from sqlalchemy import Connection

LATER_STEPS = Path(__file__).parent / "later_steps"
LATER = Schema("0002", (MIGRATIONS / "versions", LATER_STEPS))
WRONG = Schema("0003", LATER.steps)


def shape(connection: Connection) -> dict[str, Any]:
    """Return everything the database itself says of its tables."""
    seen = inspect(connection)
    return {
        name: (
            [
                (each["name"], str(each["type"]), each["nullable"])
                for each in seen.get_columns(name)
            ],
            seen.get_pk_constraint(name),
            sorted(map(repr, seen.get_foreign_keys(name))),
            sorted(map(repr, seen.get_unique_constraints(name))),
            sorted(map(repr, seen.get_check_constraints(name))),
            sorted(map(repr, seen.get_indexes(name))),
        )
        for name in seen.get_table_names()
    }


def differences(connection: Connection) -> list[Any]:
    """Return what the migration library would still change."""
    context = MigrationContext.configure(connection, opts={"compare_type": True})
    return [
        each
        for each in compare_metadata(context, metadata)
        if getattr(each[1], "name", "") != "alembic_version"
    ]


def test_steps_from_nothing_and_a_fresh_database_are_the_same(
    database_url: str, tmp_path: Path
) -> None:
    fresh = engine_for(make_url(database_url))
    make_ready(fresh)
    with fresh.connect() as connection:
        made = shape(connection)
        assert differences(connection) == []
    with write_transaction(fresh) as connection:
        metadata.drop_all(connection)
        connection.execute(text("DROP TABLE alembic_version"))
        connection.commit()
        take_steps(connection, SCHEMA)
        assert shape(connection) == made
        assert differences(connection) == []
    fresh.dispose()
    assert len(made) == len(metadata.tables) + 1


def test_tables_are_strict_on_sqlite(tmp_path: Path) -> None:
    open_store(f"sqlite:///{(tmp_path / 'a.sqlite').as_posix()}", tmp_path).close()
    with closing(sqlite3.connect(tmp_path / "a.sqlite")) as connection:
        strict = dict(connection.execute("SELECT name, strict FROM pragma_table_list"))
        assert {name for name, is_strict in strict.items() if is_strict} == set(metadata.tables)
        with pytest.raises(sqlite3.IntegrityError, match="cannot store TEXT"):
            connection.execute("INSERT INTO dossier VALUES ('d', 'now', 'many', 'x')")


def test_a_start_does_not_load_the_migration_library(tmp_path: Path) -> None:
    script = (
        "import sys\nfrom softmend.house import open_house\n"
        f"for _ in range(2): open_house({str(tmp_path / 'house')!r}).close()\n"
        "print('alembic' in sys.modules)"
    )
    loaded = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True,
        env={"PYTHONPATH": "src"},
    )  # fmt: skip
    assert loaded.stdout == "False\n"


def recorded(url: str, folder: Path) -> None:
    store = open_store(url, folder)
    append(store, an_opening("d1"), an_entry("d1", "m1", a_mark(1)))
    with store.writing() as writer:
        writer.add_person(Person("p1", "A. Conservator"))
        writer.commit()
    store.close()


def test_an_older_database_is_brought_forward(database_url: str, tmp_path: Path) -> None:
    recorded(database_url, tmp_path)
    store = open_store(database_url, tmp_path, LATER)
    with store.reading() as reader:
        assert reader.people() == [Person("p1", "A. Conservator")]
        assert reader.next_number("d1", "mark") == 2
    assert verify(store).findings == ()
    store.close()
    engine = create_engine(database_url)
    with engine.connect() as connection:
        assert connection.scalar(text("SELECT version_num FROM alembic_version")) == "0002"
        assert connection.scalar(text("SELECT initials FROM person")) is None
    engine.dispose()
    with pytest.raises(StorageError, match="written by a newer Softmend; nothing was touched"):
        open_store(database_url, tmp_path)


def test_the_old_file_stays_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "softmend.sqlite"
    url = f"sqlite:///{path.as_posix()}"
    recorded(url, tmp_path)
    store = open_store(url, tmp_path, LATER)
    kept = tmp_path / "softmend.sqlite.before-0002"
    assert store.older_copies() == [str(kept)]
    store.close()
    with closing(sqlite3.connect(kept)) as connection:
        assert connection.execute("SELECT version_num FROM alembic_version").fetchone() == (
            REVISION,
        )
        assert connection.execute("SELECT count(*) FROM entry").fetchone() == (2,)
    assert not list(tmp_path.glob("*migrating*"))


def test_a_step_that_changes_what_was_recorded_is_not_kept(
    database_url: str, tmp_path: Path
) -> None:
    recorded(database_url, tmp_path)
    with pytest.raises(StorageError, match="A migration changed what was recorded"):
        open_store(database_url, tmp_path, WRONG)
    store = open_store(database_url, tmp_path)
    assert verify(store).findings == ()
    store.close()


def test_a_file_that_another_program_has_open_is_not_brought_forward(tmp_path: Path) -> None:
    url = f"sqlite:///{(tmp_path / 'softmend.sqlite').as_posix()}"
    recorded(url, tmp_path)
    other = open_store(url, tmp_path)
    with other.reading() as reader:
        reader.people()
    with pytest.raises(StorageError, match=r"stand as they were.*Close every other Softmend"):
        open_store(url, tmp_path, LATER)
    append(other, an_entry("d1", "m2", a_mark(2)))
    other.close()
    store = open_store(url, tmp_path, LATER)
    assert verify(store).entry_count == 3
    store.close()


def test_a_database_of_something_else_is_refused(database_url: str, tmp_path: Path) -> None:
    engine = create_engine(database_url)
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE recipes (id TEXT)"))
    engine.dispose()
    with pytest.raises(StorageError, match="holds something else than Softmend's dossiers"):
        open_store(database_url, tmp_path)


def test_a_file_that_is_no_database_is_refused(tmp_path: Path) -> None:
    (tmp_path / "softmend.sqlite").write_bytes(b"a letter to the owner" * 100)
    with pytest.raises(StorageError, match="file is not a database"):
        open_store(f"sqlite:///{(tmp_path / 'softmend.sqlite').as_posix()}", tmp_path)
