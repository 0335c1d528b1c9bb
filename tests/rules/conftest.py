"""A bench on each of the two databases, and a dossier with two small photographs in it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import count
from typing import TYPE_CHECKING

import pytest

from softmend.records.dossier import Dossier, Size
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import open_dossier
from softmend.services.people import come_to_the_bench
from softmend.storage.store import open_store
from tests.services.deposit_sample import photograph

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def bench(database_url: str, tmp_path: Path) -> Iterator[Bench]:
    """Give a bench on a database, with a clock that ticks by the second from 2 March 2026."""
    ticks = count()
    start = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    store = open_store(database_url, tmp_path)
    yield Bench(store, clock=lambda: start + timedelta(seconds=next(ticks)), zone="Europe/Oslo")
    store.close()


@pytest.fixture
def author(bench: Bench) -> Author:
    return Author(come_to_the_bench(bench, "A. Conservator").id, "treatment")


@pytest.fixture
def second(bench: Bench) -> str:
    """Somebody else at the bench."""
    return come_to_the_bench(bench, "B. Second").id


@pytest.fixture
def dossier_id(bench: Bench, author: Author) -> str:
    opening = Dossier(
        "antler beam", "INV 12", "an invented house", "wanted for display", Size.SHORT, True
    )
    return open_dossier(bench, author, opening)


@pytest.fixture
def view_id(bench: Bench, author: Author, dossier_id: str) -> str:
    return photograph(bench, author, dossier_id, 1)
