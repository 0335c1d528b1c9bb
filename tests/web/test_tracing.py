"""Following a crack, suggestions and widths over the API and the pages, on a drawn photograph."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
import json
from typing import TYPE_CHECKING

import cv2
import numpy as np
import pytest
from PIL import Image

from softmend.services.examine.marks import marks_in
from softmend.services.examine.views import import_photograph
from softmend.services.jobs import Jobs

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

OURS = {"X-Softmend": "1"}
REGION = [[20, 20], [580, 20], [580, 380], [20, 380]]


@pytest.fixture
def at(bench, author, dossier_id, tmp_path) -> str:
    """A view with one dark wavy crack and one clipped highlight that has an edge."""
    x = np.arange(60, 540)
    fine = np.full((1600, 2400), 170, dtype=np.uint8)
    line = (np.column_stack([x, 120 + 20 * np.sin(x / 45)]) * 4 * 16).astype(np.int32)
    cv2.polylines(fine, [line], False, 50, 12, shift=4)
    cv2.ellipse(fine, (1200, 1100), (500, 120), 8, 0, 360, 255, -1)
    cv2.ellipse(fine, (1200, 1100), (400, 40), 8, 0, 360, 235, 8)
    grey = cv2.resize(fine, (600, 400), interpolation=cv2.INTER_AREA).astype(float)
    grey[grey < 250] += np.random.default_rng(3).normal(0, 3, grey.shape)[grey < 250]
    path = tmp_path / "crack.png"
    Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8)).convert("RGB").save(path)
    view = import_photograph(bench, author, dossier_id, path, "crack.png")
    return f"/dossiers/{dossier_id}/views/{view.subject_id}"


def test_a_crack_is_followed_and_recorded_as_traced_with_help(
    client: TestClient, bench, dossier_id, at
) -> None:
    assert client.post(f"/api/v1{at}/trace/ready", headers=OURS).status_code == 204
    found = client.post(
        f"/api/v1{at}/trace", json={"anchors_px": [[70, 140], [530, 106]]}, headers=OURS
    ).json()
    assert found["weak_percent"] < 20
    line = found["line_px"]
    off = [abs(y - (120 + 20 * np.sin(x / 45))) for x, y in line if 90 < x < 510]
    assert np.median(off) < 1.0
    draft = "018f0000-0000-7000-8000-000000000001"
    sent = client.post(
        f"{at}/marks",
        data={
            "draft_id": draft, "geometry_draft": draft, "term_id": "crack",
            "geometry_how": "trace",
            "geometry": str({"type": "LineString", "coordinates": line}).replace("'", '"'),
        },
    )  # fmt: skip
    assert sent.status_code == 303
    with bench.store.reading() as reader:
        ((entry, mark),) = marks_in(reader, dossier_id)
    assert mark.sightings[0].drawn_how == "traced with help, version 1"
    panel = html.unescape(client.get(f"{at}/marks/{entry.subject_id}").text)
    assert "Traced with help, version 1 · ± 1.4 px (k = 2)" in panel
    width = html.unescape(client.get(f"/dossiers/{dossier_id}/marks/{entry.subject_id}/width").text)
    assert "Not measured from this photograph yet" in width
    assert "No scale on this view" in width


def test_an_anchor_outside_is_refused_in_a_sentence(client: TestClient, at) -> None:
    refused = client.post(
        f"/api/v1{at}/trace", json={"anchors_px": [[70, 140], [5000, 106]]}, headers=OURS
    )
    assert refused.status_code == 422
    assert "An anchor lies outside the picture" in refused.json()["error"]["sentence"]


def test_the_crack_is_suggested_and_the_highlight_is_not(client: TestClient, at) -> None:
    found = client.post(
        f"/api/v1{at}/suggest", json={"region_px": REGION, "sensitivity": 50}, headers=OURS
    ).json()
    assert found["lines"]
    places = [place for line in found["lines"] for place in line["line_px"]]
    assert min(abs(y - (120 + 20 * np.sin(x / 45))) for x, y in places) < 2
    # Nothing in the clipped highlight, 125 by 30 px about its middle, nor along its silhouette.
    assert not [at for at in places if ((at[0] - 300) / 140) ** 2 + ((at[1] - 275) / 45) ** 2 < 1]
    assert any("Suggestions, not findings" in one for one in found["warnings"])


@pytest.fixture
def jobs(app, bench):
    """The jobs of the program, as they run beside the pages."""
    app.state.jobs = Jobs(bench)
    yield app.state.jobs
    app.state.jobs.close()


def test_the_page_offers_the_network_with_its_figure_and_the_switch(
    client: TestClient, at, jobs
) -> None:
    page = html.unescape(client.get(at).text)
    assert "the network scored 0.82 and the quick way 0.70" in page
    assert "Neither was tested on ivory, antler or bone" in page
    assert "Ruled and smooth lines as well" in page
    body = {"region_px": REGION, "engine": "network", "sensitivity": 55, "even_lines": True}
    found = client.post(f"/api/v1{at}/suggest", json=body, headers=OURS).json()
    while found["job_id"]:
        ended = jobs.wait(found["job_id"], 120)
        assert (ended.state, ended.done, ended.total) == ("done", 2, 3)
        found = client.post(f"/api/v1{at}/suggest", json=body, headers=OURS).json()
    assert found["lines"][0]["method"].startswith("network that learned from drawn cracks")


def test_a_look_that_takes_long_can_be_stopped(client: TestClient, at, jobs) -> None:
    body = {"region_px": REGION, "engine": "network", "sensitivity": 11}
    job = client.post(f"/api/v1{at}/suggest", json=body, headers=OURS).json()["job_id"]
    assert job
    assert client.post(f"/api/v1{at}/suggest/stop/{job}", headers=OURS).status_code == 204
    assert jobs.wait(job, 60).state == "stopped"


def test_where_the_network_is_missing_the_page_says_that_it_works_without(
    client: TestClient, at, monkeypatch
) -> None:
    monkeypatch.setattr("softmend.web.pages.examine.views.has_network", lambda: False)
    page = html.unescape(client.get(at).text)
    assert "where the extra “suggest” is installed. It works without it." in page
    assert "data-suggest-by" not in page


def test_each_suggestion_is_answered_by_hand(client: TestClient, bench, dossier_id, at) -> None:
    found = client.post(f"/api/v1{at}/suggest", json={"region_px": REGION}, headers=OURS).json()
    one = found["lines"][0]
    said = f"/api/v1{at}/suggest/answer"
    refused = client.post(said, json={**one, "is_accepted": False}, headers=OURS)
    assert refused.json() == {"mark_number": 0}
    accepted = client.post(said, json={**one, "is_accepted": True}, headers=OURS)
    assert accepted.json() == {"mark_number": 1}
    again = client.post(said, json={**one, "is_accepted": True}, headers=OURS)
    assert "accepted already" in again.json()["error"]["sentence"]
    with bench.store.reading() as reader:
        ((_entry, mark),) = marks_in(reader, dossier_id)
    assert mark.sightings[0].drawn_how.startswith("suggested (")
    assert mark.sightings[0].drawn_how.endswith("accepted by hand")


def test_revisit_teaches_when_there_is_one_date_only(client: TestClient, dossier_id, at) -> None:
    page = html.unescape(client.get(f"/dossiers/{dossier_id}/revisit").text)
    assert "No side has been photographed on two dates yet" in page
    assert "Next check: <strong>not known</strong>" in page
    guide = html.unescape(client.get(f"/dossiers/{dossier_id}/revisit/guide").text)
    assert "Do not turn or lift the object for a photograph" in guide
    assert "Camera distance</dt><dd>not known" in guide


def test_a_tapering_shaft_sets_the_scale_by_two_diameters(client: TestClient, at) -> None:
    edges = [[[100, 40], [110, 200], [120, 360]], [[500, 40], [485, 200], [470, 360]]]
    form = {
        "way": "cone",
        "points": json.dumps({"edges": edges}),
        "diameter_mm": "80",
        "second_diameter_mm": "70",
        "camera_distance_mm": "960",
        "camera_expanded_mm": "20",
    }
    assert client.post(f"{at}/scale", data=form).status_code == 303
    page = html.unescape(client.get(at).text)
    assert "diameter at its other end" in page
    bowed = {
        **form,
        "points": json.dumps({"edges": [edges[0], [[500, 40], [560, 200], [470, 360]]]}),
    }
    refused = html.unescape(client.post(f"{at}/scale", data=bowed).text)
    assert "The outline is not that of a cone" in refused
