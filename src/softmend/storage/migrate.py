"""Bringing an older database forward: PostgreSQL in one transaction, a SQLite file by a copy.

The SQLite file itself is never changed. A copy is migrated and verified, then takes its name;
the old file stays beside it as the backup. Killed at any moment, one of the two stands whole.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.pool import NullPool

from softmend.errors import StorageError
from softmend.storage.durable import disk_full_said, sync_file, sync_folder
from softmend.storage.engine import errors_said, is_sqlite, write_transaction
from softmend.storage.schema import MIGRATIONS, Schema, stored_revision

_ENTRIES = "SELECT id, dossier_id, number, hash, payload FROM entry ORDER BY dossier_id, number"


def migrate(engine: Engine, schema: Schema) -> None:
    """Bring the database to the schema's revision; the caller holds the opening lock."""
    if not is_sqlite(engine):
        with write_transaction(engine) as connection:
            _bring_forward(connection, schema)
            connection.commit()
        return
    engine.dispose()
    try:
        with errors_said(), disk_full_said():
            _migrate_file(Path(engine.url.database or ""), schema)
    except sqlite3.OperationalError as failed:
        raise StorageError(
            "The dossiers could not be brought forward; they stand as they were",
            value=failed,
            remedy="Close every other Softmend, see that the disk has room, and start again",
        ) from failed


def backup_path(path: Path, revision: str) -> Path:
    """Return where the file stays as it was before it was brought to a revision."""
    return path.with_name(f"{path.name}.before-{revision}")


def _migrate_file(path: Path, schema: Schema) -> None:
    copy = path.with_name(f"{path.name}.migrating")
    _remove(copy)
    try:
        with _held_still(path):
            _make_migrated(path, copy, schema)
            if os.name != "nt":
                copy.replace(path)
        if os.name == "nt":
            # Windows cannot replace an open file; the opening lock still keeps others away.
            copy.replace(path)
        sync_folder(path.parent)
    finally:
        _remove(copy)


def _make_migrated(path: Path, copy: Path, schema: Schema) -> None:
    _snapshot(path, copy)
    with _plain_engine(copy).begin() as connection:
        _bring_forward(connection, schema)
    _check_file(copy)
    sync_file(copy)
    kept = backup_path(path, schema.revision)
    kept.unlink(missing_ok=True)
    _link_or_copy(path, kept)
    sync_folder(path.parent)


def _remove(copy: Path) -> None:
    for leftover in (copy, copy.with_name(f"{copy.name}-journal")):
        leftover.unlink(missing_ok=True)


@contextmanager
def _held_still(path: Path) -> Iterator[None]:
    """Keep every writer away from a database file that has no journal beside it."""
    with closing(sqlite3.connect(path, isolation_level=None, timeout=0)) as holder:
        # A journal left beside the name would be read into the new file; this empties it, and
        # fails as long as any other connection is open.
        holder.execute("PRAGMA journal_mode=DELETE")
        holder.execute("BEGIN IMMEDIATE")
        yield
        holder.execute("ROLLBACK")


def _snapshot(path: Path, copy: Path) -> None:
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(copy)) as target:
        source.backup(target)


def _plain_engine(path: Path) -> Engine:
    engine = create_engine(f"sqlite:///{path.as_posix()}", poolclass=NullPool)

    @event.listens_for(engine, "connect")
    def _prepare(connection: sqlite3.Connection, _: object) -> None:
        connection.isolation_level = None
        # A rebuilt table is dropped under its references; they are checked at the end.
        connection.execute("PRAGMA foreign_keys=OFF")
        connection.execute("PRAGMA secure_delete=ON")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE")

    return engine


def take_steps(connection: Connection, schema: Schema) -> None:
    """Run every step that leads to the schema's revision, inside the connection's transaction."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", MIGRATIONS.as_posix())
    config.set_main_option("path_separator", "newline")
    config.set_main_option("version_locations", "\n".join(step.as_posix() for step in schema.steps))
    config.attributes["connection"] = connection
    command.upgrade(config, schema.revision)


def _bring_forward(connection: Connection, schema: Schema) -> None:
    # Another bench may have done it while we waited for the lock.
    if stored_revision(connection) == schema.revision:
        return
    before = _entries_digest(connection)
    take_steps(connection, schema)
    if _entries_digest(connection) != before:
        raise StorageError("A migration changed what was recorded; it was not kept")


def _entries_digest(connection: Connection) -> str:
    digest = hashlib.sha256()
    for row in connection.execute(text(_ENTRIES), execution_options={"yield_per": 1000}):
        digest.update(repr(tuple(row)).encode())
    return digest.hexdigest()


def _check_file(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        whole = connection.execute("PRAGMA integrity_check").fetchone()[0]
        loose = connection.execute("PRAGMA foreign_key_check").fetchall()
    if whole != "ok" or loose:
        raise StorageError("The migrated copy is not sound; the dossiers stand as they were")


def _link_or_copy(path: Path, kept: Path) -> None:
    try:
        os.link(path, kept)
    except OSError:
        shutil.copy2(path, kept)
        sync_file(kept)
