"""The page of one case: its air exchange from a tracer, its buffer two ways, used with one tap."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
import math
from typing import TYPE_CHECKING

import pytest

from softmend.records.crack_model import Basis
from softmend.records.place import Place
from softmend.records.showcase import Showcase
from softmend.services.places.house import case_of, record_case, record_place

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

RATE = 0.8
READ = [420 + 4200 * math.exp(-RATE * h / 24) + 6 * math.sin(9 * h) for h in range(49)]
TYPED = "hours ppm\n" + "\n".join(f"{h} {value:.0f}" for h, value in enumerate(READ))
GEL = {
    "low": "1.5", "typical": "2", "high": "2.5", "basis": "measured", "grounds": "batch weighed",
    "room_percent": "35", "set_percent": "50", "drift_percent": "5", "held_days": "90",
    "room_swing_percent": "15", "wanted_swing_percent": "5",
}  # fmt: skip


@pytest.fixture
def at(bench: Bench, author: Author) -> str:
    """The address of a case of one cubic metre."""
    place_id = record_place(bench, author, Place("long gallery")).subject_id
    case = Showcase(place_id, "case by the stairs", 1.0)
    return f"/places/{place_id}/cases/{record_case(bench, author, case).subject_id}"


def post(client: TestClient, address: str, **form: str) -> str:
    answer = client.post(address, data=form, headers={"hx-request": "true"})
    return html.unescape(answer.text)


def case_now(bench: Bench, at: str) -> tuple[str, Showcase]:
    with bench.store.reading() as reader:
        kept = case_of(reader, at.rpartition("/")[2])
    return kept.entry_id, kept.case


def test_typed_readings_give_the_exchange_and_one_tap_makes_it_the_cases_own(
    client, bench, at
) -> None:
    assert "Next: measure its air exchange." in html.unescape(client.get(at).text)
    page = post(client, f"{at}/exchange", readings=TYPED)
    assert "It changes its air 0.7998 ± 0.00" in page
    assert "ppm, fitted" in page
    assert "A person must look at the curve" in page
    assert "The background was fitted with the rest" in page
    entry_id, _case = case_now(bench, at)
    used = client.post(f"{at}/exchange/use", data={"readings": TYPED, "based_on": entry_id})
    assert used.status_code == 303
    _entry_id, case = case_now(bench, at)
    told = case.exchange_per_day
    assert told is not None
    assert told.low < RATE < told.high
    assert told.typical == pytest.approx(RATE, rel=0.02)
    assert told.basis is Basis.MEASURED
    assert "tracer that faded over 48 h, background fitted" in told.grounds
    assert "Next: size its buffer" in html.unescape(client.get(at).text)


def test_an_assumed_background_widens_the_interval_and_is_warned_of(client, at) -> None:
    read = post(client, f"{at}/exchange", readings=TYPED, background_is="read",
                background_ppm="420")  # fmt: skip
    assert "The background was assumed" not in read
    assumed = post(client, f"{at}/exchange", readings=TYPED, background_is="assumed",
                   background_ppm="420")  # fmt: skip
    assert "The background was assumed, not read in the room" in assumed
    assert "420 ppm, assumed" in assumed


def test_pasted_lines_of_a_logger_and_its_file_read_the_same(client, at) -> None:
    lines = "Date;Time;CO2 (ppm)\n" + "\n".join(
        f"{14 + h // 24}.03.2024;{h % 24:02d}:00;{value:.0f}" for h, value in enumerate(READ)
    )
    pasted = post(client, f"{at}/exchange", readings=lines)
    assert "It changes its air 0.7998 ± 0.00" in pasted
    assert 'name="sha256" value="' in pasted
    answer = client.post(
        f"{at}/exchange/file", files={"tracer": ("t.csv", lines.encode())},
        data={"background_is": "fitted"}, headers={"hx-request": "true"},
    )  # fmt: skip
    assert "It changes its air 0.7998 ± 0.00" in html.unescape(answer.text)


def test_a_decay_that_says_nothing_cannot_be_used(client, bench, at) -> None:
    flat = "\n".join(f"{h} {430 + 3 * math.sin(5 * h):.1f}" for h in range(30))
    page = post(client, f"{at}/exchange", readings=flat)
    assert "Its air exchange cannot be said" in page
    assert "Use it for this case" not in page
    entry_id, _case = case_now(bench, at)
    refused = client.post(f"{at}/exchange/use", data={"readings": flat, "based_on": entry_id})
    assert refused.status_code == 422


def test_a_line_that_is_no_reading_is_named(client, at) -> None:
    answer = client.post(f"{at}/exchange", data={"readings": "0 5000\n0.5 high\n1 4000"})
    assert answer.status_code == 422
    assert "Line 2 is not a time and a reading" in html.unescape(answer.text)


def test_the_buffer_is_sized_both_ways_and_used_as_computed(client, bench, at) -> None:
    page = post(client, f"{at}/buffer", **GEL)
    for words in (
        "By the formula", "Exactly", "For the season",
        "The formula is the straight start of an exponential and errs to the safe side",
        "measure it before buying gel", "it does not lift",
    ):  # fmt: skip
        assert words in page, words
    entry_id, _case = case_now(bench, at)
    used = client.post(f"{at}/buffer/use", data=GEL | {"way": "exactly", "based_on": entry_id})
    assert used.status_code == 303
    _entry_id, case = case_now(bench, at)
    assert case.buffer_kg > 0
    assert case.start_percent == 50
    assert "computed exactly" in case.buffer_from
    assert "50 %RH held 90 d within 5 %RH in a room at 35" in case.buffer_from
    assert "computed exactly" in html.unescape(client.get(at).text)


def test_near_the_whole_difference_the_formula_is_out_of_its_range(client, at) -> None:
    page = post(client, f"{at}/buffer", **(GEL | {"drift_percent": "14"}))
    assert "asks for far too much" in page
    none = post(client, f"{at}/buffer", **(GEL | {"drift_percent": "15"}))
    assert "no gel is needed" in none
    without = client.post(f"{at}/buffer", data=GEL | {"grounds": ""})
    assert without.status_code == 422
    assert "Where the capacity comes from is not said" in html.unescape(without.text)
