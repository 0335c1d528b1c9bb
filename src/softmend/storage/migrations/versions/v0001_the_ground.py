"""The first tables: dossiers, their entries, what is derived from them, and what stands beside."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0001"
down_revision = None

_TEXT = sa.Text().with_variant(postgresql.TEXT(collation="C"), "postgresql")
_WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
_YES_NO = sa.Boolean().with_variant(sa.Integer(), "sqlite")


def _texts(names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, _TEXT, nullable=False) for name in names.split()]


def _wholes(names: str) -> list[sa.Column[int]]:
    return [sa.Column(name, _WHOLE, nullable=False) for name in names.split()]


def _key(name: str) -> sa.Column[str]:
    return sa.Column(name, _TEXT, primary_key=True)


def _dossier_key() -> sa.Column[str]:
    return sa.Column("dossier_id", _TEXT, sa.ForeignKey("dossier.id"), primary_key=True)


def _dossier_reference() -> sa.Column[str]:
    return sa.Column("dossier_id", _TEXT, sa.ForeignKey("dossier.id"), nullable=False)


def upgrade() -> None:
    """Make every table of the first version."""
    _journal()
    _projections()
    _beside()


def _journal() -> None:
    op.create_table(
        "dossier",
        _key("id"),
        *_texts("opened_at"),
        *_wholes("entry_count"),
        *_texts("head_hash"),
        sqlite_strict=True,
    )
    op.create_table(
        "entry",
        _key("id"),
        _dossier_reference(),
        *_wholes("number"),
        *_texts("kind subject_id"),
        sa.Column("payload", _TEXT),
        *_wholes("payload_version"),
        *_texts("payload_hash"),
        sa.Column("corrects", _TEXT),
        *_texts("author_id purpose at previous_hash hash"),
        sa.UniqueConstraint("dossier_id", "number"),
        sa.CheckConstraint("number >= 1", name="number_counts_from_one"),
        sqlite_strict=True,
    )
    op.create_index(None, "entry", ["subject_id", "number"])


def _projections() -> None:
    op.create_table(
        "current",
        _dossier_key(),
        _key("kind"),
        _key("subject_id"),
        sa.Column("entry_id", _TEXT, sa.ForeignKey("entry.id"), nullable=False),
        *_wholes("entry_number human_number"),
        sa.Column("is_struck", _YES_NO, nullable=False),
        sqlite_strict=True,
    )
    op.create_table(
        "dossier_row",
        _dossier_key(),
        *_texts("number number_issued_by what title size"),
        sa.Column("is_invented", _YES_NO, nullable=False),
        *_wholes("entry_count"),
        *_texts("opened_at changed_at search_text"),
        sqlite_strict=True,
    )
    op.create_index(None, "dossier_row", ["changed_at", "dossier_id"])
    op.create_table(
        "named_file",
        _dossier_key(),
        _key("sha256"),
        *_texts("what"),
        sqlite_strict=True,
    )


def _beside() -> None:
    op.create_table(
        "draft",
        *(_key(name) for name in ("author_id", "kind", "subject_id")),
        _dossier_reference(),
        *_texts("content based_on saved_at"),
        sqlite_strict=True,
    )
    op.create_index(None, "draft", ["dossier_id"])
    op.create_table("person", _key("id"), sa.Column("name", _TEXT), sqlite_strict=True)
    op.create_table(
        "job",
        _key("id"),
        *_texts("kind"),
        sa.Column("dossier_id", _TEXT),
        *_texts("state"),
        *_wholes("done total"),
        *_texts("message result started_at changed_at runner"),
        sqlite_strict=True,
    )
