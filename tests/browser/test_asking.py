"""A press sends once, a late answer changes nothing, and what an answer brought about is shown."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.services.examine.marks import record_mark
from tests.browser.test_flows import dossier_with_a_view, on_picture, ready

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page, Route

    from tests.browser.conftest import Served, Watched

THREE_LINES = tuple(((200.0, y), (500.0, y)) for y in (200.0, 300.0, 400.0))


class Held:
    """Requests kept waiting until a test lets them go on."""

    def __init__(self, page: Page, where: str) -> None:
        """Keep whatever is asked there."""
        self.routes: list[Route] = []
        self.is_open = False
        page.route(where, self.hold)

    def hold(self, route: Route) -> None:
        """Keep one waiting, unless all may go on by now."""
        if self.is_open:
            route.continue_()
        else:
            self.routes.append(route)

    def go_on(self, watched: Watched) -> None:
        """Let all of them go on, and wait until the page rests."""
        self.is_open = True
        for route in self.routes:
            route.continue_()
        watched.rest()


def test_a_button_pressed_twice_writes_one_entry_and_what_it_wrote_is_shown(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id, _view_id = dossier_with_a_view(served)
    watched = new_page()
    page = watched.page
    posted: list[str] = []
    page.on("request", lambda one: posted.append(one.url) if one.method == "POST" else None)
    watched.go(f"{served.url}/dossiers/{dossier_id}/condition")
    page.check("[name=grade][value='3']")
    page.fill("[name=because]", "a layer stands free")
    page.dblclick("text=Record the grade")
    page.wait_for_selector("text=Overall 3")
    watched.rest()
    # A plain form, without anything to hear its answer.
    page.dblclick(".head-person button")
    page.wait_for_selector("[data-mode=dim]")
    watched.rest()
    assert [address.rsplit("/", 1)[1] for address in posted] == ["condition", "mode"]
    # An answer that leads to a place on this very page.
    watched.go(f"{served.url}/paints")
    page.click("text=Name a lamp")
    form = page.locator("form[action='/paints/lamps']")
    form.locator("[name=name]").fill("north window of the bench")
    form.get_by_role("button", name="Record the lamp").click()
    page.locator("#lamps .list-row", has_text="North window of the bench").wait_for()


def test_the_panel_beside_the_picture_is_of_the_mark_that_was_chosen_last(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id, view_id = dossier_with_a_view(served)
    for line in THREE_LINES:
        drawn = Mark(0, "crack", (Sighting(view_id, Geometry(Shape.LINE, (line,))),))
        record_mark(served.bench, served.author, dossier_id, drawn)
    watched = new_page()
    page = watched.page
    watched.go(f"{served.url}/dossiers/{dossier_id}/views/{view_id}")
    ready(page)
    held = Held(page, "**/marks/*?*")
    rows = page.locator("[data-marks] [data-mark]")
    rows.nth(0).click()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    held.go_on(watched)
    assert rows.nth(2).get_attribute("aria-current") == "true"
    assert rows.nth(2).get_attribute("data-mark") == page.input_value("#mark-form [name=mark_id]")
    # Nothing is chosen any more when the answer comes: no panel stands there.
    held = Held(page, "**/marks/*?*")
    rows.nth(0).click()
    page.locator("#viewer [role=application]").focus()
    page.keyboard.press("Escape")
    held.go_on(watched)
    assert page.locator("#panel *").count() == 0


def test_a_trace_let_go_while_it_was_being_found_leaves_no_draft(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id, view_id = dossier_with_a_view(served)
    watched = new_page()
    page = watched.page
    address = f"{served.url}/dossiers/{dossier_id}/views/{view_id}"
    watched.go(address)
    ready(page)
    page.click(".tools [data-tool=trace]")
    watched.rest()
    page.mouse.click(*on_picture(page, 0.4, 0.4))
    watched.rest()
    held = Held(page, "**/trace")
    page.mouse.click(*on_picture(page, 0.6, 0.45))
    page.keyboard.press("Escape")
    held.go_on(watched)
    watched.go(address)
    ready(page)
    assert page.get_attribute("#viewer", "data-tool") == "browse"
    assert page.locator("[data-draft-status]").inner_text() == ""


def test_the_keyboard_goes_on_where_the_work_goes_on(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id, view_id = dossier_with_a_view(served)
    line = Geometry(Shape.LINE, THREE_LINES[:1])
    record_mark(
        served.bench, served.author, dossier_id, Mark(0, "crack", (Sighting(view_id, line),))
    )
    watched = new_page()
    page = watched.page
    watched.go(f"{served.url}/dossiers/{dossier_id}/views/{view_id}")
    ready(page)

    def has_keyboard() -> str:
        found: str = page.evaluate("document.activeElement.id || document.activeElement.role")
        return found

    # A drawing that is let go by its button: the button can be pressed no more.
    page.click(".tools [data-tool=polyline]")
    page.keyboard.press("Enter")
    page.press("[data-command=cancel]", "Enter")
    assert has_keyboard() == "application"
    # A mended mark: what comes next is said in its panel.
    page.press("[data-marks] [data-mark]", "Enter")
    page.press(".tools [data-tool=edit]", "Enter")
    for key in ("PageDown", "ArrowUp", "ArrowUp"):
        page.keyboard.press(key)
    page.press("[data-command=done]", "Enter")
    page.wait_for_selector("#mark-form >> text=not yet recorded")
    watched.rest()
    assert has_keyboard() == "panel-title"
    # A part that is drawn anew, with the button in it that was pressed.
    page.evaluate(
        """() => {
          const part = document.createElement("section");
          part.id = "drawn-anew";
          part.innerHTML =
            '<button hx-get="/stations/depth" hx-target="#drawn-anew">Go</button>';
          document.querySelector("main").append(part);
          htmx.process(part);
        }"""
    )
    page.press("#drawn-anew button", "Enter")
    page.wait_for_selector("#drawn-anew input")
    watched.rest()
    assert has_keyboard() == "drawn-anew"
