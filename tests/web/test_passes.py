"""Passes of a rule on the pages and in the API: the fields come with the refusal, and are kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
import json
import re
from typing import TYPE_CHECKING, Any

import pytest

from softmend.records.legal import LegalFlag, Topic
from softmend.records.passing import Passed
from softmend.records.view import View
from softmend.records.zone import Body, BodyZone
from softmend.services.examine.zones import record_body_zone, zones_on_view
from softmend.services.legal_flags import record_flag
from softmend.services.passing import passings_in
from softmend.services.recording import record_one

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

HTMX = {"hx-request": "true"}
PROGRAM = {"x-softmend": "1"}
DRAFT = "01900000-0000-7000-8000-00000000000d"
SQUARE = [[[60, 20], [120, 20], [120, 60], [60, 60]]]
TONE = {"type": "Polygon", "coordinates": SQUARE}
OVERLAP = "tone of zone SZ1 over original zone Z1 by up to 20.0 px"
OUT = {
    "way": "handed out", "what": "the beam", "owner": "O. Owner", "from_whom": "A. Conservator",
    "to_whom": "O. Owner", "reason": "back", "handed_on": "2026-03-02",
    "condition_observed": "cracked",
}  # fmt: skip


@pytest.fixture
def view_id(bench: Bench, author: Author, dossier_id: str) -> str:
    view = View(1, "front.jpg", "0" * 64, 10, "0" * 64, 400, 300, 8, "sRGB")
    at = {"dossier_id": dossier_id, "subject_id": bench.fresh_id(), "based_on": ""}
    entry = record_one(bench, author, record=view, **at)
    ring = (((10.0, 10.0), (80.0, 10.0), (80.0, 100.0), (10.0, 100.0)),)
    original = BodyZone(0, entry.subject_id, Body.ORIGINAL, ring, 2.0)
    record_body_zone(bench, author, dossier_id, original)
    return entry.subject_id


def passed_in(bench: Bench, dossier_id: str) -> list[Passed]:
    with bench.store.reading() as reader:
        return passings_in(reader, dossier_id)


def test_a_refused_tone_over_original_comes_back_with_the_fields_of_a_pass(
    client: TestClient, bench: Bench, dossier_id: str, view_id: str
) -> None:
    address = f"/dossiers/{dossier_id}/views/{view_id}/zones"
    form: dict[str, Any] = {
        "draft_id": DRAFT, "geometry_draft": DRAFT, "geometry": json.dumps(TONE),
        "what": "new tone", "accuracy_px": "2",
    }  # fmt: skip
    refused = client.post(address, data=form, headers=HTMX)
    assert refused.status_code == 409
    told = html.unescape(refused.text)
    assert "This tone lies over original zone Z1 by up to 20.0 px" in told
    for name in ("passed_because", "passed_by"):
        assert f'name="{name}"' in told
    assert re.findall(r'name="passed_about" value="([^"]*)"', told) == [OVERLAP]
    yes = {"passed_because": "a bridge of tone, agreed", "passed_about": [OVERLAP]}
    nameless = client.post(address, data={**form, **yes}, headers=HTMX)
    assert nameless.status_code == 422
    assert "needs the name of who decided" in nameless.text
    # What was typed stands in the form still when another overlap is refused.
    other = {**form, **yes, "passed_by": "H. Head", "passed_about": ["something else"]}
    again = client.post(address, data=other, headers=HTMX)
    assert again.status_code == 409
    assert 'value="a bridge of tone, agreed"' in again.text
    assert passed_in(bench, dossier_id) == []
    kept = client.post(address, data={**form, **yes, "passed_by": "H. Head"}, headers=HTMX)
    assert kept.status_code < 400
    assert passed_in(bench, dossier_id) == [
        Passed(7, OVERLAP, "a bridge of tone, agreed", "H. Head")
    ]


def test_a_program_passes_a_tone_over_original_by_the_refusals_own_words(
    client: TestClient, bench: Bench, dossier_id: str, view_id: str
) -> None:
    address = f"/api/v1/dossiers/{dossier_id}/views/{view_id}/on-zones"
    zone: dict[str, Any] = {"geometry": TONE, "accuracy_px": 2, "on_it": "new tone"}
    refused = client.post(address, json=zone, headers=PROGRAM)
    assert refused.status_code == 409
    error = refused.json()["error"]
    assert (error["rule"], error["may_be_passed"], error["about"]) == (7, True, [OVERLAP])
    yes = {"because": "agreed", "by": "H. Head", "about": error["about"]}
    for lacking in ("because", "by"):
        short = {**zone, "passed": {**yes, lacking: ""}}
        assert client.post(address, json=short, headers=PROGRAM).status_code == 422
    made = client.post(address, json={**zone, "passed": yes}, headers=PROGRAM)
    assert made.status_code == 201
    assert passed_in(bench, dossier_id) == [Passed(7, OVERLAP, "agreed", "H. Head")]
    body = f"/api/v1/dossiers/{dossier_id}/views/{view_id}/body-zones"
    wider = [[[10, 10], [100, 10], [100, 100], [10, 100]]]
    under: dict[str, Any] = {
        "geometry": {"type": "Polygon", "coordinates": wider}, "accuracy_px": 2,
        "body": "original",
    }  # fmt: skip
    told = client.post(body, json=under, headers=PROGRAM).json()["error"]
    assert told["rule"] == 7
    under["passed"] = {"because": "agreed", "by": "H. Head", "about": told["about"]}
    assert client.post(body, json=under, headers=PROGRAM).status_code == 201
    with bench.store.reading() as reader:
        assert len(zones_on_view(reader, dossier_id, view_id)[0]) == 2


def test_a_hard_rule_says_plainly_that_there_is_no_way_round(
    client: TestClient, dossier_id: str
) -> None:
    closing = f"/dossiers/{dossier_id}/return/closing/pass"
    hard = {"rule": "6", "because": "in a hurry", "by": "H. Head"}
    refused = client.post(closing, data=hard, headers=HTMX)
    assert refused.status_code == 409
    assert "Rule 6 has no way round: nobody can pass it" in refused.text


def test_a_stale_flag_is_told_on_its_page_with_the_pass_for_one_way_out(
    client: TestClient, bench: Bench, author: Author, dossier_id: str
) -> None:
    law = f"/dossiers/{dossier_id}/law"
    custody = f"/dossiers/{dossier_id}/return/custody"
    assert "before the object goes out" not in client.get(law).text
    record_flag(bench, author, dossier_id, LegalFlag(0, Topic.SPECIES, "trade", "2020-01-02", "R."))
    page = client.get(law).text
    assert "Asked again before the object goes out" in page
    assert f'action="{law}/let-go"' in page
    refused = client.post(custody, data=OUT, headers=HTMX)
    assert refused.status_code == 409
    assert "The law is to be asked again before this goes out" in refused.text
    # The page of receipts says so before anybody types one.
    beforehand = client.get(f"/dossiers/{dossier_id}/return/custody").text
    assert "Nothing can be handed out yet: the law is to be asked again." in beforehand
    assert "Flag 1, " in beforehand
    assert client.post(f"{law}/let-go", data={"because": "urgent"}, headers=HTMX).status_code == 422
    client.post(f"{law}/let-go", data={"because": "urgent", "by": "H. Head"}, headers=HTMX)
    assert passed_in(bench, dossier_id) == [Passed(17, "flag 1, way out 1", "urgent", "H. Head")]
    assert client.post(custody, data=OUT, headers=HTMX).status_code < 400
