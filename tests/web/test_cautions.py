"""The cautions that bind every page, each held against what the pages say."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fastapi.testclient import TestClient


def page(client: TestClient, dossier_id: str, name: str = "") -> str:
    return client.get(f"/dossiers/{dossier_id}{name}").text


def test_not_examined_stands_beside_the_photograph_equal_in_size(
    client: TestClient, dossier_id: str
) -> None:
    examine = page(client, dossier_id, "/examine")
    # Both are cards of one pair of columns, and both have one full button.
    pair = examine[examine.index('id="bring-in"') :]
    assert pair.index("Add a photograph") < pair.index("Cannot be turned safely")
    assert "Recorded as not examined: as good an answer as a photograph" in pair
    for name in ('class="card drop"', 'class="card" id="not-examined"'):
        card = pair[pair.index(name) : pair.index("</form>", pair.index(name))]
        assert len(re.findall(r'class="button[ "]', card.split("<noscript>")[0])) == 1


def test_place_and_mass_stay_on_the_page_where_they_are_typed(
    client: TestClient, dossier_id: str
) -> None:
    form = {"title": "figurehead", "location": "room-of-the-secret", "mass_g": "98765"}
    client.post(f"/dossiers/{dossier_id}/object", data=form)
    assert "room-of-the-secret" in page(client, dossier_id, "/object")
    for name in ("", "/examine", "/hazards", "/condition", "/words", "/quantities", "/report",
                 "/journal"):  # fmt: skip
        shown = page(client, dossier_id, name)
        assert "room-of-the-secret" not in shown, name
        assert "98765" not in shown, name
    plain = client.get(f"/api/v1/dossiers/{dossier_id}").text
    assert "room-of-the-secret" not in plain
    assert "98765" not in plain


def test_hazards_are_not_tested_until_tested_and_stand_in_every_head(
    client: TestClient, dossier_id: str
) -> None:
    for name in ("", "/examine", "/quantities", "/report"):
        head = page(client, dossier_id, name).split("</header>")[0]
        assert "Pesticide residues: not tested" in head, name
    hazards = page(client, dossier_id, "/hazards")
    assert "A few tested points never clear an object" in hazards


def test_what_to_do_next_puts_people_first(client: TestClient, dossier_id: str) -> None:
    front = page(client, dossier_id)
    first = front[front.index('class="next"') :]
    assert "hazard" in first[: first.index("</section>")]


def test_the_deadline_is_on_the_front_page_and_not_at_the_bench(
    client: TestClient, dossier_id: str
) -> None:
    form = {"title": "figurehead", "deadline_on": "2031-05-06"}
    client.post(f"/dossiers/{dossier_id}/object", data=form)
    assert "2031-05-06" in page(client, dossier_id)
    for name in ("/examine", "/condition", "/quantities"):
        assert "2031-05-06" not in page(client, dossier_id, name), name


def test_the_reminder_of_ultraviolet_belongs_to_dim_mode(
    client: TestClient, dossier_id: str
) -> None:
    assert "goggles" not in page(client, dossier_id)
    client.post("/mode", data={"mode": "dim", "back": "/"})
    dim = page(client, dossier_id)
    assert 'data-mode="dim"' in dim
    assert "Ultraviolet: goggles, covered skin; its minutes count for the object too." in dim
    client.post("/mode", data={"mode": "red-free", "back": "/"})
    assert 'data-red="free"' in page(client, dossier_id)


def test_grades_are_chosen_with_all_four_definitions_in_sight(
    client: TestClient, dossier_id: str
) -> None:
    condition = page(client, dossier_id, "/condition")
    for words in ("Nothing is moving or detaching", "old and still", "Something is moving",
                  "Loss is happening"):  # fmt: skip
        assert words in condition


def test_every_stage_is_there_and_is_a_link(client: TestClient, dossier_id: str) -> None:
    rail = page(client, dossier_id)
    rail = rail[rail.index('class="rail"') : rail.index("</nav>")]
    assert rail.count("<a ") == 6
    assert f'<a href="/dossiers/{dossier_id}/revisit">Revisit' in rail
