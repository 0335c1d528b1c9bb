"""A later step that only tests take: a new column, and a table made anew around its rows."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    with op.batch_alter_table("person", recreate="always") as person:
        person.add_column(sa.Column("initials", sa.Text(), nullable=True))
    op.create_table("bench_note", sa.Column("id", sa.Text(), primary_key=True), sqlite_strict=True)
