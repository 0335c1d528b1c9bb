"""From a tray to what was seen: outlines answered by touch and key, a flake laid on its losses."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from softmend.records.dossier import Dossier, Size
from softmend.records.mark import BY_HAND
from softmend.records.seat import Verdict
from softmend.services.demo.fragments import flake_named, fragments_truth, lay_out_fragments
from softmend.services.dossiers import open_dossier
from softmend.services.treat.seats import kept_seats
from softmend.services.treat.trays import flakes_on, found_on, tray_asked
from tests.browser.conftest import TABLET

if TYPE_CHECKING:
    from collections.abc import Callable

    from softmend.services.treat.trays import OnTray
    from tests.browser.conftest import Served, Watched

TRUTH = fragments_truth()


def dossier_with_a_tray(served: Served) -> tuple[str, str]:
    """Open a dossier with the demo's tray and losses; return its id and the tray's."""
    facts = Dossier("antler", "EX 1", "an invented museum", "flakes came off", Size.FULL, True)
    dossier_id = open_dossier(served.bench, served.author, facts)
    return dossier_id, lay_out_fragments(served.bench, served.author, dossier_id)


def lying(served: Served, dossier_id: str, tray_id: str) -> list[OnTray]:
    """Return the outlines on the tray."""
    with served.bench.store.reading() as reader:
        question = tray_asked(reader, dossier_id, tray_id)
        return flakes_on(reader, dossier_id, tray_id, found_on(served.bench, question))


def test_a_flake_goes_from_the_tray_to_what_was_seen_at_each_loss(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id, tray_id = dossier_with_a_tray(served)
    watched = new_page(TABLET, touch=True)
    page = watched.page
    base = f"{served.url}/dossiers/{dossier_id}/treat"
    watched.go(f"{base}/fragments")
    page.get_by_role("link", name="Trays").tap()
    page.wait_for_selector("text=5 losses are marked")
    watched.is_clean("trays")
    page.get_by_role("link", name=re.compile("tray of loose flakes")).tap()
    page.wait_for_selector("[data-tray]")
    watched.rest()
    watched.is_clean("tray")
    letter = flake_named(TRUTH, lying(served, dossier_id, tray_id), "6").outline.letter

    draw_again(watched, letter)
    by_hand = flake_named(TRUTH, lying(served, dossier_id, tray_id), "6")
    assert (by_hand.outline.letter, by_hand.outline.drawn_how) == (letter, BY_HAND)
    number_it(watched, flake_named(TRUTH, lying(served, dossier_id, tray_id), "4").outline.letter)
    page.wait_for_selector("text=Nobody has looked for its seats")
    with page.expect_response(re.compile("/seats$")):
        page.get_by_role("button", name="Look", exact=True).tap()
    page.wait_for_selector("text=still to be looked at")
    watched.rest()
    text = page.inner_text("main")
    assert text.index("None of these") < text.index("Mark ")
    assert "Uniqueness" not in text
    look_at_each(watched)
    assert "Candidates, the best fit first" in page.inner_text("main")
    assert page.inner_text("main").count("Edge left over") >= 3
    watched.is_clean("seats ranked")
    fragment_id = page.url.split("/fragments/")[1].split("/")[0]
    with served.bench.store.reading() as reader:
        kept = kept_seats(reader, dossier_id, fragment_id)
    assert kept is not None
    assert kept[2] == ""


def draw_again(watched: Watched, letter: str) -> None:
    """Begin by key and leave it, then draw an outline again by touch and record it."""
    page = watched.page
    page.set_viewport_size(TABLET)
    page.locator(f"[data-draw='{letter}']").tap()
    for key in ("ArrowUp", "Enter", "ArrowRight", "Enter", "ArrowDown", "Enter", "Backspace",
                "ArrowDown", "Enter"):  # fmt: skip
        page.keyboard.press(key)
    page.keyboard.press("Escape")
    assert page.locator("[data-drawn]").get_attribute("points") == ""
    page.locator(f"[data-draw='{letter}']").tap()
    box = page.locator("[data-tray]").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    for dx, dy in ((-60, -60), (60, -60), (60, 60), (-60, 60)):
        page.touchscreen.tap(x + dx, y + dy)
    with page.expect_response(re.compile("/flakes$")):
        page.get_by_role("button", name="Done").tap()
    page.wait_for_selector(f"[data-row='{letter}'] .chip:text('accepted')")
    watched.rest()


def number_it(watched: Watched, letter: str) -> None:
    """Number an outline from the list beside the picture and go to its seats."""
    page = watched.page
    row = page.locator(f"[data-row='{letter}']")
    row.get_by_text("Answer it").tap()
    row.get_by_label("Found where").fill("on the tray, from the cloth")
    with page.expect_response(re.compile("/flakes$")):
        row.get_by_role("button", name="Number it").tap()
    page.wait_for_selector(f"[data-row='{letter}'] a.button:text('Where from?')")
    watched.rest()
    page.locator(f"[data-row='{letter}'] a.button").tap()


def look_at_each(watched: Watched) -> None:
    """Look at every overlay: nudged, turned and blinked on the first; say what is seen."""
    page = watched.page
    count = page.get_by_role("link", name="Look at the overlay").count()
    for number in range(count):
        page.get_by_role("link", name="Look at the overlay").nth(number).click()
        page.wait_for_selector("[data-seat]")
        watched.rest()
        if number == 0:
            nudge_by_hand(watched)
            watched.is_clean("seat")
        page.check(f"[name=verdict][value='{Verdict.CANNOT_TELL.value}']", force=True)
        page.locator("form[action$='/looks'] [name=seen_observed]").fill("a gap on one side")
        with page.expect_response(re.compile("/looks$")):
            page.get_by_role("button", name="Record what I saw").click()
        page.wait_for_selector("#none")
        watched.rest()


def nudge_by_hand(watched: Watched) -> None:
    """Shift and turn the flake by key, put it back; hide it and show it."""
    page = watched.page
    flake = page.locator("[data-seat] [data-flake]")
    laid = flake.evaluate("one => one.style.transform")
    page.locator("[data-seat]").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("]")
    assert flake.evaluate("one => one.style.transform") != laid
    page.keyboard.press("0")
    assert flake.evaluate("one => one.style.transform") == laid
    page.keyboard.press(" ")
    assert flake.evaluate("one => one.style.visibility") == "hidden"
    page.keyboard.press(" ")
    page.locator("[data-opacity]").fill("30")
    assert flake.evaluate("one => one.style.opacity") == "0.3"
