"""A hand on the viewer's page: it clicks, taps, drags and types at places of the picture."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tests.browser.viewer.picture import HEIGHT_PX, WIDTH_PX

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page, ViewportSize

    from tests.browser.viewer.server import Bench

COLLECT = """
window.violations = [];
document.addEventListener("securitypolicyviolation", (event) =>
  window.violations.push(`${event.violatedDirective} ${event.blockedURI}`));
window.told = [];
for (const name of ["select", "drawn", "edited", "scale", "recorded"]) {
  document.addEventListener(`softmend:${name}`, (event) => window.told.push([name, event.detail]));
}
"""
FREE_LINE = [(900.0, 1500.0), (1300.0, 1560.0), (1700.0, 1480.0)]
DESK: ViewportSize = {"width": 1280, "height": 800}
TABLET: ViewportSize = {"width": 820, "height": 1180}


class Hand:
    """Drives one page: places are given in image pixels."""

    def __init__(self, page: Page, url: str) -> None:
        """Open the page and wait for the picture."""
        self.page = page
        self.url = url
        self.finger = page.context.new_cdp_session(page)
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

    def forgive(self, words: str) -> None:
        """Forget the complaints that the test brought about itself."""
        self.complaints = [said for said in self.complaints if words not in said]

    def has_no_complaint(self) -> None:
        """Fail if the console said anything or the policy was broken."""
        assert self.page.evaluate("window.violations") == []
        assert self.complaints == []

    def drag_by_touch(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """Drag with one finger and leave it down."""
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        for kind, place in (("touchStart", start), ("touchMove", middle), ("touchMove", end)):
            x, y = self.place(*place)
            points = [{"x": x, "y": y}]
            self.finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def lift_finger(self) -> None:
        """Lift the finger."""
        self.finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    def told(self, name: str) -> list[dict[str, Any]]:
        """Return what the viewer told the page under one name."""
        told = self.page.evaluate("window.told")
        return [detail for one, detail in told if one == name]

    def told_at_last(self, name: str) -> list[dict[str, Any]]:
        """Return what the viewer told under one name, once there is one: taps take time."""
        self.page.wait_for_function("name => window.told.some(([one]) => one === name)", arg=name)
        return self.told(name)

    def moved_from(self, before: str | None) -> None:
        """Wait until the picture has left where it was, and stands still again."""
        self.page.wait_for_function(
            "before => document.querySelector('.world').getAttribute('transform') !== before",
            arg=before,
        )
        self.still()

    def still(self) -> None:
        """Wait until the picture stands still: twice the same, 200 ms apart."""
        self.page.evaluate("window.stoodAt = null")
        self.page.wait_for_function(
            """() => {
              const now = document.querySelector(".world").getAttribute("transform");
              const same = window.stoodAt === now;
              window.stoodAt = now;
              return same;
            }""",
            polling=200,
        )

    def in_hand(self) -> str:
        """Return the tool in hand."""
        found = self.page.get_attribute("#viewer", "data-tool")
        assert found is not None
        return found


def near(found: list[list[float]], wanted: list[tuple[float, float]], within: float = 4.5) -> None:
    """Fail unless the positions agree to a screen pixel."""
    assert len(found) == len(wanted)
    for (x, y), (u, v) in zip(found, wanted, strict=True):
        assert abs(x - u) <= within, (found, wanted)
        assert abs(y - v) <= within, (found, wanted)


def saved(bench: Bench, hand: Hand, count: int) -> None:
    """Wait until the server has so many drafts put."""
    comes(hand, lambda: sum(body["method"] == "PUT" for body in bench.bodies) >= count)


def comes(hand: Hand, is_there: Callable[[], bool]) -> None:
    """Wait for something on the server, as long as for anything on the page."""
    for _ in range(1000):
        if is_there():
            return
        hand.page.wait_for_timeout(30)
    raise AssertionError("it did not come within half a minute")
