"""The pages of places: a file is looked at before it counts, and a place never permits."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from softmend.records.place import Place
from softmend.records.showcase import Showcase
from softmend.services.places.house import files_in, record_case, record_place

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

LOGGERS = Path(__file__).parents[1] / "data" / "loggers"
LONG = LOGGERS / "house_eighteen_months_hourly.csv"
SHORT = LOGGERS / "house_nine_months_hourly.csv"
UNSURE = "Date;Time;T (°C);RH (%)\n" + "".join(
    f"0{day}.0{month}.2024;{hour:02d}:00;20,{day};4{hour % 10},5\n"
    for month in (1, 2)
    for day in (3, 4, 5)
    for hour in range(24)
)


@pytest.fixture
def place_id(bench: Bench, author: Author) -> str:
    return record_place(bench, author, Place("long gallery", zone="Europe/Athens")).subject_id


def said(client: TestClient, address: str, **asked: str) -> str:
    return html.unescape(client.get(address, params=asked).text)


def brought(client: TestClient, place_id: str, name: str, content: bytes) -> str:
    """Bring a file in and return the address of how it reads."""
    answer = client.post(f"/places/{place_id}/files", files={"readings": (name, content)})
    assert answer.status_code == 303
    return str(answer.headers["location"])


def confirmed(client: TestClient, place_id: str, path: Path, **more: str) -> None:
    address = brought(client, place_id, path.name, path.read_bytes()).partition("?")[0]
    form = {"name": path.name, "logger": "north wall", "zone": "UTC+02:00"} | more
    assert client.post(address, data=form).status_code == 303


def highest(path: Path) -> float:
    """Return the highest humidity that stands in a file, read without the program."""
    return max(float(line.split(",")[2]) for line in path.read_text("utf-8").splitlines()[1:])


def test_an_empty_house_teaches_and_a_place_asks_for_a_file(client: TestClient) -> None:
    assert "Next: name a room or a store." in said(client, "/places")
    answer = client.post("/places", data={"name": "long gallery", "kind": "gallery"})
    page = said(client, answer.headers["location"])
    assert "Next: bring in a logger's file." in page
    assert "This page describes what a place does; it never permits." in page


def test_the_guess_stands_on_one_screen_with_the_first_rows(client, place_id) -> None:
    page = said(client, brought(client, place_id, LONG.name, LONG.read_bytes()))
    assert "2011-01-31 00:00:00" in page
    assert re.search(r"<option selected>year first</option>", page)
    assert 'value="UTC+02:00"' in page
    assert "4 spikes of humidity pointed at, and kept." in page


def test_day_and_month_are_not_guessed_when_no_day_is_above_12(client, bench, place_id) -> None:
    address = brought(client, place_id, "unsure.csv", UNSURE.encode("cp1252"))
    page = said(client, address)
    assert "It cannot be read yet." in page
    assert "Whether day or month comes first cannot be known" in page
    assert "03.01.2024;00:00;20,3;40,5" in page
    told = said(client, address, day_order="day first")
    assert "Next: look at the first rows, answer what is asked, then confirm." in told
    path = address.partition("?")[0]
    form = {"name": "unsure.csv", "logger": "x", "zone": "Europe/Athens"}
    assert client.post(path, data=form).status_code == 422
    assert client.post(path, data=form | {"day_order": "day first"}).status_code == 303
    with bench.store.reading() as reader:
        kept = files_in(reader, place_id)[0].file
    assert kept.start_at == "2024-01-02T22:00Z"
    assert kept.day_order == "day first"


def test_a_clock_that_nobody_confirmed_is_not_taken_for_granted(client, place_id) -> None:
    address = brought(client, place_id, LONG.name, LONG.read_bytes()).partition("?")[0]
    answer = client.post(address, data={"logger": "north wall", "zone": ""})
    assert answer.status_code == 422
    assert "The clock of the logger is not confirmed" in html.unescape(answer.text)


def test_eighteen_months_give_their_band_beside_the_guidance(client, place_id) -> None:
    confirmed(client, place_id, LONG)
    page = said(client, f"/places/{place_id}")
    assert "−10.0 to +10.0 %RH around the season's level" in page
    assert "14 % of the past readings lie outside" in page
    assert "Was the object stable in this climate?" in page
    assert "ASHRAE AA, 2019" in page
    assert "recalled" in page
    assert "None of these is a limit for an object of yours" in page


def test_nine_months_give_so_far_and_no_band(client, place_id) -> None:
    confirmed(client, place_id, SHORT)
    page = said(client, f"/places/{place_id}")
    assert "No band is shown." in page
    assert "A yearly band needs thirteen months; this record spans 264 days" in page
    assert "The band that was lived in" not in page
    told = client.get(f"/places/{place_id}/series").json()
    assert told["band"]["level"] == []


def test_every_zoom_keeps_the_least_and_the_most(client, place_id) -> None:
    confirmed(client, place_id, LONG)
    whole = client.get(f"/places/{place_id}/series").json()
    assert len(whole["at_s"]) <= 800
    assert max(one for one in whole["rh_high"] if one is not None) == highest(LONG)
    start = whole["start_s"] + 30 * 86400
    near = client.get(
        f"/places/{place_id}/series", params={"from_s": start, "to_s": start + 86400}
    ).json()
    assert near["width_s"] == 3600
    assert near["rh_low"] == near["rh_high"]


def test_an_offset_asks_for_its_calibration_and_shifts_the_record(client, place_id) -> None:
    address = brought(client, place_id, LONG.name, LONG.read_bytes()).partition("?")[0]
    form = {"logger": "north wall", "zone": "UTC+02:00", "rh_offset_percent": "-2"}
    assert client.post(address, data=form).status_code == 422
    assert client.post(address, data=form | {"calibrated_how": "salt"}).status_code == 303
    told = client.get(f"/places/{place_id}/series").json()
    assert max(one for one in told["rh_high"] if one is not None) == highest(LONG) - 2


def test_a_case_without_a_measured_exchange_is_told_to_be_measured(client, place_id) -> None:
    confirmed(client, place_id, LONG)
    empty = {"quantity": "exchange_per_day", "low": "", "typical": "", "high": "",
             "basis": "estimated", "grounds": ""}  # fmt: skip
    case = {"name": "case by the stairs", "volume_m3": "1.2"} | empty
    assert client.post(f"/places/{place_id}/cases", data=case).status_code == 303
    assert "Next: measure the air exchange of case by the stairs." in said(
        client, f"/places/{place_id}"
    )


def test_several_loggers_of_a_file_are_offered_one_by_one(client, bench, author, place_id) -> None:
    case = Showcase(place_id, "case by the stairs", 1.0)
    showcase_id = record_case(bench, author, case).subject_id
    text = "time;Hall T;Hall RH;Case T;Case RH\n" + "".join(
        f"2024-03-15 {hour:02d}:00;20;5{hour % 10};21;45\n" for hour in range(24)
    )
    address = brought(client, place_id, "two.csv", text.encode())
    page = said(client, address)
    assert "The file holds 2 loggers." in page
    form = {
        "name": "two.csv", "zone": "UTC", "sensor_percent": "3", "calibrated_how": "a salt",
        "each_in_file": ["Hall", "Case"], "each_logger": ["", "in the case"],
        "each_hangs": ["", showcase_id], "each_rh_offset": ["", "-1.5"],
        "each_temperature_offset": ["", ""],
    }  # fmt: skip
    assert client.post(address.partition("?")[0], data=form).status_code == 303
    with bench.store.reading() as reader:
        (kept,) = files_in(reader, place_id)
    assert kept.file.name_in_file == "Case"
    assert kept.file.showcase_id == showcase_id
    page = said(client, f"/places/{place_id}")
    assert "-1.5 %RH" in page
    assert "(a salt)" in page
