"""The database's revision: looked up at every start, without loading the migration library."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import (
    Column,
    Connection,
    Engine,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    insert,
    inspect,
    select,
)

from softmend.errors import StorageError
from softmend.storage.durable import disk_full_said, make_folder
from softmend.storage.engine import is_sqlite, read_transaction, write_transaction
from softmend.storage.lock import locked
from softmend.storage.tables import REVISION, metadata

MIGRATIONS = Path(__file__).parent / "migrations"
OPENING_WAIT_S = 60.0

# The one table that the migration library keeps for itself.
_version = Table(
    "alembic_version",
    MetaData(),
    Column("version_num", String(32), nullable=False),
    PrimaryKeyConstraint("version_num", name="alembic_version_pkc"),
)


@dataclass(frozen=True)
class Schema:
    """The revision that the code needs and the folders of the steps that lead to it."""

    revision: str = REVISION
    steps: tuple[Path, ...] = (MIGRATIONS / "versions",)


SCHEMA = Schema()


def make_ready(engine: Engine, schema: Schema = SCHEMA) -> None:
    """Create the tables of an empty database, or bring an older one forward; else refuse."""
    if not is_sqlite(engine):
        _make_ready(engine, schema)
        return
    path = Path(engine.url.database or "")
    with disk_full_said():
        make_folder(path.parent)
    # Two programs that start at once must not both migrate one file.
    sentence = "Another Softmend is opening or migrating this folder"
    with locked(path.with_name(path.name + ".lock"), OPENING_WAIT_S, sentence):
        _make_ready(engine, schema)


def stored_revision(connection: Connection) -> str | None:
    """Return the database's revision, or None when it has no tables at all."""
    names = inspect(connection).get_table_names()
    if _version.name not in names:
        if names:
            raise StorageError("This database holds something else than Softmend's dossiers")
        return None
    return connection.scalar(select(_version.c.version_num))


def _make_ready(engine: Engine, schema: Schema) -> None:
    with read_transaction(engine) as connection:
        stored = stored_revision(connection)
    if stored == schema.revision:
        return
    if stored is None:
        _create(engine)
    elif stored > schema.revision:
        raise StorageError(
            "These dossiers were written by a newer Softmend; nothing was touched",
            value=f"revision {stored}",
            allowed=f"up to {schema.revision}",
            remedy="Install the newer Softmend",
        )
    else:
        from softmend.storage.migrate import migrate

        migrate(engine, schema)


def _create(engine: Engine) -> None:
    with write_transaction(engine) as connection:
        # On PostgreSQL another bench may have made them while we waited for the lock.
        if stored_revision(connection) is None:
            metadata.create_all(connection)
            _version.create(connection)
            connection.execute(insert(_version).values(version_num=REVISION))
            connection.commit()
