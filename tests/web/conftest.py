"""The application on a store in memory, and a browser-like client that was let in."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from fastapi.testclient import TestClient

from softmend.records.dossier import Dossier, Size
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import open_dossier
from softmend.services.fake_store import FakeStore
from softmend.services.people import come_to_the_bench
from softmend.web.app import create_app

if TYPE_CHECKING:
    from collections.abc import Iterator

    from fastapi import FastAPI

TOKEN = "this-run"
OURS = {"sec-fetch-site": "same-origin"}


@pytest.fixture
def bench() -> Iterator[Bench]:
    store = FakeStore()
    yield Bench(store, zone="Europe/Oslo")
    store.close()


@pytest.fixture
def app(bench: Bench) -> FastAPI:
    return create_app(bench, TOKEN)


@pytest.fixture
def stranger(app: FastAPI) -> Iterator[TestClient]:
    """A browser that does not know this run's link."""
    with TestClient(app, base_url="http://127.0.0.1:8000", follow_redirects=False) as client:
        yield client


@pytest.fixture
def client(stranger: TestClient) -> TestClient:
    """A browser that opened the link and whose person said who they are."""
    assert stranger.get("/", params={"token": TOKEN}).status_code == 303
    stranger.headers.update(OURS)
    said = stranger.post("/who", data={"name": "Ida Invented", "purpose": "examination"})
    assert said.status_code == 303
    return stranger


@pytest.fixture
def author(bench: Bench) -> Author:
    return Author(come_to_the_bench(bench, "Ida Invented").id, "examination")


@pytest.fixture
def dossier_id(bench: Bench, author: Author) -> str:
    return open_dossier(
        bench,
        author,
        Dossier(
            what="limewood figurehead, left arm",
            number="T 1.2",
            number_issued_by="an invented museum",
            why_here="cracked since last winter",
            size=Size.FULL,
            is_invented=True,
        ),
    )
