"""The pages of a tint: by eye, colour of the object, by readings, where it is seen."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
import json
from typing import TYPE_CHECKING

import numpy as np
import pytest

from softmend.records.dossier import Certainty, Material, ObjectHead
from softmend.services.dossiers import describe_object
from softmend.services.propose.colour_readings import colour_readings_in
from softmend.services.propose.tint_cards import cards_in
from softmend.services.propose.tint_keep import kept_tint
from tests.services.propose.tinted import (
    CHART,
    CORNERS,
    RING,
    WIDTH,
    add_view,
    beam_colour,
    filled_loss,
    paints_and_view,
    picture,
)

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

CARD = {
    "mark_number": "1", "mixed": "5 g binder, 12 drops yellow earth", "dryness": "dry",
    "dried_h": "24", "lamp": "north window", "beside": "just told apart", "way": "yellower",
}  # fmt: skip


@pytest.fixture
def base(dossier_id: str) -> str:
    return f"/dossiers/{dossier_id}/propose/tint"


@pytest.fixture
def view_id(bench, author, dossier_id, tmp_path) -> str:
    return paints_and_view(bench, author, dossier_id, tmp_path)


@pytest.fixture
def mark_id(bench, author, dossier_id, view_id) -> str:
    found = filled_loss(bench, author, dossier_id, view_id)
    beam_colour(bench, author, dossier_id)
    return found


def said(client: TestClient, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.text
    return html.unescape(answer.text)


def test_every_page_teaches_while_there_is_nothing(client: TestClient, base: str) -> None:
    assert "draw the crack or loss on a view first" in said(client, base)
    assert "None yet. A photograph with a colour chart" in said(client, f"{base}/colour")
    page = said(client, f"{base}/recipe")
    assert "Nothing can be mixed by readings yet" in page
    assert "A trial by eye needs none of this." in page
    assert "From where will the fill be seen?" in said(client, f"{base}/sight")


def test_photographs_to_read_colours_from_are_shown_unless_the_object_may_be_human(
    client: TestClient, bench, author, dossier_id, base, view_id
) -> None:
    small = f'src="/dossiers/{dossier_id}/views/{view_id}/small.jpg"'
    assert small in said(client, f"{base}/colour")
    bone = Material("shaft", "bone", "seen", Certainty.CERTAIN)
    describe_object(bench, author, dossier_id, ObjectHead("shaft", materials=(bone,)), "")
    page = said(client, f"{base}/colour")
    assert "No small picture: treated as possibly human." in page
    assert small not in page


def test_a_trial_works_without_an_instrument_and_becomes_the_recipe(
    client: TestClient, bench, dossier_id, base, mark_id
) -> None:
    answer = client.post(f"{base}/cards", data=CARD)
    assert answer.status_code == 303
    page = said(client, answer.headers["location"])
    assert "From 1.8 m it" in page
    assert CARD["mixed"] in page
    assert "6 mm fill" in page
    with bench.store.reading() as reader:
        entry, card = cards_in(reader, dossier_id)[0]
    assert (card.width_mm, card.length_mm) == (6.0, 24.0)
    wet = client.post(f"{base}/cards", data={**CARD, "dryness": "still wet"})
    assert wet.status_code == 422
    address = f"{base}/cards/{entry.subject_id}/keep"
    assert client.post(address, data={"found_again": " "}).status_code == 409
    kept = client.post(address, data={"found_again": "hatch", "on_zone_number": "1"})
    assert kept.status_code == 303
    page = said(client, base)
    assert "SZ1 · by eye" in page
    assert "Found again by hatch" in page


def test_a_recipe_is_tried_out_kept_and_shown_with_strips_and_working(
    client: TestClient, bench, dossier_id, base, mark_id
) -> None:
    page = said(client, f"{base}/recipe?mark={mark_id}")
    assert "Mix about 5 g" in page
    assert "from the first coat, under the worst of the lamps" in page
    assert "30 % thinner" in page
    assert "A screen is no colour reference" in page
    with bench.store.reading() as reader:
        from softmend.services.propose.tint_search import choices

        usual = choices(reader, dossier_id).usual
    form = {
        "is_asked": "true", "target": usual.target, "pulp": usual.pulp, "white": usual.white,
        "paints": list(usual.paints), "lamps": list(usual.lamps), "thickness_um": "80",
        "batch_g": "10", "which": "fewest_paints",
    }  # fmt: skip
    tried = html.unescape(client.get(f"{base}/recipe/answer", params=form).text)
    assert "Mix about 10 g" in tried
    lone = html.unescape(
        client.get(f"{base}/recipe/answer", params={**form, "lamps": ["D65"]}).text
    )
    assert "Choose two lamps or more" in lone
    keep = {**form, "found_again": "hatch", "on_zone_number": "1", "based_on": ""}
    address = f"{base}/recipe/{mark_id}/keep"
    assert client.post(address, data=keep).status_code == 303
    with bench.store.reading() as reader:
        kept = kept_tint(reader, dossier_id, mark_id)
    assert kept is not None
    assert kept.recipe.coat == "80 µm dry, ± 15 %"
    assert client.post(address, data=keep).status_code == 409
    assert "After the first dry drawdown" in said(client, f"{base}/recipe?mark={mark_id}")


def test_where_it_is_seen_is_tried_out_and_pictured(
    client: TestClient, base: str, mark_id: str
) -> None:
    page = said(client, f"{base}/sight?mark={mark_id}")
    assert "On this 6 mm fill no flat colour does both; match the mean and hatch at" in page
    tried = html.unescape(
        client.get(f"{base}/sight/{mark_id}/answer", params={"lightness": "-6"}).text
    )
    assert "it is seen from 1829 mm" in tried
    assert "lightness=-6.0" in tried
    picture = client.get(
        f"{base}/sight/{mark_id}/seen.jpg", params={"lightness": "-6", "from_mm": "1829"}
    )
    assert picture.headers["content-type"] == "image/jpeg"
    assert picture.content.startswith(b"\xff\xd8")
    far = client.get(f"{base}/sight/{mark_id}/answer", params={"lightness": "-60"})
    assert far.status_code == 422
    kept = client.post(f"{base}/sight/{mark_id}/keep", data={"lightness": "1"})
    assert kept.status_code == 422


def test_four_clicks_give_patches_to_confirm_and_colours_of_places(
    client: TestClient, bench, dossier_id, base, view_id
) -> None:
    page = said(client, f"{base}/colour/{view_id}")
    assert "On the picture: the chart" in page
    form = {
        "chart": CHART, "corners": json.dumps(CORNERS), "place_name": ["bone"],
        "place_outline": [json.dumps(RING)],
    }  # fmt: skip
    read = html.unescape(client.post(f"{base}/colour/{view_id}/read", data=form).text)
    assert "Patches left out of the fit come out" in read
    assert "Does each square lie inside its patch?" in read
    assert read.count("<polygon") == 36
    assert "spread over 3600 pixels" in read
    image = read.partition('<image href="')[2].partition('"')[0]
    assert client.get(image).content.startswith(b"\xff\xd8")
    address = f"{base}/colour/{view_id}/record"
    assert client.post(address, data=form).status_code == 422
    assert client.post(address, data={**form, "confirmed": "true"}).status_code == 303
    with bench.store.reading() as reader:
        _entry, reading = colour_readings_in(reader, dossier_id)[0]
    assert reading.places[0].name == "bone"
    assert "estimated spectrum" in said(client, f"{base}/colour")
    nothing = client.post(f"{base}/colour/{view_id}/read", data={"chart": CHART})
    assert nothing.status_code == 422
    odd = client.post(f"{base}/colour/{view_id}/read", data={**form, "corners": "[[1]]"})
    assert odd.status_code == 422


def test_a_grey_card_of_the_same_size_takes_uneven_light_away(
    client: TestClient, bench, author, dossier_id, base, view_id, tmp_path
) -> None:
    shade = np.linspace(1.0, 0.7, WIDTH)[None, :, None]
    light = np.where(picture() / 255 <= 0.04045, picture() / 255 / 12.92,
                     ((picture() / 255 + 0.055) / 1.055) ** 2.4)  # fmt: skip
    uneven = add_view(bench, author, dossier_id, tmp_path / "uneven.tif", light * shade, 2)
    card = add_view(bench, author, dossier_id, tmp_path / "card.tif", 0.5 * shade + 0 * light, 3)
    page = said(client, f"{base}/colour/{uneven}")
    assert "An even grey card in the same light" in page
    assert f'value="{card}"' in page
    form = {"chart": CHART, "corners": json.dumps(CORNERS)}
    address = f"{base}/colour/{uneven}/read"
    without = html.unescape(client.post(address, data=form).text)
    assert "or photograph an even grey card in the same light and say so" in without
    read = html.unescape(client.post(address, data={**form, "card": card}).text)
    assert "the light changes by 0 % over the chart" in read
    missing = client.post(address, data={**form, "card": "no such view"})
    assert missing.status_code == 404


def test_an_instruments_file_is_one_place_of_the_object(
    client: TestClient, bench, dossier_id, base
) -> None:
    head = "name," + ",".join(f"{nm} nm" for nm in range(400, 701, 50))
    rows = "\n".join(f"p{n}," + ",".join(f"0.{3 + n}{k}" for k in range(7)) for n in range(2))
    file = {"readings": ("beam.csv", f"{head}\n{rows}\n")}
    said_of = {"name": "beam", "geometry": "45/0", "specular": "excluded"}
    assert client.post(f"{base}/colour/instrument", files=file, data=said_of).status_code == 303
    page = said(client, f"{base}/colour")
    assert "2 places were read: five or more make a better mean." in page
    assert "geometry 45/0, specular excluded" in page
    nameless = client.post(f"{base}/colour/instrument", files=file, data={"name": ""})
    assert nameless.status_code == 422
