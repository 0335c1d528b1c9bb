"""The watched folder through its page: only at this machine, and nothing is taken silently."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from fastapi.testclient import TestClient
from PIL import Image

from softmend.services.examine.views import views_in
from tests.web.conftest import OURS, TOKEN

if TYPE_CHECKING:
    from pathlib import Path

    from fastapi import FastAPI

    from softmend.services.bench import Bench

ASKED = {"hx-request": "true"}


def test_photographs_in_the_folder_are_offered_and_brought_in_when_asked(
    app: FastAPI, bench: Bench, dossier_id: str, tmp_path: Path
) -> None:
    folder = tmp_path / "camera"
    folder.mkdir()
    for grey, name in ((40, "one & only.png"), (80, "two.png"), (120, "three.png")):
        kept = io.BytesIO()
        Image.new("RGB", (60, 40), (grey, 0, 0)).save(kept, "PNG")
        (folder / name).write_bytes(kept.getvalue())
    at = f"/dossiers/{dossier_id}/watched"
    where = "http://127.0.0.1:8000"
    with TestClient(app, where, client=("127.0.0.1", 5000), follow_redirects=False) as here:
        here.get("/", params={"token": TOKEN})
        here.headers.update(OURS)
        here.post("/who", data={"name": "Ida Invented", "purpose": "examination"})
        wrong = here.post(f"{at}/folder", data={"folder": str(folder / "none")})
        assert wrong.status_code == 422
        assert "The folder is not there" in wrong.text
        assert here.post(f"{at}/folder", data={"folder": str(folder)}).status_code == 303
        page = here.get(f"/dossiers/{dossier_id}/examine").text
        assert str(folder) in page
        assert f'hx-get="{at}"' in page

        # The files were written a moment ago; two seconds after that they are whole.
        shown = here.get(at, headers=ASKED).text
        assert shown.count("still being written") == 3
        assert "Bring all in" not in shown
        app.state.bench = replace(bench, clock=lambda: datetime.now(UTC) + timedelta(seconds=3))
        shown = here.get(at, headers=ASKED).text
        assert "one &amp; only.png" in shown
        assert "3 photographs can be brought in." in shown
        seen = shown.partition("?seen=")[2].partition('"')[0]
        assert here.get(at, params={"seen": seen}, headers=ASKED).status_code == 204

        taken = here.post(f"{at}/file", data={"name": "one & only.png"}, headers=ASKED)
        assert (taken.status_code, taken.headers["hx-refresh"]) == (204, "true")
        assert "brought in already, as view 1" in here.get(at, headers=ASKED).text
        again = here.post(f"{at}/file", data={"name": "one & only.png"}, headers=ASKED)
        assert again.status_code == 409

        # All: one at a request, and the page asks for the next.
        going_on = here.post(f"{at}/all", headers=ASKED).text
        assert "1 is left" in going_on
        assert f'hx-post="{at}/all" hx-trigger="load"' in going_on
        assert here.post(f"{at}/all", headers=ASKED).headers["hx-refresh"] == "true"
        with bench.store.reading() as reader:
            assert len(views_in(reader, dossier_id)) == 3
        assert len(list(folder.iterdir())) == 3

        # Passed on by a proxy, the same request may come from anywhere.
        passed_on = here.get(at, headers={"x-forwarded-for": "192.0.2.7"})
        assert passed_on.status_code == 403


def test_nobody_at_another_machine_names_or_sees_a_folder(
    client: TestClient, dossier_id: str, tmp_path: Path
) -> None:
    at = f"/dossiers/{dossier_id}/watched"
    page = client.get(f"/dossiers/{dossier_id}/examine").text
    assert "A folder is watched only from the machine on which Softmend runs" in page
    assert f"{at}/folder" not in page
    for answer in (
        client.get(at),
        client.post(f"{at}/folder", data={"folder": str(tmp_path)}),
        client.post(f"{at}/file", data={"name": "a.jpg"}),
        client.post(f"{at}/all"),
    ):
        assert answer.status_code == 403
        assert "only from the machine on which Softmend runs" in answer.text
