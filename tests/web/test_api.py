"""The API: one error body, drafts that nobody overwrites, marks, computations."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

import pytest

from softmend import errors as tree
from softmend.records.rows import JobRow
from softmend.records.view import View
from softmend.services.recording import record_one
from softmend.web.errors import STATUSES, error_body, status_of

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

OURS = {"x-softmend": "1"}
DRAFT = "00000000-0000-7000-8000-00000000000d"
NOBODY = "00000000-0000-7000-8000-000000000000"
PARTS = {"kind", "problem", "value", "allowed", "remedy", "sentence", "yours", "theirs",
         "standing_id", "rule", "may_be_passed", "about"}  # fmt: skip


@pytest.fixture
def view(bench: Bench, author: Author, dossier_id: str) -> str:
    """The address of a view below /api/v1."""
    shown = View(1, "front.jpg", "0" * 64, 10, "0" * 64, 400, 300, 8, "sRGB")
    entry = record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=bench.fresh_id(),
        record=shown,
        based_on="",
    )
    return f"/api/v1/dossiers/{dossier_id}/views/{entry.subject_id}"


def line(*places: list[float]) -> dict[str, Any]:
    return {"type": "LineString", "coordinates": list(places)}


def test_every_error_of_the_tree_has_the_status_that_the_tree_states() -> None:
    written = dict(re.findall(r"(\w+)\s+(\d{3})  ", tree.__doc__ or ""))
    assert written == {kind.__name__: str(status) for kind, status in STATUSES.items()}
    made = {kind: kind("wrong") for kind in STATUSES}
    assert {kind: status_of(error) for kind, error in made.items()} == STATUSES


def test_the_body_of_an_error_has_every_part() -> None:
    error = tree.InputError(
        "The width is negative", value=-1, allowed="0 to 10 mm", remedy="Mend it"
    )
    assert error_body(error) == {
        "error": {
            "kind": "InputError",
            "problem": "The width is negative",
            "value": "-1",
            "allowed": "0 to 10 mm",
            "remedy": "Mend it",
            "sentence": "The width is negative; got -1; allowed: 0 to 10 mm; Mend it.",
            "yours": None,
            "theirs": None,
            "standing_id": "",
            "rule": None,
            "may_be_passed": False,
            "about": [],
        }
    }


@pytest.mark.parametrize(
    ("path", "status"),
    [
        (f"/api/v1/dossiers/{NOBODY}", 404),
        ("/api/v1/dossiers/not-an-id", 422),
        ("/api/v1/dossiers?limit=0", 422),
        ("/api/v1/nowhere", 404),
        ("/api/v1/compute/no.such", 404),
    ],
)
def test_a_refusal_is_one_body_with_a_sentence(client: TestClient, path: str, status: int) -> None:
    refused = client.get(path) if "compute" not in path else client.get(f"{path}/schema")
    assert refused.status_code == status
    assert set(refused.json()["error"]) == PARTS
    assert refused.json()["error"]["sentence"].endswith(".")


def test_a_program_that_is_nobody_cannot_write(stranger: TestClient) -> None:
    headers = {**OURS, "authorization": "Bearer this-run"}
    facts = {"what": "a", "number": "1", "number_issued_by": "b", "why_here": "c"}
    refused = stranger.post("/api/v1/dossiers", json=facts, headers=headers)
    assert refused.status_code == 403
    assert refused.json()["error"]["problem"] == "Nobody has said who is at the bench"
    assert stranger.get("/api/v1/dossiers", headers=headers).json()["total"] == 0


def test_a_draft_is_kept_and_a_second_page_overwrites_nothing(
    client: TestClient, view: str
) -> None:
    address = f"{view}/draft"
    body = {"draft_id": DRAFT, "tool": "polyline", "code": "C", "geometry": line([1, 1])}
    first = client.put(address, json=body, headers=OURS)
    assert first.status_code == 200
    longer = {**body, "geometry": line([1, 1], [9, 9])}
    told = client.put(address, json={**longer, "based_on": None}, headers=OURS)
    assert told.status_code == 409
    assert told.json()["theirs"]["geometry"] == line([1, 1])
    assert told.json()["error"]["theirs"] == told.json()["theirs"]
    known = {**longer, "based_on": first.json()["revision"]}
    assert client.put(address, json=known, headers=OURS).status_code == 200
    (kept,) = client.get(address).json()
    assert kept["geometry"] == line([1, 1], [9, 9])
    let_go = client.request("DELETE", address, json={"draft_id": DRAFT}, headers=OURS)
    assert let_go.status_code == 204
    assert client.get(address).json() == []


@pytest.mark.parametrize(
    "geometry",
    [
        {"type": "Circle", "coordinates": [1, 1]},
        {"type": "Point", "coordinates": [1]},
        {"type": "Point", "coordinates": [1, 2, 3]},
        {"type": "Point", "coordinates": [1e9, 1]},
        {"type": "LineString", "coordinates": [[1, 1], ["a", 2]]},
        {"type": "Point", "coordinates": [1, 2], "more": 1},
    ],
)
def test_a_shape_that_is_none_is_refused(
    client: TestClient, view: str, geometry: dict[str, Any]
) -> None:
    body = {"draft_id": DRAFT, "geometry": geometry}
    assert client.put(f"{view}/draft", json=body, headers=OURS).status_code == 422


def test_not_a_number_is_not_a_place(client: TestClient, view: str) -> None:
    text = f'{{"draft_id": "{DRAFT}", "geometry": {{"type": "Point", "coordinates": [NaN, 1]}}}}'
    headers = {**OURS, "content-type": "application/json"}
    assert client.put(f"{view}/draft", content=text, headers=headers).status_code == 422


def test_marks_are_recorded_and_given_out_as_web_annotations(client: TestClient, view: str) -> None:
    body = {"term_id": "crack", "geometry": line([10, 10], [100.5, 50]), "note_observed": "fine"}
    made = client.post(f"{view}/marks", json=body, headers=OURS)
    assert made.status_code == 201
    assert made.json()["number"] == 1
    (shown,) = client.get(f"{view}/marks").json()
    assert shown["geometry"] == line([10, 10], [100.5, 50])
    page = client.get(f"{view}/annotations").json()
    assert page["@context"] == "http://www.w3.org/ns/anno.jsonld"
    assert page["type"] == "AnnotationPage"
    (annotation,) = page["items"]
    assert annotation["type"] == "Annotation"
    assert [body["value"] for body in annotation["body"]] == [
        "1", "crack", "C", "not known", "fine",
    ]  # fmt: skip
    selector = annotation["target"]["selector"]
    assert selector["type"] == "SvgSelector"
    (path,) = ET.fromstring(selector["value"])
    assert path.get("d") == "M10.00 10.00L100.50 50.00"


def test_the_catalogue_is_listed_described_and_run(client: TestClient) -> None:
    names = [one["name"] for one in client.get("/api/v1/compute").json()]
    assert {"photo.scale", "photo.length", "photo.area", "condition.overall"} <= set(names)
    for name in names:
        described = client.get(f"/api/v1/compute/{name}/schema").json()
        assert described["input"]["type"] == "object", name
    places = [
        {"place": "beam", "grade": 2, "because": "old cracks"},
        {"place": "tine", "grade": 4, "because": "flakes fall"},
    ]
    answer = client.post("/api/v1/compute/condition.overall", json={"places": places}, headers=OURS)
    assert answer.status_code == 200
    # The overall grade is the worst (practice.md, rule 4).
    assert answer.json()["grade"] == 4
    wrong = client.post("/api/v1/compute/photo.length", json={"line_px": []}, headers=OURS)
    assert wrong.status_code == 422


def test_a_job_says_how_far_it_is(client: TestClient, bench: Bench) -> None:
    job_id = bench.fresh_id()
    with bench.store.writing() as writer:
        now = bench.at()
        writer.save_job(JobRow(job_id, "tiles", None, "running", 2, 5, "level 3", "", now, now, ""))
        writer.commit()
    said = client.get(f"/api/v1/jobs/{job_id}").json()
    assert (said["state"], said["done"], said["total"]) == ("running", 2, 5)
    assert client.get(f"/api/v1/jobs/{NOBODY}").status_code == 404


def test_openapi_names_every_status_and_no_page(client: TestClient) -> None:
    described = client.get("/api/v1/openapi.json").json()
    assert all(path.startswith("/api/v1/") for path in described["paths"])
    for path, operations in described["paths"].items():
        for method, operation in operations.items():
            assert {"401", "403", "404", "422"} <= set(operation["responses"]), (method, path)
