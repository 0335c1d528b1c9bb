"""Connections: one writer at a time and reads of one state, on both databases alike."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, exc, text
from sqlalchemy.engine import URL

from softmend.errors import ConflictError, InputError, StorageError
from softmend.storage.durable import no_space
from softmend.storage.place import refuse_far_postgres, refuse_network_share

BUSY_S = 10
# "softmend" on a telephone's keys; every writer of one database takes this lock.
WRITER_LOCK = 76386363
_FULL_DISK_STATE = "53100"
_PRAGMAS = (
    "journal_mode=WAL",
    "synchronous=FULL",
    "foreign_keys=ON",
    "secure_delete=ON",
    f"busy_timeout={BUSY_S * 1000}",
)


def engine_for(url: URL) -> Engine:
    """Return an engine for a place that is allowed; nothing is opened yet."""
    if url.get_backend_name() == "postgresql":
        refuse_far_postgres(url)
        return create_engine(url.set(drivername="postgresql+psycopg"), pool_pre_ping=True)
    if url.get_backend_name() != "sqlite" or not url.database or url.database == ":memory:":
        raise StorageError(
            "This is not a place that Softmend can keep dossiers in",
            value=url.render_as_string(hide_password=True),
            allowed="a folder, sqlite:///FILE or postgresql://...",
        )
    refuse_network_share(Path(url.database))
    engine = create_engine(url, connect_args={"timeout": BUSY_S})
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def is_sqlite(engine: Engine) -> bool:
    """Say whether the engine's database is a SQLite file."""
    return engine.dialect.name == "sqlite"


@contextmanager
def read_transaction(engine: Engine) -> Iterator[Connection]:
    """Open a transaction in which every query sees one state."""
    with errors_said(), engine.connect() as connection:
        if not is_sqlite(engine):
            connection.execution_options(
                isolation_level="REPEATABLE READ", postgresql_readonly=True
            )
        with connection.begin():
            yield connection


@contextmanager
def write_transaction(engine: Engine) -> Iterator[Connection]:
    """Open the one write transaction; the caller commits, or nothing is kept."""
    with errors_said(), engine.connect() as connection:
        if is_sqlite(engine):
            connection.execution_options(is_writing=True)
        connection.begin()
        if not is_sqlite(engine):
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": WRITER_LOCK})
        yield connection


@contextmanager
def errors_said() -> Iterator[None]:
    """Turn the databases' errors into ours, each with one clear sentence."""
    try:
        yield
    except exc.IntegrityError as refused:
        raise ConflictError(
            "Something of the same id or number is already kept; nothing was written"
        ) from refused
    except exc.DataError as refused:
        raise InputError("This holds a character or a number that cannot be kept") from refused
    except exc.DBAPIError as failed:
        raise _translated(failed) from failed


def _translated(failed: exc.DBAPIError) -> StorageError:
    original: Any = failed.orig
    code = getattr(original, "sqlite_errorcode", None)
    if code == sqlite3.SQLITE_FULL or getattr(original, "sqlstate", None) == _FULL_DISK_STATE:
        return no_space()
    if code is not None and code & 0xFF in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
        return StorageError(
            "Another Softmend is writing to this folder; nothing was saved",
            remedy="Wait a moment and try again",
        )
    # The first line says what; the rest may quote a person's words, which belong in no message.
    first_line = str(original).strip().partition("\n")[0]
    return StorageError("The database could not do what was asked", value=first_line)


def _prepare_sqlite(connection: sqlite3.Connection, _: object) -> None:
    # Python's own transactions begin too late for a read and too weakly for a write.
    connection.isolation_level = None
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: Connection) -> None:
    is_writing = connection.get_execution_options().get("is_writing", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if is_writing else "BEGIN DEFERRED")
