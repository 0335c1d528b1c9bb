"""The board's pages: the order with what it rests on, and a person's own place."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

from softmend.services.board import board

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Bench

HTMX = {"hx-request": "true"}


def test_an_empty_board_teaches(client: TestClient) -> None:
    assert "No open dossier" in client.get("/board").text


def test_the_board_is_reached_from_the_list(client: TestClient, dossier_id: str) -> None:
    assert 'href="/board"' in client.get("/").text
    page = client.get("/board").text
    assert "limewood figurehead, left arm" in page
    assert "Condition is not priority: it is one of five inputs." in page


def test_a_place_is_chosen_with_its_reason_and_shown_with_it(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    address = f"/dossiers/{dossier_id}/priority"
    form = {"significance": "high", "vulnerability": "low", "cost_of_waiting": "not known",
            "place": "1", "place_because": ""}  # fmt: skip
    refused = client.post(address, data=form, headers=HTMX)
    assert refused.status_code == 409
    assert "A place of your own choosing needs its reason" in refused.text
    form["place_because"] = "lent on Monday"
    assert client.post(address, data=form).headers["location"] == "/board"
    page = client.get("/board").text
    assert "Put there by a person: lent on Monday" in page
    form |= {"place": "", "based_on": board(bench).lines[0].priority_entry_id}
    client.post(address, data=form)
    page = client.get("/board").text
    assert "lent on Monday" not in page
    assert "suggested" in page


def test_a_search_narrows_the_board_and_says_when_nothing_is_left(
    client: TestClient, dossier_id: str
) -> None:
    assert "left arm" in client.get("/board", params={"search": "limew"}).text
    nothing = client.get("/board", params={"search": "zzz"}).text
    assert "left arm" not in nothing
    assert "No open dossier has words that begin like" in nothing


def test_a_priority_is_never_overwritten_unseen(client: TestClient, dossier_id: str) -> None:
    address = f"/dossiers/{dossier_id}/priority"
    assert client.post(address, data={"significance": "high"}).status_code == 303
    assert client.post(address, data={"significance": "low"}).status_code == 409
