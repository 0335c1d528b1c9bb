"""Nobody but this run's own pages is answered: host, token, site, size, path."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from softmend.web.security import MOST_BYTES_OF_A_CALL
from tests.web.conftest import TOKEN

if TYPE_CHECKING:
    from fastapi import FastAPI
    from fastapi.testclient import TestClient


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "", "[", "0.0.0.0"])
def test_a_foreign_host_name_is_refused(client: TestClient, host: str) -> None:
    refused = client.get("/", headers={"host": host})
    assert refused.status_code == 400
    assert "This address is not Softmend" in refused.text


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "localhost:8000", "[::1]:8000"])
def test_every_loopback_name_is_answered(client: TestClient, host: str) -> None:
    cookies = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
    assert client.get("/", headers={"host": host, "cookie": cookies}).status_code == 200


@pytest.mark.parametrize(
    "path", ["/", "/who", "/api/v1/openapi.json", "/api/v1/compute", "/nowhere"]
)
def test_without_the_token_nothing_is_told(stranger: TestClient, path: str) -> None:
    refused = stranger.get(path)
    assert refused.status_code == 401
    assert "link that Softmend printed" in refused.text


def test_a_wrong_token_is_refused(stranger: TestClient) -> None:
    assert stranger.get("/", params={"token": "another-run"}).status_code == 401
    assert stranger.get("/who", headers={"authorization": "Bearer é".encode()}).status_code == 401


def test_the_link_gives_a_strict_cookie_and_leaves_the_address(stranger: TestClient) -> None:
    let_in = stranger.get("/", params={"token": TOKEN})
    assert let_in.status_code == 303
    assert let_in.headers["location"] == "/"
    cookie = let_in.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


@pytest.mark.parametrize(
    ("wanted", "place"),
    [
        ("01a2133a-f5b8-77f7-a28d-80764a4e4a82", "/dossiers/01a2133a-f5b8-77f7-a28d-80764a4e4a82"),
        ("//evil.example", "/"),
        ("../../who", "/"),
    ],
)
def test_the_link_may_name_a_dossier_and_nothing_else(
    stranger: TestClient, wanted: str, place: str
) -> None:
    let_in = stranger.get("/", params={"token": TOKEN, "dossier": wanted})
    assert let_in.headers["location"] == place


def test_a_program_may_show_the_token_as_a_bearer(stranger: TestClient) -> None:
    answer = stranger.get("/api/v1/openapi.json", headers={"authorization": f"Bearer {TOKEN}"})
    assert answer.status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"sec-fetch-site": "cross-site", "origin": "http://127.0.0.1:8000"},
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {},
    ],
)
def test_a_form_of_another_site_is_refused(client: TestClient, headers: dict[str, str]) -> None:
    del client.headers["sec-fetch-site"]
    refused = client.post("/who", data={"name": "Mallory", "purpose": "x"}, headers=headers)
    assert refused.status_code == 403
    assert "came from another site" in refused.text


def test_a_browser_without_fetch_metadata_is_judged_by_its_origin(client: TestClient) -> None:
    del client.headers["sec-fetch-site"]
    headers = {"origin": "http://127.0.0.1:8000"}
    taken = client.post("/who", data={"name": "Ida", "purpose": "x"}, headers=headers)
    assert taken.status_code == 303


def test_a_json_call_needs_our_header(client: TestClient) -> None:
    refused = client.post("/api/v1/dossiers", json={})
    assert refused.status_code == 403
    assert refused.json()["error"]["sentence"] == (
        "Calls that change something need the header X-Softmend: 1."
    )


def test_every_answer_carries_the_policies(client: TestClient, stranger: TestClient) -> None:
    for answer in (client.get("/"), client.get("/nowhere"), client.get("/static/nowhere")):
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["cross-origin-opener-policy"] == "same-origin"
        assert answer.headers["cross-origin-resource-policy"] == "same-origin"


@pytest.mark.parametrize("has_length", [True, False])
def test_an_oversized_body_is_refused(client: TestClient, has_length: bool) -> None:
    body = b"purpose=" + b"x" * MOST_BYTES_OF_A_CALL
    sent = body if has_length else iter([body[: len(body) // 2], body[len(body) // 2 :]])
    headers = {"content-type": "application/x-www-form-urlencoded"}
    refused = client.post("/who", content=sent, headers=headers)
    assert refused.status_code == 413
    assert "larger than can be taken" in refused.text


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/%2e%2e/app.py",
        "/static/..%2f..%2f..%2fpyproject.toml",
        "/static/css/..%5c..%5capp.py",
        "/static//etc/passwd",
        "/static/%00",
    ],
)
def test_climbing_out_of_the_static_files_finds_nothing(client: TestClient, path: str) -> None:
    assert client.get(path).status_code in (400, 404)


def test_the_person_is_asked_again_after_a_new_start(client: TestClient, app: FastAPI) -> None:
    assert client.get("/").status_code == 200
    app.state.token = "next-run"
    asked = client.get("/")
    assert asked.status_code == 303
    assert asked.headers["location"] == "/who?next=%2F"


@pytest.mark.parametrize("elsewhere", ["https://evil.example", "//evil.example", "/\\evil", "x"])
def test_nobody_is_sent_elsewhere_after_saying_who(client: TestClient, elsewhere: str) -> None:
    answer = client.post("/who", data={"name": "Ida", "purpose": "x", "next": elsewhere})
    assert answer.headers["location"] == "/"


def test_what_is_said_of_a_dossier_stays_in_no_browser_and_our_own_sheet_does_for_a_while(
    client: TestClient, dossier_id: str
) -> None:
    for path in ("/", f"/dossiers/{dossier_id}", "/api/v1/dossiers", "/static/css/no_such.css"):
        assert client.get(path).headers["cache-control"] == "no-store", path
    ours = client.get("/static/css/softmend.css").headers["cache-control"]
    assert ours == "private, max-age=300"
