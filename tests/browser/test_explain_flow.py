"""A crack from “nothing can be said yet” to a kept run: by keyboard, and by touch."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from contextlib import suppress
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Error

from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.services.examine.marks import record_mark
from softmend.services.explain.crack_keep import say_of_crack
from tests.browser.conftest import DESK, TABLET, rest
from tests.browser.test_flows import dossier_with_a_view
from tests.services.explain.conftest import DEPTHS, PULP, RESIN, SAID, WIDTHS

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Locator, Page, Route, ViewportSize

    from tests.browser.conftest import Served, Watched

PAGES = ("explain", "explain/cracks/1", "explain/cracks/1/fills")


def dossier_with_a_crack(served: Served) -> tuple[str, str]:
    """Return a dossier and the mark of its one crack, measured and not yet told of."""
    dossier_id, view_id = dossier_with_a_view(served)
    line = Geometry(Shape.LINE, (((10.0, 10.0), (200.0, 40.0)),))
    drawn = Mark(0, "crack", (Sighting(view_id, line),), widths=WIDTHS, depths=DEPTHS)
    return dossier_id, record_mark(served.bench, served.author, dossier_id, drawn).subject_id


def answered(page: Page, kind: str = "whole") -> None:
    """Wait until the answer has come, from the small sample or the whole one."""
    page.wait_for_selector(f"[data-answer={kind}]")
    rest(page)


def beside(page: Page) -> Locator:
    """Return the plain number beside the slider of the humidity."""
    return page.locator("[name=fall]")


@pytest.mark.parametrize(("viewport", "touch"), [(DESK, False), (TABLET, True)])
def test_every_page_of_explain_is_accessible_fits_and_can_be_touched(
    served: Served, new_page: Callable[..., Watched], viewport: ViewportSize, touch: bool
) -> None:
    dossier_id, mark_id = dossier_with_a_crack(served)
    watched = new_page(viewport, touch=touch)
    watched.go(f"{served.url}/dossiers/{dossier_id}/explain/cracks/1")
    watched.page.wait_for_selector("text=Nothing can be said yet")
    assert watched.axe() == []
    say_of_crack(served.bench, served.author, dossier_id, mark_id, SAID, "")
    for address in PAGES:
        watched.go(f"{served.url}/dossiers/{dossier_id}/{address}")
        if address.endswith("cracks/1"):
            answered(watched.page)
        elif address.endswith("fills"):
            watched.page.wait_for_selector("table.fills")
        assert watched.axe() == [], address
        width = watched.page.evaluate("document.documentElement.scrollWidth")
        assert width <= viewport["width"], address
        assert watched.violations() == [], address
    watched.go(f"{served.url}/dossiers/{dossier_id}/explain/cracks/1")
    answered(watched.page)
    sizes = watched.page.evaluate(
        "[...document.querySelectorAll('#try input, #try select, #try button, #told button')]"
        ".filter((one) => one.type !== 'radio').map((one) => one.getBoundingClientRect().height)"
    )
    assert min(sizes) >= 44


def test_the_sliders_answer_to_the_keyboard_and_reset_to_what_is_recorded(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id, mark_id = dossier_with_a_crack(served)
    say_of_crack(served.bench, served.author, dossier_id, mark_id, SAID, "")
    watched = new_page(DESK)
    page = watched.page
    watched.go(f"{served.url}/dossiers/{dossier_id}/explain/cracks/1")
    answered(page)
    before = page.locator("#section-picture .drawing").get_attribute("aria-label") or ""
    assert PULP in before
    page.focus("#s-fall")
    for _ in range(8):
        page.keyboard.press("ArrowRight")
    assert beside(page).input_value() == "24"
    page.wait_for_selector("text=Tried out only")
    answered(page)
    # The picture follows, and the slider keeps the hand's place.
    assert page.evaluate("document.activeElement.id") == "s-fall"
    assert page.locator("#section-picture .drawing").get_attribute("aria-label") != before
    page.select_option("#s-fill", RESIN)
    page.wait_for_selector("#told >> text=proposed, tried out on the page")
    page.check("[name=drawn][value=open]")
    page.wait_for_selector("#section-picture .drawing[aria-label*='radius, open.']")
    page.click("text=Back to what is recorded")
    page.wait_for_selector("text=Keep it for the proposal")
    assert beside(page).input_value() == "20.0"
    answered(page)
    with page.expect_navigation():
        page.click("text=Keep it for the proposal")
    page.wait_for_selector("text=What was kept")
    answered(page)


def test_a_finger_moves_a_slider_and_the_form_says_what_was_missing(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id, mark_id = dossier_with_a_crack(served)
    say_of_crack(served.bench, served.author, dossier_id, mark_id, SAID, "")
    watched = new_page(TABLET, touch=True)
    page = watched.page
    watched.go(f"{served.url}/dossiers/{dossier_id}/explain/cracks/1")
    answered(page)
    page.locator("#s-depth").scroll_into_view_if_needed()
    box = page.locator("#s-depth").bounding_box()
    assert box is not None
    page.touchscreen.tap(box["x"] + box["width"] * 0.8, box["y"] + box["height"] / 2)
    page.wait_for_selector("text=Tried out only")
    tried = float(page.locator("[name=depth]").input_value())
    assert tried > 15
    answered(page)
    label = page.locator("#section-picture .drawing").get_attribute("aria-label") or ""
    found = re.search(r"a crack ([\d.]+) mm deep", label)
    assert found is not None
    assert float(found[1]) == pytest.approx(tried, rel=0.02)


def test_a_whole_sample_that_comes_late_does_not_undo_what_the_hand_did(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id, mark_id = dossier_with_a_crack(served)
    say_of_crack(served.bench, served.author, dossier_id, mark_id, SAID, "")
    watched = new_page(DESK)
    page = watched.page
    asked: list[str] = []

    def late(route: Route) -> None:
        asked.append(route.request.url)
        page.wait_for_timeout(1500)
        with suppress(Error):  # one that was called off has nobody to answer
            route.continue_()

    page.route(re.compile("whole=true"), late)
    with page.expect_request(re.compile("whole=true")):
        page.goto(f"{served.url}/dossiers/{dossier_id}/explain/cracks/1")
    page.fill("[name=depth]", "14")
    page.wait_for_selector("#section-picture .drawing[aria-label*='a crack 14 mm deep']")
    answered(page)
    assert "depth=14" in asked[-1]
    label = page.locator("#section-picture .drawing").get_attribute("aria-label") or ""
    assert "a crack 14 mm deep" in label
    watched.wrong.clear()  # the browser's console calls a request that was called off an error
