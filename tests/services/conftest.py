"""A bench on the fake store with a clock that ticks by the second."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import count

import pytest

from softmend.records.dossier import Dossier, Size
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.view import View
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import open_dossier
from softmend.services.fake_store import FakeStore
from softmend.services.people import come_to_the_bench
from softmend.services.recording import record_one


@pytest.fixture
def bench() -> Iterator[Bench]:
    ticks = count()
    start = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    store = FakeStore()
    yield Bench(
        store=store,
        clock=lambda: start + timedelta(seconds=next(ticks)),
        zone="Europe/Oslo",
    )
    store.close()


@pytest.fixture
def author(bench: Bench) -> Author:
    return Author(come_to_the_bench(bench, "A. Conservator").id, "condition check")


@pytest.fixture
def dossier_id(bench: Bench, author: Author) -> str:
    return open_dossier(
        bench,
        author,
        Dossier("antler beam", "INV 12", "an invented house", "wanted for display", Size.SHORT),
    )


@pytest.fixture
def view_id(bench: Bench, author: Author, dossier_id: str) -> str:
    view = View(1, "front.jpg", "a" * 64, 10, "b" * 64, 1000, 800, 8, "sRGB")
    entry = record_one(
        bench, author, dossier_id=dossier_id, subject_id="view-1", record=view, based_on=""
    )
    return entry.subject_id


def crack(view_id: str, *points: tuple[float, float]) -> Mark:
    line = Geometry(Shape.LINE, (points or ((10.0, 10.0), (200.0, 40.0)),))
    return Mark(number=0, term_id="crack", sightings=(Sighting(view_id, line),))
