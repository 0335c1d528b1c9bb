"""Two dates compared on the page: another side and a curved surface are refused in a sentence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
import html
import re
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PIL import Image

from softmend.records.kinds import record_in
from softmend.records.place import ObjectPlace, Place
from softmend.services.examine.views import describe_view, import_photograph
from softmend.services.next_steps import Step, Urgency
from softmend.services.places.house import record_place
from softmend.services.places.tied import stand_object
from softmend.web.pages.revisit.compare import steps_here
from tests.science.photo.test_register import pored, rolled, viewed
from tests.services.places.test_nearest import hang

if TYPE_CHECKING:
    from collections.abc import Callable

    from fastapi.testclient import TestClient

STRAIGHT = np.array([[1.0, 0, -150], [0, 1, -120], [0, 0, 1]])


@pytest.fixture
def dated(bench, author, dossier_id, tmp_path) -> Callable[[np.ndarray, str], str]:
    """Take a picture in as the front of a day and return its view."""

    def take(pixels: np.ndarray, day: str) -> str:
        path = tmp_path / f"{day}.png"
        Image.fromarray(pixels).convert("RGB").save(path)
        entry = import_photograph(bench, author, dossier_id, path, path.name)
        view = replace(record_in(entry), side="front", taken_on=day)
        return describe_view(bench, author, dossier_id, entry.subject_id, view, entry.id).subject_id

    return take


def test_a_photograph_of_another_side_is_refused_and_nothing_is_compared(
    client: TestClient, dossier_id, dated
) -> None:
    first = dated(
        viewed(pored(np.random.default_rng(1)), STRAIGHT, np.random.default_rng(2)), "2031-01-02"
    )
    other = dated(
        viewed(pored(np.random.default_rng(3)), STRAIGHT, np.random.default_rng(4)), "2032-01-02"
    )
    at = f"/dossiers/{dossier_id}/revisit/compare"
    # What little is alike by chance is laid on nothing; with still less the same is said at once.
    assert client.post(at, data={"earlier": first, "later": other}).status_code == 303
    page = html.unescape(client.get(f"{at}?earlier={first}&later={other}").text)
    said = r"Not laid over one another:</strong>\s+only \d+ .*matches agree on one plane"
    assert re.search(said, page)
    assert 'data-look="blink"' not in page
    assert "New cracks? Suggested" not in page
    assert "No crack is drawn as a line on the earlier view" in page


def test_once_measured_the_page_asks_to_keep_it_and_leads_nowhere_else() -> None:
    own = "revisit/compare?earlier=a&later=b"
    steps = [
        Step(Urgency.RECORDS, "Compare view 2 with view 1.", "None is kept.", own),
        Step(Urgency.RECORDS, "Compare view 3 with view 1.", "None is kept.", own + "c"),
    ]
    for is_found, word in ((False, "Compare view 2"), (True, "Keep what the comparison found")):
        here, other = steps_here(steps, "a", "b", is_found=is_found)
        assert here.sentence.startswith(word)
        assert here.page == "revisit"
        assert other == steps[1]


def test_the_air_is_filled_in_from_the_rooms_record(
    client: TestClient, bench, author, dossier_id, dated, tmp_path
) -> None:
    place_id = record_place(bench, author, Place("long gallery", zone="Europe/Athens")).subject_id
    hang(bench, author, place_id, tmp_path, "north wall", dt.datetime(2031, 1, 1), 60, 45)
    stand_object(bench, author, dossier_id, ObjectPlace(place_id, "2030-12-01"), "")
    flat = np.full((200, 300), 120, np.uint8)
    first, later = dated(flat, "2031-01-20"), dated(flat + 1, "2031-02-20")
    at = f"/dossiers/{dossier_id}/revisit/compare?earlier={first}&later={later}"
    page = html.unescape(client.get(at).text)
    assert "filled in from the record of the room (logger north wall, long gallery" in page
    assert 'name="earlier_percent" maxlength="20" value="46"' in page
    assert 'name="later_degc" maxlength="20" value="20"' in page


def test_two_views_round_a_shaft_stand_side_by_side_and_never_over_one_another(
    client: TestClient, dossier_id, dated
) -> None:
    rng = np.random.default_rng(8)
    skin = pored(rng, (1200, 900)).astype(np.float32)
    first, turned = (
        dated(rolled(0.0, rng, skin), "2031-01-02"),
        dated(rolled(12.0, rng, skin), "2032-01-02"),
    )
    at = f"/dossiers/{dossier_id}/revisit/compare"
    assert client.post(at, data={"earlier": first, "later": turned}).status_code == 303
    page = html.unescape(client.get(f"{at}?earlier={first}&later={turned}").text)
    assert "Not laid over one another:" in page
    assert "each crack is laid over by itself where it can be" in page
    assert 'data-look="side" aria-pressed="true"' in page
    assert 'data-look="blink"' not in page
    assert 'data-locked="false"' in page
    assert "New cracks? Suggested" not in page
