"""Stores to test: the fake, SQLite and PostgreSQL, each empty."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from softmend.services.fake_store import FakeStore
from softmend.storage.store import SqlStore, open_store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from softmend.services.store import Store


@pytest.fixture(params=["fake", "sqlite", "postgresql"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """Give an empty store of every kind: what passes on one passes on all."""
    made: Store
    if request.param == "fake":
        made = FakeStore()
    elif request.param == "sqlite":
        made = open_store(f"sqlite:///{(tmp_path / 'softmend.sqlite').as_posix()}", tmp_path)
    else:
        made = open_store(request.getfixturevalue("postgres_database_url"), tmp_path)
    yield made
    made.close()


@pytest.fixture
def sql_store(database_url: str, tmp_path: Path) -> Iterator[SqlStore]:
    """Give an empty store on each of the two databases."""
    made = open_store(database_url, tmp_path)
    yield made
    made.close()


@pytest.fixture
def sqlite_store(tmp_path: Path) -> Iterator[SqlStore]:
    """Give an empty store on a SQLite file named softmend.sqlite."""
    made = open_store(f"sqlite:///{(tmp_path / 'softmend.sqlite').as_posix()}", tmp_path)
    yield made
    made.close()
