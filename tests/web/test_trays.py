"""Trays and seats by their pages: what is refused, how a job is followed, what stays hidden."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import re

import pytest

from softmend.records.dossier import Dossier, Size
from softmend.services.demo.fragments import flake_named, fragments_truth, lay_out_fragments
from softmend.services.dossiers import open_dossier
from softmend.services.jobs import Jobs
from softmend.services.treat import seats as seat_services
from softmend.services.treat import trays as tray_services
from softmend.services.treat.fragments import ledger_of

HX = {"hx-request": "true"}


@pytest.fixture
def laid(bench, author) -> tuple[str, str]:
    """Lay out the demo's tray in a dossier; return the addresses of Treat and of the tray."""
    facts = Dossier("antler", "EX 1", "an invented museum", "flakes came off", Size.FULL, True)
    dossier_id = open_dossier(bench, author, facts)
    tray_id = lay_out_fragments(bench, author, dossier_id)
    treat = f"/dossiers/{dossier_id}/treat"
    return treat, f"{treat}/trays/{tray_id}"


@pytest.fixture
def jobs(bench, client):
    """Let long work run in processes of its own, as the served application does."""
    running = Jobs(bench)
    client.app.state.jobs = running
    yield running
    running.close()


def numbered(bench, treat: str) -> list[str]:
    """Return the ids of the fragments, in order of their numbers."""
    with bench.store.reading() as reader:
        held = ledger_of(reader, treat.split("/")[2]).fragments
    return [entry.subject_id for entry, _ in held]


def test_an_outline_is_drawn_numbered_struck_and_taken_back(client, bench, laid) -> None:
    treat, tray = laid
    ring = json.dumps([[700, 900], [800, 905], [760, 1000]])
    drawn = client.post(f"{tray}/flakes", data={"answer": "drawn", "outline": ring})
    letter = re.search(r"chosen=([a-z]+)$", drawn.headers["location"])[1]
    text = client.get(tray).text
    row = re.search(rf'data-row="{letter}" data-entry="([^"]+)"', text)
    assert "drawn by hand" in text
    answer = {"letter": letter, "based_on": row[1], "answer": "strike", "because": "a shadow"}
    assert client.post(f"{tray}/flakes", data=answer).status_code == 303
    stale = client.post(f"{tray}/flakes", data=answer | {"answer": "accept"}, headers=HX)
    assert stale.status_code == 409
    assert "a shadow" in client.get(tray).text
    for wrong, said in (
        ({"answer": "drawn", "outline": "[[1, 1]]"}, "An outline that was drawn cannot be read"),
        ({"answer": "drawn", "outline": "[[-5, 1], [3, 4], [9, 9]]"}, "lies outside the picture"),
        ({"answer": "accept", "letter": "zz"}, "There is no such outline on this tray"),
    ):
        refused = client.post(f"{tray}/flakes", data=wrong, headers=HX)
        assert refused.status_code in (404, 422)
        assert said in refused.text
    assert len(numbered(bench, treat)) == 2


def test_a_large_tray_is_looked_at_in_a_job_that_is_followed_and_can_be_stopped(
    client, jobs, laid, monkeypatch
) -> None:
    _, tray = laid
    monkeypatch.setattr(tray_services, "AT_ONCE_PX", 0)
    begun = client.post(tray, data={"ground": "not known", "smallest_mm": "2"})
    job = begun.headers["location"].partition("?job=")[2]
    assert job
    page = client.get(begun.headers["location"]).text
    assert "Looking for outlines" in page
    assert "Stop" in client.get(f"{tray}/working/{job}").text
    assert client.post(f"{tray}/stop/{job}").status_code == 303
    row = jobs.wait(job, 30)
    assert row.state == "stopped"
    ended = client.get(f"{tray}/working/{job}")
    assert ended.headers["hx-redirect"].endswith(f"?job={job}")
    assert "Stopped; nothing half done was kept." in client.get(f"{tray}?job={job}").text


def test_seats_among_many_losses_are_looked_for_in_a_job(
    client, bench, jobs, laid, monkeypatch
) -> None:
    treat, _ = laid
    monkeypatch.setattr(seat_services, "AT_ONCE", 0)
    at = f"{treat}/fragments/{numbered(bench, treat)[1]}/seats"
    begun = client.post(at, data={"wear_mm": "0,3", "gap_mm": "0.5", "over_mm": "0.4"})
    job = begun.headers["location"].partition("?job=")[2]
    assert jobs.wait(job, 120).state == "done"
    assert client.get(f"{at}/working/{job}").headers["hx-redirect"].endswith("/seats")
    page = client.get(at).text
    assert "in the order of their marks" in page
    assert page.index("None of these") < page.index("Candidates")
    # Nothing of the fit is told before every overlay was looked at, on no page of it.
    first = re.search(rf'href="({re.escape(at)}/[0-9a-f-]+)"', page)[1]
    overlay = client.get(first).text
    for figure in ("Uniqueness", "Edge left over", "Edge matched", "The fit in figures"):
        assert figure not in page
        assert figure not in overlay
    assert client.get(f"{first}/flake.png").content.startswith(b"\x89PNG")
    assert client.get(f"{first}/loss.jpg").content.startswith(b"\xff\xd8")


def test_what_is_missing_is_said_before_seats_can_be_looked_for(client, bench, laid) -> None:
    treat, tray = laid
    client.post(f"{treat}/fragments", data={"found_where": "in the crate"})
    loose = numbered(bench, treat)[-1]
    page = client.get(f"{treat}/fragments/{loose}/seats").text
    assert "This fragment has no outline yet" in page
    search = {"wear_mm": "0.2", "gap_mm": "0.5", "over_mm": "0.3"}
    refused = client.post(f"{treat}/fragments/{loose}/seats", data=search, headers=HX)
    assert refused.status_code == 404
    wrong = client.post(
        f"{treat}/fragments/{numbered(bench, treat)[0]}/seats", data=search | {"wear_mm": "9"},
        headers=HX,
    )  # fmt: skip
    assert "The wear of the edge is outside what is possible" in wrong.text
    smallest = client.post(tray, data={"ground": "dark", "smallest_mm": "0"}, headers=HX)
    assert "The smallest flake is outside what is possible" in smallest.text


def test_the_treatment_record_tells_what_was_seen_with_figures_and_evidence(
    client, bench, laid
) -> None:
    treat, _ = laid
    text = client.get(f"{treat}/record").text
    for said in (
        "Seats looked at",
        "none of these",
        "could be its seat: the whole edge follows",
        "none recorded",
        "Nothing was placed by the program.",
    ):
        assert said in text
    assert flake_named(fragments_truth(), _lying(bench, treat, laid[1]), "1").label == "1"


def _lying(bench, treat: str, tray: str) -> list:
    dossier_id, tray_id = treat.split("/")[2], tray.rpartition("/")[2]
    with bench.store.reading() as reader:
        question = tray_services.tray_asked(reader, dossier_id, tray_id)
        found = tray_services.found_on(bench, question)
        return tray_services.flakes_on(reader, dossier_id, tray_id, found)
