"""The tables, the same on SQLite and PostgreSQL, and the revision of them that this code needs."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)
from sqlalchemy.dialects.postgresql import TEXT as POSTGRES_TEXT

REVISION = "0001"

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)

# STRICT tables know INTEGER and TEXT only; PostgreSQL sorts text by bytes, as SQLite does.
TEXT = Text().with_variant(POSTGRES_TEXT(collation="C"), "postgresql")
WHOLE = BigInteger().with_variant(Integer(), "sqlite")
YES_NO = Boolean().with_variant(Integer(), "sqlite")


def _dossier_id() -> Column[str]:
    return Column("dossier_id", TEXT, ForeignKey("dossier.id"), primary_key=True)


dossier = Table(
    "dossier",
    metadata,
    Column("id", TEXT, primary_key=True),
    Column("opened_at", TEXT, nullable=False),
    Column("entry_count", WHOLE, nullable=False),
    Column("head_hash", TEXT, nullable=False),
    sqlite_strict=True,
)

entry = Table(
    "entry",
    metadata,
    Column("id", TEXT, primary_key=True),
    Column("dossier_id", TEXT, ForeignKey("dossier.id"), nullable=False),
    Column("number", WHOLE, nullable=False),
    Column("kind", TEXT, nullable=False),
    Column("subject_id", TEXT, nullable=False),
    Column("payload", TEXT),
    Column("payload_version", WHOLE, nullable=False),
    Column("payload_hash", TEXT, nullable=False),
    Column("corrects", TEXT),
    Column("author_id", TEXT, nullable=False),
    Column("purpose", TEXT, nullable=False),
    Column("at", TEXT, nullable=False),
    Column("previous_hash", TEXT, nullable=False),
    Column("hash", TEXT, nullable=False),
    UniqueConstraint("dossier_id", "number"),
    CheckConstraint("number >= 1", name="number_counts_from_one"),
    Index(None, "subject_id", "number"),
    sqlite_strict=True,
)

current = Table(
    "current",
    metadata,
    _dossier_id(),
    Column("kind", TEXT, primary_key=True),
    Column("subject_id", TEXT, primary_key=True),
    Column("entry_id", TEXT, ForeignKey("entry.id"), nullable=False),
    Column("entry_number", WHOLE, nullable=False),
    Column("human_number", WHOLE, nullable=False),
    Column("is_struck", YES_NO, nullable=False),
    sqlite_strict=True,
)

dossier_row = Table(
    "dossier_row",
    metadata,
    _dossier_id(),
    Column("number", TEXT, nullable=False),
    Column("number_issued_by", TEXT, nullable=False),
    Column("what", TEXT, nullable=False),
    Column("title", TEXT, nullable=False),
    Column("size", TEXT, nullable=False),
    Column("is_invented", YES_NO, nullable=False),
    Column("entry_count", WHOLE, nullable=False),
    Column("opened_at", TEXT, nullable=False),
    Column("changed_at", TEXT, nullable=False),
    Column("search_text", TEXT, nullable=False),
    Index(None, "changed_at", "dossier_id"),
    sqlite_strict=True,
)

named_file = Table(
    "named_file",
    metadata,
    _dossier_id(),
    Column("sha256", TEXT, primary_key=True),
    Column("what", TEXT, nullable=False),
    sqlite_strict=True,
)

draft = Table(
    "draft",
    metadata,
    Column("author_id", TEXT, primary_key=True),
    Column("kind", TEXT, primary_key=True),
    Column("subject_id", TEXT, primary_key=True),
    Column("dossier_id", TEXT, ForeignKey("dossier.id"), nullable=False),
    Column("content", TEXT, nullable=False),
    Column("based_on", TEXT, nullable=False),
    Column("saved_at", TEXT, nullable=False),
    Index(None, "dossier_id"),
    sqlite_strict=True,
)

person = Table(
    "person",
    metadata,
    Column("id", TEXT, primary_key=True),
    Column("name", TEXT),
    sqlite_strict=True,
)

job = Table(
    "job",
    metadata,
    Column("id", TEXT, primary_key=True),
    Column("kind", TEXT, nullable=False),
    Column("dossier_id", TEXT),
    Column("state", TEXT, nullable=False),
    Column("done", WHOLE, nullable=False),
    Column("total", WHOLE, nullable=False),
    Column("message", TEXT, nullable=False),
    Column("result", TEXT, nullable=False),
    Column("started_at", TEXT, nullable=False),
    Column("changed_at", TEXT, nullable=False),
    Column("runner", TEXT, nullable=False),
    sqlite_strict=True,
)

PROJECTIONS = (current, dossier_row, named_file)
