"""The picture viewer on a page of its own: mouse, touch, keyboard, drafts, under the strict policy.

The picture, the marks and the server are the test's own (viewer_page/). Where an image pixel stands
on the screen is computed here from the frame and the room its tools take, not asked of the viewer.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.browser.viewer_page.picture import HEIGHT_PX, WIDTH_PX
from tests.browser.viewer_page.server import MARKS, Bench, serving

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page, ViewportSize

HERE = Path(__file__).parent
AXE = (HERE / "vendor" / "axe" / "axe.min.js").read_text(encoding="utf-8")
COLLECT = """
window.violations = [];
document.addEventListener("securitypolicyviolation", (event) =>
  window.violations.push(`${event.violatedDirective} ${event.blockedURI}`));
window.told = [];
for (const name of ["select", "drawn", "edited", "scale", "recorded"]) {
  document.addEventListener(`softmend:${name}`, (event) => window.told.push([name, event.detail]));
}
"""
DESKTOP: ViewportSize = {"width": 1280, "height": 800}
TABLET: ViewportSize = {"width": 820, "height": 1180}


class Hand:
    """Drives one page: places are given in image pixels."""

    def __init__(self, page: Page, url: str) -> None:
        """Open the page and wait for the picture."""
        self.page = page
        self.url = url
        self.complaints: list[str] = []
        page.on("console", lambda message: self.complaints.append(message.text))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.add_init_script(COLLECT)
        self.open()

    def open(self) -> None:
        """Load the page and wait until the picture stands still."""
        self.page.goto(self.url)
        self.page.wait_for_selector("#viewer[data-ready]")
        self.page.wait_for_function(
            "document.querySelector('.overlay .world').hasAttribute('transform')"
        )

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Return where an image pixel stands on the page, from the frame and its margins."""
        box = self.page.locator("#viewer").bounding_box()
        assert box is not None
        sizes = self.page.evaluate(
            "[...document.querySelectorAll('.tools, .tools-edit')]"
            ".map((e) => [e.clientWidth, e.clientHeight])"
        )
        (tools_wide, tools_high), (_, edit_high) = sizes
        left, top, right, bottom = 12, 12, 12, edit_high + 24
        if tools_high > tools_wide:
            left = tools_wide + 28
        else:
            top = tools_high + 28
        wide, high = box["width"] - left - right, box["height"] - top - bottom
        zoom = min(wide / WIDTH_PX, high / HEIGHT_PX)
        return (
            box["x"] + left + wide / 2 + (x - WIDTH_PX / 2) * zoom,
            box["y"] + top + high / 2 + (y - HEIGHT_PX / 2) * zoom,
        )

    def click(self, x: float, y: float) -> None:
        """Click a place of the picture."""
        self.page.mouse.click(*self.place(x, y))

    def tap(self, x: float, y: float) -> None:
        """Tap a place of the picture."""
        self.page.touchscreen.tap(*self.place(x, y))

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """Drag from one place of the picture to another."""
        mouse = self.page.mouse
        mouse.move(*self.place(*start))
        mouse.down()
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        mouse.move(*self.place(*middle))
        mouse.move(*self.place(*end))
        mouse.up()

    def tool(self, name: str) -> None:
        """Take a tool in hand."""
        self.page.click(f"button[data-tool={name}]")

    def command(self, name: str) -> None:
        """Press a command."""
        self.page.click(f"button[data-command={name}]")

    def key(self, *names: str) -> None:
        """Press keys in the picture."""
        for name in names:
            self.page.keyboard.press(name)

    def told(self, name: str) -> list[dict[str, Any]]:
        """Return what the viewer told the page under one name."""
        told = self.page.evaluate("window.told")
        return [detail for one, detail in told if one == name]

    def in_hand(self) -> str:
        """Return the tool in hand."""
        found = self.page.get_attribute("#viewer", "data-tool")
        assert found is not None
        return found


@pytest.fixture
def bench() -> Bench:
    """Give a server's memory of this test alone."""
    return Bench()


@pytest.fixture
def url(bench: Bench) -> Iterator[str]:
    """Give the address of a running page."""
    with serving(bench) as address:
        yield address


@pytest.fixture
def hand(browser: Browser, url: str) -> Iterator[Hand]:
    """Give the page on a desk; afterwards nothing may have been complained of."""
    context = browser.new_context(viewport=DESKTOP)
    hand = Hand(context.new_page(), url)
    yield hand
    assert hand.page.evaluate("window.violations") == []
    assert hand.complaints == []
    context.close()


@pytest.fixture
def tablet(browser: Browser, url: str) -> Iterator[Hand]:
    """Give the page on a tablet, driven by touch."""
    context = browser.new_context(viewport=TABLET, has_touch=True)
    hand = Hand(context.new_page(), url)
    yield hand
    assert hand.page.evaluate("window.violations") == []
    assert hand.complaints == []
    context.close()


def near(found: list[list[float]], wanted: list[tuple[float, float]], within: float = 4.5) -> None:
    """Fail unless the positions agree to a screen pixel."""
    assert len(found) == len(wanted)
    for (x, y), (u, v) in zip(found, wanted, strict=True):
        assert abs(x - u) <= within, (found, wanted)
        assert abs(y - v) <= within, (found, wanted)


def saved(bench: Bench, hand: Hand, count: int) -> None:
    """Wait until the server has so many drafts put."""
    for _ in range(100):
        if sum(body["method"] == "PUT" for body in bench.bodies) >= count:
            return
        hand.page.wait_for_timeout(30)
    pytest.fail(f"fewer than {count} drafts came: {bench.bodies}")


FREE_LINE = [(900.0, 1500.0), (1300.0, 1560.0), (1700.0, 1480.0)]


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
        hand.page.wait_for_timeout(120)
    saved(bench, hand, 3)
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
    readout.locator("text=flat reading, at least").wait_for()
    # The page's server says 5 px to a millimetre: 404.5 px and 407.9 px.
    assert readout.inner_text().startswith("162.")


def test_a_drag_moves_the_picture_and_adds_no_point(hand: Hand, bench: Bench) -> None:
    hand.tool("polyline")
    hand.drag((900, 1500), (1100, 1560))
    hand.page.wait_for_timeout(600)
    assert hand.page.locator(".handle").count() == 0
    assert bench.bodies == []


def test_drawing_by_touch(tablet: Hand) -> None:
    tablet.page.tap("button[data-tool=area]")
    corners = [(900.0, 1400.0), (1400.0, 1400.0), (1150.0, 1700.0)]
    for place in corners:
        tablet.tap(*place)
    tablet.page.tap("button[data-command=done]")
    (drawn,) = tablet.told("drawn")
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


def test_a_draft_comes_back_after_a_crash(hand: Hand, bench: Bench) -> None:
    hand.tool("area")
    corners = [(900.0, 1400.0), (1400.0, 1400.0), (1150.0, 1700.0)]
    for place in corners:
        hand.click(*place)
    saved(bench, hand, 1)
    hand.page.wait_for_selector("text=Not yet recorded")
    hand.page.wait_for_timeout(300)
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
    for _ in range(100):
        kept = bench.drafts.get("m3")
        if kept and kept["geometry"]["coordinates"][0][0][0] < ring[0][0] - 80:
            break
        hand.page.wait_for_timeout(50)
    hand.open()
    assert hand.in_hand() == "edit"
    hand.command("done")
    (edited,) = hand.told("edited")
    assert edited["mark_id"] == "m3"
    assert edited["geometry"] == bench.drafts["m3"]["geometry"]


def test_a_draft_that_could_not_be_saved_says_so_and_is_saved_later(
    browser: Browser, bench: Bench, url: str
) -> None:
    context = browser.new_context(viewport=DESKTOP)
    hand = Hand(context.new_page(), url)
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
    context.close()


@pytest.mark.parametrize(("answer", "count"), [("Keep mine", 3), ("Take the other", 2)])
def test_two_pages_on_one_draft_show_both_and_overwrite_nothing(
    browser: Browser, bench: Bench, url: str, answer: str, count: int
) -> None:
    context = browser.new_context(viewport=DESKTOP)
    hand = Hand(context.new_page(), url)
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
    assert hand.page.locator(".conflict").count() == 0
    hand.click(*FREE_LINE[2])
    hand.command("done")
    (drawn,) = hand.told("drawn")
    assert len(drawn["geometry"]["coordinates"]) == 3
    assert (drawn["geometry"]["coordinates"][1] == [700, 300]) is (count == 2)
    context.close()


def test_done_records_where_the_page_names_an_address(
    browser: Browser, bench: Bench, url: str
) -> None:
    bench.record_url = "/record"
    context = browser.new_context(viewport=DESKTOP)
    hand = Hand(context.new_page(), url)
    hand.tool("polyline")
    for place in FREE_LINE:
        hand.click(*place)
    hand.command("done")
    hand.page.wait_for_selector("[data-label=m7]")
    assert hand.page.locator("[data-label]").count() == len(MARKS) + 1
    assert [detail["mark"]["number"] for detail in hand.told("recorded")] == [7]
    context.close()


def test_the_list_and_the_picture_choose_the_same_mark(hand: Hand) -> None:
    hand.page.focus("[data-mark=m1]")
    hand.key("ArrowDown")
    assert hand.told("select")[-1] == {"mark_id": "m2"}
    assert hand.page.locator("[data-label=m2].is-selected").count() == 1
    before = hand.page.get_attribute(".world", "transform")
    hand.key("Enter")
    hand.page.wait_for_timeout(700)
    assert hand.page.get_attribute(".world", "transform") != before
    assert hand.page.evaluate("document.activeElement.dataset.mark") == "m2"
    hand.command("home")
    hand.page.wait_for_timeout(700)
    hand.click(2400, 805)
    assert hand.page.get_attribute("[data-mark=m5]", "aria-current") == "true"
    assert hand.page.locator("[data-mark][tabindex='0']").count() == 1


def test_two_ends_read_several_times_set_a_scale(hand: Hand) -> None:
    hand.tool("scale-bar")
    for place in ((500.0, 1600.0), (1500.0, 1600.0), (1504.0, 1602.0), (498.0, 1598.0)):
        hand.click(*place)
    hand.page.mouse.move(*hand.place(1000, 1500))
    assert hand.page.is_visible(".loupe")
    hand.command("done")
    (scale,) = hand.told("scale")
    assert scale["method"] == "two_clicks"
    assert [len(readings) for readings in scale["ends"]] == [2, 2]
    near(scale["ends"][0], [(500.0, 1600.0), (498.0, 1598.0)])
    assert hand.page.input_value("input[data-scale-points]").startswith('{"method":"two_clicks"')


def test_keys_move_and_zoom_the_picture(hand: Hand) -> None:
    hand.page.focus(".openseadragon-canvas")
    for key in ("+", "ArrowRight", "0", "-"):
        before = hand.page.get_attribute(".world", "transform")
        hand.key(key)
        hand.page.wait_for_timeout(600)
        assert hand.page.get_attribute(".world", "transform") != before, key


def test_labels_stand_clear_of_each_other(hand: Hand) -> None:
    boxes = [label.bounding_box() for label in hand.page.locator("[data-label]").all()]
    assert len(boxes) == len(MARKS)
    for i, a in enumerate(boxes):
        for b in boxes[i + 1 :]:
            assert a is not None
            assert b is not None
            apart = (
                a["x"] + a["width"] <= b["x"]
                or b["x"] + b["width"] <= a["x"]
                or a["y"] + a["height"] <= b["y"]
                or b["y"] + b["height"] <= a["y"]
            )
            assert apart, (a, b)


def test_a_measured_crack_is_as_wide_as_it_is(hand: Hand) -> None:
    """Widths 2, 9, 14, 8, 2 px at the vertices: the outline is 14 px across at the middle one."""
    d = hand.page.get_attribute("[data-mark-shape=m2] .measured", "d")
    assert d is not None
    points = [tuple(map(float, pair.split(","))) for pair in d.strip("MZ").split("L")]
    (x, y), (u, v) = points[2], points[7]
    assert ((x - u) ** 2 + (y - v) ** 2) ** 0.5 == pytest.approx(14, abs=0.01)


@pytest.mark.parametrize("mode", ["light", "dim"])
@pytest.mark.parametrize("size", [DESKTOP, TABLET], ids=["desk", "tablet"])
def test_axe_finds_nothing(browser: Browser, url: str, size: ViewportSize, mode: str) -> None:
    context = browser.new_context(viewport=size)
    hand = Hand(context.new_page(), url)
    hand.page.evaluate("(mode) => { document.documentElement.dataset.mode = mode; }", mode)
    hand.tool("polyline")
    hand.click(*FREE_LINE[0])
    hand.page.wait_for_timeout(300)
    assert hand.page.evaluate("window.violations") == []  # before axe, which adds a style itself
    hand.page.evaluate(AXE)
    found = hand.page.evaluate("axe.run()")
    assert [(v["id"], [n["html"] for n in v["nodes"]]) for v in found["violations"]] == []
    context.close()


def test_touch_targets_are_44_px(tablet: Hand) -> None:
    tablet.tap(1800, 720)
    tablet.tool("edit")
    for box in [
        *(b.bounding_box() for b in tablet.page.locator("button:visible, .rail a").all()),
        *(b.bounding_box() for b in tablet.page.locator(".handle").all()),
    ]:
        assert box is not None
        assert min(box["width"], box["height"]) >= 43.9
