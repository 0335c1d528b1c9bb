"""Drawing and mending on the picture: by mouse, by touch, by keyboard.

Where an image pixel stands on the screen is computed in hand.py from the frame and the room its
tools take, not asked of the viewer.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools
import re
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.viewer.hand import FREE_LINE, Hand, near, saved
from tests.browser.viewer.server import MARKS

if TYPE_CHECKING:
    from tests.browser.viewer.server import Bench


def test_a_line_drawn_by_mouse_lies_where_it_was_clicked(hand: Hand, bench: Bench) -> None:
    hand.tool("polyline")
    for place in FREE_LINE:
        hand.click(*place)
    hand.command("done")
    (drawn,) = hand.told("drawn")
    assert drawn["geometry"]["type"] == "LineString"
    assert drawn["code"] == "C"
    near(drawn["geometry"]["coordinates"], FREE_LINE)
    assert hand.in_hand() == "browse"
    assert hand.page.input_value("input[data-geometry]") != ""


def test_a_second_click_on_the_last_point_finishes(hand: Hand) -> None:
    hand.tool("polyline")
    for place in FREE_LINE:
        hand.click(*place)
    hand.click(*FREE_LINE[-1])
    (drawn,) = hand.told("drawn")
    near(drawn["geometry"]["coordinates"], FREE_LINE)


def test_an_area_closes_on_its_first_corner_and_stays_open_in_the_json(hand: Hand) -> None:
    corners = [(900.0, 1400.0), (1400.0, 1400.0), (1400.0, 1700.0), (900.0, 1700.0)]
    hand.tool("area")
    for place in [*corners, corners[0]]:
        hand.click(*place)
    (drawn,) = hand.told("drawn")
    (ring,) = drawn["geometry"]["coordinates"]
    near(ring, corners)


def test_every_call_carries_our_header_and_says_what_it_is_based_on(
    hand: Hand, bench: Bench
) -> None:
    hand.tool("polyline")
    for place in FREE_LINE:
        hand.click(*place)
        # Each by itself: what is drawn while one is on its way is sent together.
        saved(bench, hand, FREE_LINE.index(place) + 1)
    assert {headers["x-softmend"] for headers in bench.headers} == {"1"}
    assert {headers["content-type"] for headers in bench.headers} == {"application/json"}
    puts = [body for body in bench.bodies if body["method"] == "PUT"]
    assert [body["based_on"] for body in puts] == [None, 1, 2]
    assert puts[-1]["author_id"] == "a1"


def test_the_readout_shows_the_length_as_the_server_words_it(hand: Hand) -> None:
    hand.tool("polyline")
    for place in FREE_LINE:
        hand.click(*place)
    readout = hand.page.locator("[data-readout]")
    # The page's server says 5 px to a millimetre: 404.5 px and 407.9 px.
    expect(readout).to_have_text(re.compile(r"^162\..*flat reading, at least$"))


def test_a_drag_moves_the_picture_and_adds_no_point(hand: Hand, bench: Bench) -> None:
    hand.tool("polyline")
    hand.drag((900, 1500), (1100, 1560))
    hand.still()
    assert hand.page.locator(".handle").count() == 0
    assert bench.bodies == []


def test_drawing_by_touch(tablet: Hand) -> None:
    tablet.page.tap("button[data-tool=area]")
    corners = [(900.0, 1400.0), (1400.0, 1400.0), (1150.0, 1700.0)]
    for place in corners:
        tablet.tap(*place)
    tablet.page.tap("button[data-command=done]")
    (drawn,) = tablet.told_at_last("drawn")
    near(drawn["geometry"]["coordinates"][0], corners)


def test_drawing_by_keyboard(hand: Hand) -> None:
    hand.page.focus(".openseadragon-canvas")
    hand.page.evaluate("document.querySelector('button[data-tool=polyline]').focus()")
    hand.key("Enter")
    assert hand.in_hand() == "polyline"
    assert hand.page.evaluate("document.activeElement.className") == "openseadragon-canvas"
    hand.key("Enter", *["ArrowRight"] * 8, "Enter", *["ArrowDown"] * 6, "Shift+ArrowDown", "Enter")
    hand.key("ArrowLeft", "Enter", "Backspace", "ArrowRight", "Enter")
    (drawn,) = hand.told("drawn")
    line = drawn["geometry"]["coordinates"]
    zoom = hand.page.evaluate("document.querySelector('.world').transform.baseVal[0].matrix.a")
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(line)]
    wanted = [(80 / zoom, 0.0), (0.0, 61 / zoom)]
    for (x, y), (u, v) in zip(steps, wanted, strict=True):
        assert (x, y) == (pytest.approx(u, abs=0.02), pytest.approx(v, abs=0.02))


def test_escape_lets_go_and_undo_brings_it_back(hand: Hand, bench: Bench) -> None:
    hand.tool("polyline")
    for place in FREE_LINE:
        hand.click(*place)
    saved(bench, hand, 1)
    hand.key("Escape")
    assert hand.in_hand() == "browse"
    assert hand.told("drawn") == []
    hand.key("Control+z")
    assert hand.in_hand() == "polyline"
    hand.command("done")
    near(hand.told("drawn")[0]["geometry"]["coordinates"], FREE_LINE)


def test_moving_a_vertex_undo_and_redo(hand: Hand, bench: Bench) -> None:
    wanted = MARKS[2]["geometry"]["coordinates"][0]
    hand.click(1800, 720)
    assert hand.told("select")[-1] == {"mark_id": "m3"}
    hand.tool("edit")
    hand.drag((2000, 640), (2030, 560))
    hand.key("Control+z")
    hand.key("Control+y")
    hand.command("done")
    (edited,) = hand.told("edited")
    assert edited["mark_id"] == "m3"
    ring = edited["geometry"]["coordinates"][0]
    near([ring[1]], [(2030, 560)])
    assert [ring[0], *ring[2:]] == [wanted[0], *wanted[2:]]


def test_undo_gives_back_the_very_positions(hand: Hand) -> None:
    hand.click(1800, 720)
    hand.tool("edit")
    hand.drag((2000, 640), (2030, 560))
    hand.command("undo")
    assert hand.page.is_disabled("button[data-command=undo]")
    assert hand.page.is_enabled("button[data-command=redo]")
    shown = hand.page.input_value("input[data-geometry]")
    assert str(MARKS[2]["geometry"]["coordinates"]).replace(" ", "") in shown


def test_a_vertex_is_put_on_an_edge_and_taken_away_by_keyboard(hand: Hand) -> None:
    hand.click(1800, 720)
    hand.tool("edit")
    hand.key("PageDown", "Insert", "ArrowUp", "Enter")
    ring = hand.told("edited")[0]["geometry"]["coordinates"][0]
    assert len(ring) == 6
    assert ring[1][0] == pytest.approx((1650 + 2000) / 2)
    hand.tool("edit")
    hand.key("PageDown", "PageDown", "Delete", "Enter")
    assert hand.told("edited")[1]["geometry"]["coordinates"] == MARKS[2]["geometry"]["coordinates"]


def test_an_area_keeps_its_last_three_corners(hand: Hand) -> None:
    hand.click(1800, 720)
    hand.tool("edit")
    for _ in range(4):
        hand.key("PageDown", "Delete")
    assert "It needs this point" in hand.page.inner_text("[data-tool-hint]")
    hand.key("Enter")
    assert len(hand.told("edited")[0]["geometry"]["coordinates"][0]) == 3


def test_a_hole_is_added_to_the_chosen_area(hand: Hand) -> None:
    hand.click(1800, 720)
    hand.tool("hole")
    hole = [(1760.0, 690.0), (1900.0, 690.0), (1850.0, 750.0)]
    for place in hole:
        hand.click(*place)
    hand.command("done")
    outer, inner = hand.told("edited")[0]["geometry"]["coordinates"]
    assert outer == MARKS[2]["geometry"]["coordinates"][0]
    near(inner, hole)


def test_a_corner_snaps_to_the_neighbours_very_corner_unless_told_not_to(hand: Hand) -> None:
    corner = MARKS[2]["geometry"]["coordinates"][0][2]
    beside = (corner[0] + 20.0, corner[1] + 12.0)
    hand.tool("polyline")
    hand.click(*beside)
    hand.click(2300, 1400)
    hand.command("done")
    first, _ = hand.told("drawn")[0]["geometry"]["coordinates"]
    assert first == corner
    hand.command("snap")
    assert hand.page.get_attribute("button[data-command=snap]", "aria-pressed") == "false"
    hand.tool("polyline")
    hand.click(beside[0], beside[1] + 14)
    hand.click(2300, 1500)
    hand.command("done")
    first, _ = hand.told("drawn")[1]["geometry"]["coordinates"]
    near([first], [(beside[0], beside[1] + 14)])


def test_a_corner_snaps_onto_a_neighbours_edge(hand: Hand) -> None:
    hand.tool("polyline")
    hand.click(1825, 632)
    hand.click(1825, 300)
    hand.command("done")
    (x, y), _ = hand.told("drawn")[0]["geometry"]["coordinates"]
    # The edge from (1650, 660) to (2000, 640).
    assert y == pytest.approx(660 - (x - 1650) * 20 / 350, abs=0.02)


def test_a_vertex_is_moved_by_touch_under_a_magnifier(tablet: Hand) -> None:
    tablet.tap(1800, 720)
    tablet.page.tap("button[data-tool=edit]")
    tablet.drag_by_touch((2000, 640), (2030, 560))
    tablet.page.wait_for_selector(".loupe", state="visible")
    tablet.lift_finger()
    tablet.page.wait_for_selector(".loupe", state="hidden")
    tablet.page.tap("button[data-command=done]")
    ring = tablet.told_at_last("edited")[0]["geometry"]["coordinates"][0]
    near([ring[1]], [(2030, 560)])


def test_an_outline_that_crosses_itself_is_not_done(hand: Hand) -> None:
    hand.tool("area")
    for place in ((900, 1400), (1400, 1700), (1400, 1400), (900, 1700)):
        hand.click(*place)
    hand.command("done")
    assert hand.told("drawn") == []
    assert "crosses itself" in hand.page.inner_text("[data-tool-hint]")


def test_of_two_drawings_of_one_mark_the_clicked_one_is_mended(hand: Hand, bench: Bench) -> None:
    second = {**MARKS[0], "sighting": 1}
    second["geometry"] = {"type": "LineString", "coordinates": [[900, 1500], [1500, 1500]]}
    bench.marks = [*MARKS, second]
    hand.open()
    hand.click(1200, 1502)
    assert hand.told("select")[-1] == {"mark_id": "m1"}
    hand.tool("edit")
    hand.key("PageDown", "ArrowUp", "Enter")
    line = hand.told("edited")[0]["geometry"]["coordinates"]
    assert line[0][0] == pytest.approx(900)
    assert line[0][1] < 1500
    assert line[1] == [1500, 1500]
    assert hand.page.locator("[data-mark-shape=m1]").count() == 2


def test_a_tool_taken_by_key_shows_the_cross_hair_at_once(hand: Hand) -> None:
    hand.page.focus("button[data-tool=polyline]")
    hand.key("Enter")
    assert hand.page.get_attribute(".cross-hair", "visibility") == "visible"
