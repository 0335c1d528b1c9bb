"""Every gesture is kept at once; nothing is lost, nothing overwritten, and the page says so."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from tests.browser.viewer.hand import FREE_LINE, Hand, comes, near, saved
from tests.browser.viewer.server import MARKS

if TYPE_CHECKING:
    from tests.browser.viewer.server import Bench


def kept_rings(bench: Bench) -> list[Any]:
    """Return the outer rings of the drafts that the server has."""
    return [draft["geometry"]["coordinates"][0] for draft in list(bench.drafts.values())]


def test_a_draft_comes_back_after_a_crash(hand: Hand, bench: Bench) -> None:
    hand.tool("area")
    corners = [(900.0, 1400.0), (1400.0, 1400.0), (1150.0, 1700.0)]
    for place in corners:
        hand.click(*place)
    comes(hand, lambda: [len(ring) for ring in kept_rings(bench)] == [len(corners)])
    hand.open()
    assert hand.in_hand() == "area"
    assert "kept from before" in hand.page.inner_text("[data-draft-status]")
    hand.click(700, 1650)
    hand.command("done")
    (drawn,) = hand.told("drawn")
    near(drawn["geometry"]["coordinates"][0], [*corners, (700.0, 1650.0)])


def test_a_polygon_dragged_two_hundred_times_comes_back(hand: Hand, bench: Bench) -> None:
    hand.click(1800, 720)
    hand.tool("edit")
    hand.key("PageDown", *["ArrowUp", "ArrowDown"] * 99, "ArrowLeft", "ArrowLeft")
    ring = MARKS[2]["geometry"]["coordinates"][0]
    comes(hand, lambda: any(kept[0][0] < ring[0][0] - 80 for kept in kept_rings(bench)))
    hand.open()
    assert hand.in_hand() == "edit"
    hand.command("done")
    (edited,) = hand.told("edited")
    assert edited["mark_id"] == "m3"
    assert edited["geometry"] == bench.drafts["m3"]["geometry"]


def test_a_draft_that_could_not_be_saved_says_so_and_is_saved_later(
    hand: Hand, bench: Bench
) -> None:
    bench.is_down = True
    hand.tool("polyline")
    for place in FREE_LINE:
        hand.click(*place)
    hand.page.wait_for_selector("text=Could not save: no answer. Trying again")
    assert bench.drafts == {}
    bench.is_down = False
    hand.page.wait_for_selector("text=Not yet recorded. Kept as a draft at")
    (kept,) = bench.drafts.values()
    near(kept["geometry"]["coordinates"], FREE_LINE)
    hand.forgive("Failed to load resource")


@pytest.mark.parametrize(("answer", "count"), [("Keep mine", 3), ("Take the other", 2)])
def test_two_pages_on_one_draft_show_both_and_overwrite_nothing(
    hand: Hand, bench: Bench, answer: str, count: int
) -> None:
    hand.tool("polyline")
    hand.click(*FREE_LINE[0])
    hand.page.wait_for_selector("text=Not yet recorded")
    (draft_id,) = bench.drafts
    other = {"type": "LineString", "coordinates": [[10, 10], [700, 300]]}
    bench.drafts[draft_id].update(geometry=other, revision=9)
    hand.click(*FREE_LINE[1])
    hand.page.wait_for_selector("text=Nothing was overwritten")
    assert hand.page.locator(".conflict .theirs").count() == 1
    assert bench.drafts[draft_id]["geometry"] == other
    hand.page.click(f"text={answer}")
    hand.page.wait_for_selector(".conflict", state="detached")
    hand.click(*FREE_LINE[2])
    hand.command("done")
    (drawn,) = hand.told("drawn")
    assert len(drawn["geometry"]["coordinates"]) == 3
    assert (drawn["geometry"]["coordinates"][1] == [700, 300]) is (count == 2)
    hand.forgive("409")


def test_done_records_where_the_page_names_an_address(hand: Hand, bench: Bench) -> None:
    bench.record_url = "/record"
    hand.open()
    hand.tool("polyline")
    for place in FREE_LINE:
        hand.click(*place)
    hand.command("done")
    hand.page.wait_for_selector("[data-label=m7]")
    assert hand.page.locator("[data-label]").count() == len(MARKS) + 1
    assert [detail["mark"]["number"] for detail in hand.told("recorded")] == [7]


def test_a_mark_recorded_elsewhere_meanwhile_is_shown_not_overwritten(
    hand: Hand, bench: Bench
) -> None:
    bench.record_url = "/record"
    bench.recorded_elsewhere = {"type": "LineString", "coordinates": [[10, 10], [700, 300]]}
    hand.open()
    hand.tool("polyline")
    for place in FREE_LINE:
        hand.click(*place)
    hand.command("done")
    hand.page.wait_for_selector("text=Nothing was overwritten")
    assert hand.page.locator(".conflict .theirs").count() == 1
    bench.recorded_elsewhere = None
    hand.page.click("text=Keep mine")
    hand.command("done")
    hand.page.wait_for_selector("[data-label=m7]")
    recorded = [body for body in bench.bodies if body["path"] == "/record"]
    assert [body["based_on"] for body in recorded][-1] == 9
    near(recorded[-1]["geometry"]["coordinates"], FREE_LINE)
    hand.forgive("409")


def test_cancel_lets_the_draft_go_on_the_server_too(hand: Hand, bench: Bench) -> None:
    hand.tool("polyline")
    hand.click(*FREE_LINE[0])
    saved(bench, hand, 1)
    hand.page.wait_for_selector("text=Kept as a draft")
    hand.command("cancel")
    hand.page.wait_for_function("document.querySelector('[data-draft-status]').textContent === ''")
    comes(hand, lambda: bench.drafts == {})
