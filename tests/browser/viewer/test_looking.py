"""Looking, choosing and scaling; what the picture shows; and that nobody is kept out."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import softmend
from tests.browser.conftest import AXE, AXE_ASKED
from tests.browser.viewer.hand import DESK, FREE_LINE, TABLET, Hand, near
from tests.browser.viewer.server import MARKS

if TYPE_CHECKING:
    from playwright.sync_api import Browser, ViewportSize


def test_the_list_and_the_picture_choose_the_same_mark(hand: Hand) -> None:
    hand.page.focus("[data-mark=m1]")
    hand.key("ArrowDown")
    assert hand.told("select")[-1] == {"mark_id": "m2"}
    assert hand.page.locator("[data-label=m2].is-selected").count() == 1
    before = hand.page.get_attribute(".world", "transform")
    hand.key("Enter")
    hand.moved_from(before)
    assert hand.page.evaluate("document.activeElement.dataset.mark") == "m2"
    hand.command("home")
    hand.still()
    hand.click(2400, 805)
    assert hand.page.get_attribute("[data-mark=m5]", "aria-current") == "true"
    assert hand.page.locator("[data-mark][tabindex='0']").count() == 1


def test_two_ends_read_several_times_set_a_scale(hand: Hand) -> None:
    hand.tool("scale-bar")
    for place in ((500.0, 1600.0), (1500.0, 1600.0), (1504.0, 1602.0), (498.0, 1598.0)):
        hand.click(*place)
    hand.page.mouse.move(*hand.place(1000, 1500))
    hand.page.wait_for_selector(".loupe", state="visible")
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
        hand.moved_from(before)


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
@pytest.mark.parametrize("size", [DESK, TABLET], ids=["desk", "tablet"])
def test_axe_finds_nothing(browser: Browser, url: str, size: ViewportSize, mode: str) -> None:
    context = browser.new_context(viewport=size)
    hand = Hand(context.new_page(), url)
    hand.page.evaluate("(mode) => { document.documentElement.dataset.mode = mode; }", mode)
    hand.tool("polyline")
    hand.click(*FREE_LINE[0])
    hand.page.wait_for_selector("text=Kept as a draft")
    assert hand.page.evaluate("window.violations") == []  # before axe, which adds a style itself
    hand.page.evaluate(AXE)
    found = hand.page.evaluate(f"async () => (await axe.run({AXE_ASKED})).violations")
    assert [(v["id"], [n["html"] for n in v["nodes"]]) for v in found] == []
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


def test_the_scale_bar_is_true_and_says_how_sure(hand: Hand) -> None:
    """5 px to a millimetre, 2 % at k = 2: the bar of 100 mm spans 500 px of the picture."""
    assert hand.page.text_content(".scale-bar text") == "100 ± 2 mm"
    (x0, _), (x1, _) = hand.place(0, 0), hand.place(500, 0)
    widths = hand.page.evaluate(
        "[...document.querySelectorAll('.scale-bar rect')].map((r) => r.width.baseVal.value)"
    )
    assert sum(widths) == pytest.approx(x1 - x0, rel=0.002)


def test_every_pattern_of_the_legend_is_drawn(hand: Hand) -> None:
    with (Path(softmend.__file__).parent / "tables" / "legend.csv").open(encoding="utf-8") as file:
        rows = [*csv.DictReader(line for line in file if not line.startswith("#"))]
    assert rows
    drawn = hand.page.evaluate(
        """async (patterns) => {
          const { DASHES, patternOf, symbolOf } = await import("/static/js/hatch.js");
          const ring = symbolOf("no such symbol");
          return patterns.filter((pattern) =>
            ["solid", "double", "empty"].includes(pattern) || pattern in DASHES ||
            patternOf({ code: "C", pattern, colour: "#000000", width: 2 }) !== null ||
            symbolOf(pattern) !== ring);
        }""",
        [row["pattern"] for row in rows],
    )
    assert drawn == [row["pattern"] for row in rows]
