"""The page of a measured opening: both bands, the forms, the lag, and slips in what is pasted."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
import math
from typing import TYPE_CHECKING

import pytest

from softmend.records.crack_model import Basis, BodyAround, CrackModel, Told
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.view import View
from softmend.services.examine.marks import record_mark
from softmend.services.recording import record_one

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

TWO = {
    "way": "two photographs", "read_on": ["2026-01-10", "2025-08-02"], "width_mm": ["1.30", "1.10"],
    "expanded_mm": ["0.02", "0.02"], "air_percent": ["42", "58"],
    "air_expanded_percent": ["2", "2"],
}  # fmt: skip


@pytest.fixture
def mark_id(bench, author, dossier_id) -> str:
    view = View(1, "front.jpg", "a" * 64, 10, "b" * 64, 1000, 800, 8, "sRGB")
    record_one(bench, author, dossier_id=dossier_id, subject_id="view-1", record=view, based_on="")
    line = Geometry(Shape.LINE, (((10.0, 10.0), (200.0, 40.0)),))
    mark = Mark(number=0, term_id="crack", sightings=(Sighting("view-1", line),))
    return record_mark(bench, author, dossier_id, mark).subject_id


@pytest.fixture
def address(dossier_id, mark_id) -> str:
    return f"/dossiers/{dossier_id}/marks/{mark_id}/opening"


@pytest.fixture
def modelled(bench, author, dossier_id, mark_id) -> None:
    model = CrackModel(
        body=BodyAround.CYLINDER,
        radius_mm=Told(45, 50, 55, Basis.MEASURED, "tape"),
        mismatch_percent=Told(-0.03, 0.005, 0.03, Basis.ESTIMATED, "either way"),
    )
    record_one(bench, author, dossier_id=dossier_id, subject_id=mark_id, record=model, based_on="")


def said(client: TestClient, address: str) -> str:
    return html.unescape(client.get(address).text)


def test_nothing_known_teaches_what_to_do(client: TestClient, address: str) -> None:
    page = said(client, address)
    assert "It is not known how this crack moves with the air." in page
    assert "Use the seasons' own change." in page
    assert "The model has nothing to say without the radius" in page


def test_the_mark_leads_to_it(client: TestClient, address: str) -> None:
    assert address in client.get(address.removesuffix("/opening")).text


@pytest.mark.usefixtures("modelled")
def test_the_model_stands_until_something_is_measured(client: TestClient, address: str) -> None:
    page = said(client, address)
    assert "Modelled only" in page
    assert "Whether it opens or closes is not known." in page
    assert "Modelled:" in page
    assert "Measured:" not in page


@pytest.mark.usefixtures("modelled")
def test_a_measurement_narrows_the_band_beside_the_model(client: TestClient, address: str) -> None:
    assert client.post(address, data=TWO).status_code == 303
    page = said(client, address)
    assert "Measured on this object: it opens as the air gets 10 %RH drier: 0.1" in page
    assert "times narrower than the modelled one" in page
    assert "measured beats modelled" in page
    assert page.count('id="openings-modelled"') == 1
    seen = page.split('name="based_on" value="')[1].split('"')[0]
    off = {"based_on": seen, "because": "the gauge slipped"}
    assert client.post(f"{address}/strike", data=off).status_code == 303
    assert "Modelled only" in said(client, address)


def test_a_pasted_series_gives_the_lag(client: TestClient, address: str) -> None:
    air, felt, last = [], [], 50.0
    for n in range(801):
        hour = 6 * n
        now = 50 + 10 * math.sin(2 * math.pi * hour / 24 / 90)
        last += (now - last) * (1 - math.exp(-6 / (24 * 12.0)))
        air.append(f"{hour}; {now:.2f}")
        felt.append(last)
    widths = [f"{6 * n}; {1.0 - 0.01 * (felt[n] - 50):.3f}" for n in range(120, 801, 40)]
    asked = {
        "way": "crack gauge beside a logger", "widths": "hours; mm\n" + "\n".join(widths),
        "air": "hours; %RH\n" + "\n".join(air),
    }  # fmt: skip
    answer = client.post(address, data=asked)
    assert answer.status_code == 303, answer.text
    page = said(client, address)
    assert "The crack follows the air with a lag of 1" in page
    assert "days" in page
    assert "120; 1" not in page
    assert "720; " in page


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"air_percent": ["58", "58"]}, "The two humidities are too near to each other"),
        ({"width_mm": ["wide", "1.1"]}, "The width is not a number"),
        (
            {"way": "crack gauge beside a logger", "widths": "today; 1.2", "air": "0; 50"},
            "A line of the widths cannot be read",
        ),
        (
            {"way": "crack gauge beside a logger", "widths": "2026-01-01; 1.2", "air": "0; 50"},
            "tell their times in two ways",
        ),
        ({"way": "crack gauge beside a logger"}, "The widths have no times"),
    ],
)
def test_slips_are_told_in_words(client: TestClient, address: str, change, sentence: str) -> None:
    answer = client.post(address, data=TWO | change, headers={"hx-request": "true"})
    assert answer.status_code == 422
    assert sentence in html.unescape(answer.text)


def test_moments_and_days_are_times(client: TestClient, address: str) -> None:
    air = "\n".join(f"2026-01-{day:02d} 12:00\t{40 + day}" for day in range(1, 29))
    widths = "\n".join(f"2026-01-{day:02d}, {2 - 0.01 * day:.2f}" for day in range(3, 28, 4))
    asked = {"way": "crack gauge beside a logger", "widths": widths, "air": air}
    answer = client.post(address, data=asked, headers={"hx-request": "true"})
    assert answer.status_code == 204, html.unescape(answer.text)
