"""The page of joins: the order of assembly, what is said, who gives first, what is kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
from typing import TYPE_CHECKING

import pytest

from softmend.records.fragment import Fragment
from softmend.records.holding import LIMITS
from softmend.records.join import Assembly, PlannedJoin
from softmend.services.recording import record_one
from softmend.services.treat.day_log import plan_assembly

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

VALUES = {
    "breadth_mm": (18, 20, 22), "height_mm": (27, 30, 33), "arm_mm": (80, 100, 120),
    "hang_degrees": (-10, 0, 10), "warmest_degc": (22, 24, 26), "object_strength_mpa": (2, 8, 25),
}  # fmt: skip


def form(values: dict, **more: str) -> dict:
    """Return the whole form as a browser sends it, empty rows too."""
    names = list(LIMITS)
    points = [values.get(name, ("", "", "")) for name in names]
    return {
        "name": "J1", "outline": "ellipse", "softens": "softens with warmth",
        "adhesive": "tissue or pulp + acrylic copolymer (solvent)",
        "material": "antler (compact)", "preservation": "mineral gained, sub-fossil",
        "quantity": names, "low": [str(one[0]) for one in points],
        "typical": [str(one[1]) for one in points], "high": [str(one[2]) for one in points],
        "basis": ["estimated"] * len(names), "grounds": [""] * len(names), **more,
    }  # fmt: skip


@pytest.fixture
def address(dossier_id) -> str:
    return f"/dossiers/{dossier_id}/explain/joins"


@pytest.fixture
def planned(bench, author, dossier_id) -> None:
    joins = Assembly((PlannedJoin("J1", ("beam", "fragment 1")),))
    plan_assembly(bench, author, dossier_id, joins, "")
    piece = Fragment(1, "in the tray", mass_g=120.0, mass_expanded_g=0.5)
    record_one(bench, author, dossier_id=dossier_id, subject_id="f1", record=piece, based_on="")


def said(client: TestClient, address: str) -> str:
    return html.unescape(client.get(address).text)


def test_no_join_teaches_and_an_old_one_can_be_named(client: TestClient, address: str) -> None:
    assert "No join is planned." in said(client, address)
    named = {"name": "old join at the burr"}
    assert client.post(f"{address}/said", data=named).status_code == 303
    page = said(client, f"{address}?join=old+join+at+the+burr")
    assert "old join at the burr: nothing can be said yet" in page
    assert "The mass of the piece is not known" in page
    assert client.get(f"{address}?join=J9").status_code == 404


@pytest.mark.usefixtures("planned")
def test_what_is_said_gives_the_drawing_and_the_words(client: TestClient, address: str) -> None:
    page = said(client, address)
    assert "beam + fragment 1, not made yet" in page
    assert "weighed: fragment 1" in page
    answer = client.post(f"{address}/said", data=form(VALUES))
    assert answer.status_code == 303, answer.text
    page = said(client, f"{address}?join=J1")
    assert "The joint holds its piece for years:" in page
    assert "the bond gives before the object:" in page
    assert "On the warmest day the bond is above its glass transition:" in page
    assert "Whether a crack would stay in the bond is not known" in page
    assert "Not a lifting calculation" in page
    assert page.count('class="drawing"') == 1


@pytest.mark.usefixtures("planned")
def test_it_is_kept_and_told_when_it_is_stale(client: TestClient, address: str) -> None:
    client.post(f"{address}/said", data=form(VALUES))
    assert client.post(f"{address}/keep", data={"name": "J1"}).status_code == 303
    page = said(client, address)
    assert "Keep it again, as recorded now" in page
    seen = page.split('name="based_on" value="')[1].split('"')[0]
    warmer = VALUES | {"warmest_degc": (30, 33, 36)}
    assert client.post(f"{address}/said", data=form(warmer, based_on=seen)).status_code == 303
    assert "Stale, because what is said of the join changed" in said(client, address)


@pytest.mark.usefixtures("planned")
def test_nothing_is_kept_of_what_cannot_be_said(client: TestClient, address: str) -> None:
    answer = client.post(f"{address}/keep", data={"name": "J1"}, headers={"hx-request": "true"})
    assert answer.status_code == 422
    assert "Nothing can be kept of this join yet" in html.unescape(answer.text)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"arm_mm": ("far", 1, 2)}, "From the joint to its centre of mass, low is not a number"),
        ({"hang_degrees": (0, 45, 120)}, "Its angle below the horizontal, high is outside"),
        ({"breadth_mm": (20, 20, 20)}, "needs three points that rise"),
    ],
)
def test_slips_are_told_in_words(client: TestClient, address: str, change, sentence: str) -> None:
    answer = client.post(
        f"{address}/said", data=form(VALUES | change), headers={"hx-request": "true"}
    )
    assert answer.status_code == 422
    assert sentence in html.unescape(answer.text)
