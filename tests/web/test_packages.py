"""The page of closing shows how far a package has come, stops it, and gives it to be taken."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import re
import time
import zipfile
from typing import TYPE_CHECKING

import pytest

from softmend.services.jobs import Jobs
from softmend.web.app import create_app
from tests.web.conftest import TOKEN

if TYPE_CHECKING:
    from collections.abc import Iterator

    from fastapi import FastAPI
    from fastapi.testclient import TestClient

    from softmend.services.bench import Bench

LIMIT_S = 60.0


@pytest.fixture
def app(bench: Bench) -> Iterator[FastAPI]:
    jobs = Jobs(bench)
    app = create_app(bench, TOKEN, jobs=jobs)
    yield app
    jobs.close()
    app.state.packages.close()


def rested(client: TestClient, at: str) -> str:
    """Return the list of packages once none is under way."""
    until = time.monotonic() + LIMIT_S
    while 'hx-trigger="every 1s"' in (shown := client.get(f"{at}/packages").text):
        assert time.monotonic() < until
        time.sleep(0.1)
    return shown


def test_a_package_is_made_shown_stopped_and_taken(client: TestClient, dossier_id: str) -> None:
    at = f"/dossiers/{dossier_id}/return/closing"
    assert "/packages" in client.get(at).text
    assert "<li" not in client.get(f"{at}/packages").text
    assert client.post(f"{at}/package", data={"to_whom": " "}).status_code == 422
    begun = client.post(f"{at}/package", data={"to_whom": "the owner", "carried_how": "by hand"})
    assert begun.status_code == 303
    under_way = client.get(f"{at}/packages").text
    assert "Package for the owner" in under_way
    assert "<progress" in under_way
    (stop,) = re.findall(rf'action="({at}/packages/[0-9a-f-]+/stop)"', under_way)
    shown = rested(client, at)
    (take,) = re.findall(rf'action="({at}/packages/[0-9a-f-]+/take)"', shown)
    assert "nothing is logged until it is taken" in shown
    assert "Nobody else has this dossier yet" in client.get(at).text
    given = client.post(take)
    assert zipfile.is_zipfile(io.BytesIO(given.content))
    assert 'filename="T-1.2-package.zip"' in given.headers["content-disposition"]
    assert "taken and logged" in client.get(f"{at}/packages").text
    assert "the owner" in client.get(at).text
    # What has ended cannot be stopped.
    assert client.post(stop).status_code == 404


def test_a_stop_leaves_the_list_and_no_file(client: TestClient, dossier_id: str) -> None:
    at = f"/dossiers/{dossier_id}/return/closing"
    client.post(f"{at}/package", data={"to_whom": "the owner"})
    (stop,) = re.findall(rf'action="({at}/packages/[0-9a-f-]+/stop)"',
                         client.get(f"{at}/packages").text)  # fmt: skip
    assert client.post(stop).status_code == 303
    shown = rested(client, at)
    assert "Stopped; nothing half done was kept." in shown
    assert client.post(stop.replace("/stop", "/take")).status_code == 409
