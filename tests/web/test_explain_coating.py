"""The pages of a lifting coating: empty states, the form, sliders, what is kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
from typing import TYPE_CHECKING

import pytest

from softmend.records.coating import LIMITS
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.view import View
from softmend.services.examine.marks import record_mark
from softmend.services.recording import record_one

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

VALUES = {
    "coating_thickness_um": (60, 150, 300),
    "stretch_percent": (0.05, 0.2, 0.5),
    "body_modulus_gpa": (2, 6, 12),
    "body_poisson": (0.25, 0.3, 0.35),
    "body_toughness_j_per_m2": (10, 60, 300),
}


def form(values: dict, **more: str) -> dict:
    """Return the whole form as a browser sends it, empty rows too."""
    names = list(LIMITS)
    points = [values.get(name, ("", "", "")) for name in names]
    return {
        "coating": "cellulose nitrate", "body": "antler (compact)",
        "preservation": "mineral gained, sub-fossil", "seen_under_flakes": "the body",
        "quantity": names, "low": [str(one[0]) for one in points],
        "typical": [str(one[1]) for one in points], "high": [str(one[2]) for one in points],
        "basis": ["estimated"] * len(names), "grounds": [""] * len(names), **more,
    }  # fmt: skip


@pytest.fixture
def base(dossier_id) -> str:
    return f"/dossiers/{dossier_id}/explain/coating"


@pytest.fixture
def address(bench, author, dossier_id, base) -> str:
    view = View(1, "front.jpg", "a" * 64, 10, "b" * 64, 1000, 800, 8, "sRGB")
    record_one(bench, author, dossier_id=dossier_id, subject_id="view-1", record=view, based_on="")
    ring = ((100.0, 100.0), (300.0, 120.0), (280.0, 300.0))
    area = Sighting("view-1", Geometry(Shape.AREA, (ring,)))
    mark = Mark(number=0, term_id="lifting", sightings=(area,))
    return f"{base}/{record_mark(bench, author, dossier_id, mark).subject_id}"


def said(client: TestClient, address: str) -> str:
    return html.unescape(client.get(address).text)


def test_no_marked_coating_teaches(client: TestClient, base: str) -> None:
    assert "No lifting coating is marked." in said(client, base)


def test_what_is_missing_is_named(client: TestClient, address: str, base: str) -> None:
    assert "What the coating is made of is not said" in said(client, base)
    page = said(client, address)
    assert "Nothing can be said yet" in page
    assert "Its thickness is not known" in page
    assert "What if" not in page


def test_what_is_said_gives_the_stack_and_the_words(client: TestClient, address: str) -> None:
    answer = client.post(f"{address}/said", data=form(VALUES))
    assert answer.status_code == 303, answer.text
    page = said(client, address)
    assert "The tension of the coating is enough to lift something:" in page
    assert "What pulls and what holds, plane by plane" in page
    assert page.count('class="drawing"') == 7
    assert "kg on each 10 cm" in page or "on each 10 cm of its edge" in page
    assert "Model of one even coating on even layers" in page
    assert "Show the working" in page
    assert "recorded: 150 (60 to 300) µm" in page


def test_the_sliders_answer_without_recording(client: TestClient, address: str) -> None:
    client.post(f"{address}/said", data=form(VALUES))
    thin = html.unescape(client.get(f"{address}/answer", params={"thickness": "15"}).text)
    thick = html.unescape(client.get(f"{address}/answer", params={"thickness": "400"}).text)
    assert "hardly" in thin.split("</strong>")[0] or "not" in thin.split("</strong>")[0]
    assert "Tried out from a small sample" in thin
    assert thin != thick
    assert "150 µm" in said(client, address)


def test_it_is_kept_and_told_when_it_is_stale(client: TestClient, address: str) -> None:
    client.post(f"{address}/said", data=form(VALUES))
    assert client.post(f"{address}/keep").status_code == 303
    page = said(client, address)
    assert "Keep it again, as recorded now" in page
    assert "stale" not in page.casefold()
    seen = page.split('name="based_on" value="')[1].split('"')[0]
    thin = VALUES | {"coating_thickness_um": (10, 20, 40)}
    assert client.post(f"{address}/said", data=form(thin, based_on=seen)).status_code == 303
    assert "Stale, because what is said of the coating changed" in said(client, address)


def test_nothing_is_kept_of_what_cannot_be_said(client: TestClient, address: str) -> None:
    answer = client.post(f"{address}/keep", headers={"hx-request": "true"})
    assert answer.status_code == 422
    assert "Nothing can be kept of this coating yet" in html.unescape(answer.text)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            {"coating_thickness_um": ("thin", 1, 2)},
            "The thickness of the coating, low is not",
        ),
        ({"body_poisson": (0.2, 0.3, 0.9)}, "Poisson's ratio of the body, high is outside"),
        ({"layer_poisson": (0.2, 0.3, 0.4)}, "A layer has values and no name"),
    ],
)
def test_slips_are_told_in_words(client: TestClient, address: str, change, sentence: str) -> None:
    answer = client.post(
        f"{address}/said", data=form(VALUES | change), headers={"hx-request": "true"}
    )
    assert answer.status_code == 422
    assert sentence in html.unescape(answer.text)
