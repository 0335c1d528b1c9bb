"""The store: one database, SQLite or PostgreSQL by its address, and one folder of files."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.engine import make_url

from softmend.errors import StorageError
from softmend.storage.engine import (
    engine_for,
    errors_said,
    is_sqlite,
    read_transaction,
    write_transaction,
)
from softmend.storage.files import FolderFiles
from softmend.storage.reader import OneStateReader
from softmend.storage.schema import SCHEMA, Schema, make_ready
from softmend.storage.writer import SqlWriter


class SqlStore:
    """Keeps dossiers in a database and files in a folder."""

    def __init__(self, engine: Engine, files: FolderFiles) -> None:
        """Join a database that is ready with its files."""
        self._engine = engine
        self._files = files

    @property
    def files(self) -> FolderFiles:
        """Return the kept files."""
        return self._files

    @contextmanager
    def reading(self) -> Iterator[OneStateReader]:
        """Open a read of one state."""
        with read_transaction(self._engine) as connection:
            yield OneStateReader(connection)

    @contextmanager
    def writing(self) -> Iterator[SqlWriter]:
        """Open one write transaction; leaving it without commit keeps nothing."""
        with write_transaction(self._engine) as connection:
            writer = SqlWriter(connection)
            yield writer
        if writer.has_erased:
            self._forget_erased_bytes()

    def older_copies(self) -> list[str]:
        """Return where else the store keeps copies of what was recorded."""
        if not is_sqlite(self._engine):
            return ["the PostgreSQL server's write-ahead log, its archives and its base backups"]
        path = self._database_path()
        return [str(kept) for kept in sorted(path.parent.glob(f"{path.name}.before-*"))]

    def close(self) -> None:
        """Let go of every connection."""
        self._engine.dispose()

    def _database_path(self) -> Path:
        return Path(self._engine.url.database or "")

    def _forget_erased_bytes(self) -> None:
        with errors_said():
            if is_sqlite(self._engine):
                if not journal_emptied(self._engine):
                    raise StorageError(
                        "The text is erased, but its bytes are still on the disk: another window "
                        "reads the old state, or the disk is full",
                        remedy="Close every Softmend and free some space; the next start removes "
                        "them",
                    )
            else:
                with self._engine.connect() as connection:
                    connection.execution_options(isolation_level="AUTOCOMMIT")
                    connection.exec_driver_sql("VACUUM (FULL) entry, draft, person, dossier_row")


def journal_emptied(engine: Engine) -> bool:
    """Move SQLite's journal into the file and empty it; say whether that could be done.

    Until then erased text may be left there. On a full disk the journal has to stay for now.
    """
    connection = engine.raw_connection()
    try:
        is_busy, _, _ = connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    except sqlite3.OperationalError:
        return False
    finally:
        connection.close()
    return not is_busy


def open_store(url: str, files_folder: Path, schema: Schema = SCHEMA) -> SqlStore:
    """Open, make or bring forward the database at an address, with its folder of files."""
    engine = engine_for(make_url(url))
    try:
        make_ready(engine, schema)
        if is_sqlite(engine):
            # A killed process may have left erased text in the journal.
            journal_emptied(engine)
        files = FolderFiles(files_folder)
    except BaseException:
        engine.dispose()
        raise
    return SqlStore(engine, files)
