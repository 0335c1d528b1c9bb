"""The pages of an object's place, of coat or not, and of light: told, kept, answered."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
import html
import re
import time
from typing import TYPE_CHECKING

import pytest

from softmend.records.place import ObjectPlace, Place
from softmend.records.proposal import Coat
from softmend.services.hand_over.coat import kept_coat
from softmend.services.jobs import Jobs
from softmend.services.places.house import record_place
from softmend.services.places.tied import say_of_object, stand_object, tied_in
from softmend.services.propose.proposals import proposal_in
from tests.services.places.conftest import BODY, cased, logged
from tests.services.places.conftest import place_id as place_id_there
from tests.services.places.test_nearest import hang

if TYPE_CHECKING:
    from fastapi.testclient import TestClient


__all__ = ["cased", "logged"]
place_id = place_id_there


def said(client: TestClient, address: str, **asked: str) -> str:
    return html.unescape(client.get(address, params=asked).text)


def test_a_dossier_without_a_place_teaches(client, bench, author, dossier_id) -> None:
    page = said(client, f"/dossiers/{dossier_id}/return/climate")
    assert "Where the object stands is not said." in page
    assert "The house has no place yet." in page
    record_place(bench, author, Place("store"))
    assert "Say where it stands" in said(client, f"/dossiers/{dossier_id}/return/climate")


def test_the_page_says_where_a_steady_case_will_settle(client, cased) -> None:
    page = said(client, f"/dossiers/{cased}/return/climate")
    assert "Buffer steadies; it does not lift. Your room averages" in page
    assert "Measure air exchange and case warming first" in page
    assert "This page describes what a place does; it never permits." in page
    for warning in (
        "The air exchange is guessed, so it runs from a third to three times of its value",
        "How much warmer than the room the case gets is guessed, 0 to 2 K",
        "The diffusivity of this object is not known",
        "The sensor may be off by 3 %RH",
        "What the buffer takes up is from a brochure or memory",
        "steady at the wrong place",
        "A plan, not a promise",
    ):
        assert warning in page, warning
    whole = said(client, f"/dossiers/{cased}/return/climate/whole")
    assert "From a small sample" not in whole
    for word in ("safe", "permitted", "suitable", "passes"):
        assert f" {word} " not in whole


def test_the_whole_is_computed_apart_with_progress_and_a_stop(client, app, bench, cased) -> None:
    jobs = app.state.jobs = Jobs(bench)
    base = f"/dossiers/{cased}/return/climate"
    assert "From a small sample" in said(client, base)
    begun = said(client, f"{base}/working")
    assert "The whole is being computed:" in begun
    job_id = re.search(r"job=([0-9a-f-]{36})", begun)[1]
    stopped = client.post(f"{base}/stop/{job_id}", headers={"hx-request": "true"})
    assert "What stands here is from the small sample." in html.unescape(stopped.text)
    assert "Compute the whole" in stopped.text
    again = re.search(r"job=([0-9a-f-]{36})", said(client, f"{base}/working"))[1]
    assert jobs.wait(again, 120).state == "done"
    ended = said(client, f"{base}/working", job=again)
    assert f'hx-get="{base}/whole"' in ended
    page = said(client, base)
    assert "From a small sample" not in page
    assert f'hx-get="{base}/working"' not in page
    jobs.close()


def test_a_warm_page_and_a_what_if_keep_their_budgets(client, cased) -> None:
    base = f"/dossiers/{cased}/return/climate"
    said(client, f"{base}/whole")
    said(client, f"{base}/answer", exchange="1")

    def cost(address: str, **asked: str) -> float:
        begun = time.process_time()
        client.get(address, params=asked)
        return time.process_time() - begun

    assert min(cost(base) for _turn in range(3)) < 0.1
    tries = ("0.41", "0.52", "0.63")
    assert min(cost(f"{base}/answer", exchange=one, buffer="9") for one in tries) < 0.3


def test_a_slider_is_answered_from_a_small_sample_and_quickly(client, cased) -> None:
    address = f"/dossiers/{cased}/return/climate/answer"
    said(client, address, exchange="1")
    begun = time.process_time()
    page = said(client, address, exchange="0.4", buffer="9")
    assert time.process_time() - begun < 1.5
    assert "From a small sample and every third hour." in page
    assert client.get(address, params={"exchange": "-1"}).status_code == 422


def test_the_body_and_the_place_are_recorded_by_form(client, bench, dossier_id, logged) -> None:
    base = f"/dossiers/{dossier_id}/return/climate"
    stands = {"where": logged, "since_on": "2026-01-10"}
    assert client.post(f"{base}/stands", data=stands).status_code == 303
    body = {
        "shape": "slab", "low_limit_percent": "40", "high_limit_percent": "65",
        "quantity": ["size_mm", "diffusivity_mm2_per_day"], "low": ["9", ""],
        "typical": ["10", ""], "high": ["11", ""], "basis": ["measured", "estimated"],
        "grounds": ["callipers", ""],
    }  # fmt: skip
    assert client.post(f"{base}/said", data=body).status_code == 303
    page = said(client, base)
    assert "In the room the air round it runs from" in page
    assert client.post(f"{base}/keep").status_code == 303
    assert "Kept" in said(client, base)
    refused = client.post(f"{base}/said", data=body | {"typical": ["20", ""], "based_on": "x"})
    assert refused.status_code == 422


def test_coat_or_not_is_answered_as_the_proposals_own_decision(client, bench, cased) -> None:
    page = said(client, f"/dossiers/{cased}/return/coat")
    for way in ("Open", "Open, coated", "In a case", "In a case with buffer"):
        assert way in page
    assert "In a case with buffer a coating adds nothing worth having." in page
    assert "a real one is thin, cracked and one-sided" in page
    form = {"answer": "no coating", "reasons": ["it would trap dust"], "instead": "the case"}
    assert client.post(f"/dossiers/{cased}/return/coat", data=form).status_code == 303
    with bench.store.reading() as reader:
        _entry, proposal = proposal_in(reader, cased)
        kept = kept_coat(reader, cased)
    assert proposal.coating.answer is Coat.NONE
    assert proposal.coating.reasons == ("it would trap dust",)
    assert kept is not None
    assert kept[2] == ""
    assert "it would trap dust" in said(client, f"/dossiers/{cased}/propose/surface")


PLAN = {
    "what": ["lamps", "daylight"], "light_lux": ["50", ""], "hours_a_day": ["8", ""],
    "days_a_year": ["300", ""], "ultraviolet": ["20", ""], "part": ["undyed ivory"],
}  # fmt: skip


def test_light_names_the_rule_and_counts_what_fell(client, dossier_id) -> None:
    address = f"/dossiers/{dossier_id}/return/light"
    assert "what nobody wrote down fell all the same" in said(client, address)
    assert client.post(address, data=PLAN).status_code == 303
    page = said(client, address)
    assert "The plan lets fall 120 000 lx h a year" in page
    assert "By CIE 157 the plan spends 20 % of 600 000 lx h a year." in page
    assert "By stricter practice the plan overspends: 120 %" in page
    past = {"what": "a loan", "ended_on": "2019-05-01", "dose_lux_hours": "48000"}
    assert client.post(f"{address}/past", data=past).status_code == 303
    page = said(client, address)
    assert "48 000 lx h" in page
    assert "counts in this year" not in page
    assert client.post(f"{address}/keep").status_code == 303
    assert "Keep it again" in said(client, address)


def test_a_part_is_named_with_its_own_blue_wool_and_a_typed_plan_is_no_measurement(
    client, dossier_id
) -> None:
    address = f"/dossiers/{dossier_id}/return/light"
    own = {"own_part": ["red ink of the engraving", ""], "own_wool": ["2", ""]}
    assert client.post(address, data=PLAN | own).status_code == 303
    page = said(client, address)
    assert "The most sensitive part decides: red ink of the engraving (high)." in page
    assert "high, like blue wool 2" in page
    assert "estimated, typed" in page
    assert "measured, typed" not in page


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"own_part": ["ink"], "own_wool": ["9"]}, "blue wool of ink is outside"),
        ({"own_part": ["ink"], "own_wool": ["2.5"]}, "blue wool of ink is not a whole number"),
        ({"own_part": [""], "own_wool": ["2"]}, "blue wool stands without its part"),
        ({"part": []}, "parts that the light falls on are not named"),
        ({"hours_a_day": ["30", ""]}, "hours of lamps is outside"),
        ({"light_lux": ["bright", ""]}, "light of lamps is not a number"),
    ],
)
def test_a_plan_of_light_that_cannot_be_is_refused(client, dossier_id, wrong, words) -> None:
    answer = client.post(f"/dossiers/{dossier_id}/return/light", data=PLAN | wrong)
    assert answer.status_code == 422
    assert words in html.unescape(answer.text)


def test_which_logger_stood_nearest_is_chosen_and_seen(
    client, bench, author, place_id, dossier_id, tmp_path
) -> None:
    hang(bench, author, place_id, tmp_path, "north wall", dt.datetime(2011, 2, 1), 60, 45)
    hang(bench, author, place_id, tmp_path, "south wall", dt.datetime(2011, 3, 1), 20, 62)
    stand_object(bench, author, dossier_id, ObjectPlace(place_id, "2011-01-10"), "")
    say_of_object(bench, author, dossier_id, BODY, "")
    base = f"/dossiers/{dossier_id}/return/climate"
    page = said(client, base)
    assert "2 loggers hang in this room; the longest, north wall, was taken." in page
    # A record of two months shows its warnings, and no band.
    assert "So far only." in page
    assert "it has not seen a whole year" in page
    with bench.store.reading() as reader:
        based_on = tied_in(reader, dossier_id).stands_id
    form = {"based_on": based_on, "logger": ["south wall", ""], "from_on": ["", ""],
            "until_on": ["", ""]}  # fmt: skip
    assert client.post(f"{base}/near", data=form).status_code == 303
    page = said(client, base)
    assert "south wall throughout, as it stood nearest." in page
    assert re.search(r"<option selected>south wall</option>", page)
