"""What the migration library runs: the steps, on the connection that we hand it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from alembic import context

from softmend.storage.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
    compare_type=True,
)
context.run_migrations()
