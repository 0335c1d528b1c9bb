"""A tint in a browser: four clicks on a chart, a trial by eye, a recipe tried out, where seen."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from softmend.records.dossier import Dossier, Size
from softmend.services.dossiers import open_dossier
from softmend.services.examine.views import finish_tiles
from softmend.services.propose.colour_readings import colour_readings_in
from softmend.services.recording import current_record
from tests.browser.conftest import DESK
from tests.services.propose.tinted import CORNERS, beam_colour, filled_loss, paints_and_view

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from playwright.sync_api import Page

    from tests.browser.conftest import Served, Watched


@pytest.fixture
def told(served: Served, tmp_path: Path) -> dict[str, str]:
    """A dossier with a toned fill on a view that shows a chart, and the invented paints."""
    bench, author = served.bench, served.author
    opening = Dossier(
        "antler beam", "INV 12", "an invented house", "to be shown", Size.FULL, is_invented=True
    )
    dossier_id = open_dossier(bench, author, opening)
    view_id = paints_and_view(bench, author, dossier_id, tmp_path)
    with bench.store.reading() as reader:
        _, view = current_record(reader, dossier_id, "view", view_id)
    finish_tiles(bench, view.canonical_sha256)
    mark_id = filled_loss(bench, author, dossier_id, view_id)
    beam_colour(bench, author, dossier_id)
    base = f"{served.url}/dossiers/{dossier_id}/propose/tint"
    return {"dossier": dossier_id, "base": base, "view": view_id, "mark": mark_id}


def click_on_picture(page: Page, points: tuple[tuple[float, float], ...]) -> None:
    """Click places of the picture, in its own pixels."""
    for x, y in points:
        at = page.evaluate(
            """([x, y]) => {
              const drawn = document.querySelector(".overlay .world");
              const place = new DOMPoint(x, y).matrixTransform(drawn.getScreenCTM());
              return [place.x, place.y];
            }""",
            [x, y],
        )
        page.mouse.click(*at)


def test_paints_and_trial_by_eye(
    served: Served, told: dict[str, str], new_page: Callable[..., Watched]
) -> None:
    watched = new_page(DESK, touch=True)
    page = watched.page
    for name, address in (
        ("paints", "/paints"), ("a paint", "/paints/of?name=yellow+earth"),
        ("own eyes", "/paints/eyes"),
    ):  # fmt: skip
        watched.go(f"{served.url}{address}")
        watched.is_clean(name)
    page.set_viewport_size(DESK)
    watched.go(told["base"])
    page.get_by_label("What was mixed").fill("5 g binder, 5 drops yellow earth, 12 brown earth")
    page.get_by_label("Dry?").select_option("dry")
    page.get_by_label("Just told apart").check()
    page.get_by_label("Which way it differs").select_option("yellower")
    page.get_by_role("button", name="Record the trial").click()
    page.wait_for_selector("text=Trial 1 for mark 1: where will it be seen?")
    watched.rest()
    watched.is_clean("trial card")
    page.get_by_label("How the tone is found again").fill("a hatch of 0.8 mm")
    page.get_by_role("button", name="Keep the recipe").click()
    page.wait_for_selector("text=Mark 1 · SZ1 · by eye")
    watched.rest()
    watched.is_clean("tint by eye")


def test_eyes_are_tested_by_the_arrow_keys_and_kept_for_their_person(
    served: Served, told: dict[str, str], new_page: Callable[..., Watched]
) -> None:
    watched = new_page(DESK, touch=True)
    page = watched.page
    watched.go(f"{served.url}/paints/eyes")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_selector("text=1 of 12.")
    watched.rest()
    watched.is_clean("two fields")
    page.get_by_role("button", name="Left").click()
    for place in range(2, 13):
        page.wait_for_selector(f"text={place} of 12.")
        watched.rest()
        page.keyboard.press("ArrowRight" if place % 2 else "ArrowLeft")
    page.wait_for_selector("text=What your eyes noticed")
    watched.rest()
    watched.is_clean("what eyes noticed")
    page.get_by_role("button", name="Record it as mine").click()
    page.wait_for_selector("text=draws this person's eye")
    watched.go(f"{told['base']}/sight?mark={told['mark']}")
    page.wait_for_selector("text=For your own eyes")
    assert page.get_by_text("the verdict above is for the usual 1").is_visible()


def test_recipe_and_where_it_is_seen(
    told: dict[str, str], new_page: Callable[..., Watched]
) -> None:
    watched = new_page(DESK, touch=True)
    page = watched.page
    watched.go(f"{told['base']}/recipe?mark={told['mark']}")
    watched.is_clean("tint by readings")
    page.set_viewport_size(DESK)
    with page.expect_response(lambda one: "/recipe/answer" in one.url):
        page.get_by_label("Mix about, g").fill("10")
    page.wait_for_selector("text=Mix about 10 g")
    page.get_by_label("How the tone is found again").fill("a hatch of 0.8 mm")
    page.get_by_role("button", name="Keep the recipe").click()
    page.wait_for_selector("text=After the first dry drawdown")
    watched.go(f"{told['base']}/sight?mark={told['mark']}")
    page.wait_for_selector("text=no flat colour does both; match the mean and hatch")
    watched.is_clean("where it is seen")
    page.set_viewport_size(DESK)
    with page.expect_response(lambda one: "/seen.jpg" in one.url and "lightness=-6" in one.url):
        page.locator("[name=lightness]").fill("-6")
    page.wait_for_selector("text=it is seen from 1829 mm")
    with page.expect_response(lambda one: "/answer" in one.url):
        page.get_by_role("slider", name="Lighter or darker").press("ArrowRight")
    assert page.locator("[name=lightness]").input_value() == "-5.5"


def test_colours_from_four_clicks(
    served: Served, told: dict[str, str], new_page: Callable[..., Watched]
) -> None:
    watched = new_page(DESK)
    page = watched.page
    watched.go(f"{told['base']}/colour/{told['view']}")
    page.wait_for_selector("#viewer[data-ready=true]")
    page.get_by_role("button", name="On the picture: the chart").click()
    click_on_picture(page, CORNERS)
    page.get_by_role("button", name="Done").click()
    page.wait_for_selector("text=Four corners are clicked.")
    page.get_by_role("button", name="On the picture: a place of the object").click()
    click_on_picture(page, ((300.0, 30.0), (420.0, 30.0), (420.0, 90.0), (300.0, 90.0)))
    page.get_by_role("button", name="Done").click()
    page.get_by_label("Name of the place").fill("beam")
    page.get_by_role("button", name="Read the colours").click()
    page.wait_for_selector("text=Does each square lie inside its patch?")
    watched.rest()
    watched.is_clean("patches to confirm")
    page.set_viewport_size(DESK)
    page.get_by_label("I looked").check()
    page.get_by_role("button", name="Record these colours").click()
    page.wait_for_selector("text=Reading 2, photograph")
    watched.rest()
    with served.bench.store.reading() as reader:
        _entry, reading = colour_readings_in(reader, told["dossier"])[0]
    assert reading.places[0].name == "beam"
    assert reading.answered["leave_one_out"] < 1.0
    watched.is_clean("colours of the object")
