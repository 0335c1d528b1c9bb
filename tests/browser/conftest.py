"""The application really served, and a browser page that forgives nothing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import shutil
import socket
import threading
import time
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import uvicorn
from playwright.sync_api import Error

from softmend.house import open_house
from softmend.services.bench import Author, Bench
from softmend.services.people import come_to_the_bench
from softmend.web.app import create_app

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize

TOKEN = "browser-run"
DESK: ViewportSize = {"width": 1280, "height": 800}
TABLET: ViewportSize = {"width": 820, "height": 1180}
SHOTS = Path("/tmp/shots")  # pictures of the pages are kept when this folder is there
AXE = (Path(__file__).parent / "vendor" / "axe" / "axe.min.js").read_text("utf-8")
# Every rule; of what passes no account is written, which takes half the time.
AXE_ASKED = '{preload: false, resultTypes: ["violations"]}'

_COLLECT = """
window.softmendViolations = [];
document.addEventListener("securitypolicyviolation", (event) =>
  window.softmendViolations.push(`${event.violatedDirective}: ${event.blockedURI}`));
window.softmendAsking = 0;
const ask = window.fetch.bind(window);
window.fetch = async (...what) => {
  window.softmendAsking += 1;
  try {
    const answer = await ask(...what);
    await answer.clone().arrayBuffer();
    return answer;
  } finally {
    setTimeout(() => (window.softmendAsking -= 1));
  }
};
const sendOff = XMLHttpRequest.prototype.send;
XMLHttpRequest.prototype.send = function (body) {
  window.softmendAsking += 1;
  this.addEventListener("loadend", () => (window.softmendAsking -= 1));
  sendOff.call(this, body);
};
"""
_SMALL = """
() => [...document.querySelectorAll("main button, main a.button, main a.button-quiet")]
  .filter((one) => one.offsetHeight && one.offsetHeight < 44).map((one) => one.outerHTML)
"""
# Every detail that can be seen, then those that came to sight with it; each is clicked once.
_OPEN = """
() => {
  const clicked = new Set();
  const shut = () => [...document.querySelectorAll("details:not([open]) > summary")]
    .filter((one) => !clicked.has(one) && one.checkVisibility());
  for (let found = shut(); found.length; found = shut()) {
    for (const one of found) {
      clicked.add(one);
      one.click();
    }
  }
}
"""
# Complete, its fonts there, nothing asked for any more, the last answer come to its end, and two
# frames drawn since. The driver's own "network idle" waits half a second on every page; this waits
# while the page is busy.
_RESTS = """
() => new Promise((rests) => {
  const look = () => {
    const busy = document.readyState !== "complete" || window.softmendAsking > 0
      || document.fonts.status !== "loaded";
    if (busy) setTimeout(look, 10);
    else requestAnimationFrame(() => requestAnimationFrame(() =>
      window.softmendAsking > 0 ? look() : rests()));
  };
  setTimeout(look, 20);
})
"""


# Where the picture lies is drawn anew with every frame while it moves.
_STILL = """
() => new Promise((stands) => {
  const where = () => document.querySelector(".overlay .world").getAttribute("transform");
  const look = (before, same) => requestAnimationFrame(() => requestAnimationFrame(() =>
    same === 3 ? stands() : look(where(), before === where() ? same + 1 : 0)));
  look(where(), 0);
})
"""


def still(page: Page) -> None:
    """Wait until the picture stands still: it lies where it lay six frames ago."""
    page.evaluate(_STILL)


def rest(page: Page) -> None:
    """Wait until a page, or the one it is just leaving for, is whole and asks for nothing more."""
    while True:
        page.wait_for_load_state()
        try:
            page.evaluate(_RESTS)
        except Error as left:
            if "Execution context was destroyed" not in str(left):
                raise
        else:
            return


@dataclass
class Served:
    """A running application: its address and the bench behind it."""

    url: str
    bench: Bench
    author: Author


@dataclass
class Watched:
    """A page whose console errors, failed answers and policy violations are kept."""

    page: Page
    wrong: list[str] = field(default_factory=list)

    def go(self, address: str) -> None:
        """Open an address and wait until the page rests."""
        self.page.goto(address)
        self.rest()

    def rest(self) -> None:
        """Wait until the page is whole and asks for nothing more."""
        rest(self.page)

    def heard(self, kind: str, text: str) -> None:
        """Keep what the browser's console calls an error."""
        if kind == "error":
            self.wrong.append(text)

    def axe(self) -> list[str]:
        """Return what axe finds wrong on the page as it stands."""
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate(AXE)
        found = self.page.evaluate(f"async () => (await axe.run({AXE_ASKED})).violations")
        return [
            f"{one['id']}: {node['target']} {node.get('failureSummary', '')}"
            for one in found
            for node in one["nodes"]
        ]

    def is_clean(self, name: str) -> None:
        """Hold the page, every detail open, against axe, its policy, its width and a finger."""
        self.page.evaluate(_OPEN)
        for size, viewport in (("desk", DESK), ("tablet", TABLET)):
            self.page.set_viewport_size(viewport)
            rest(self.page)
            assert self.axe() == [], f"{name} at {size}"
            wide = self.page.evaluate("document.documentElement.scrollWidth - innerWidth")
            assert wide <= 0, f"{name} is wider than the screen at {size}"
            assert self.page.evaluate(_SMALL) == [], f"{name} at {size}"
            if SHOTS.is_dir():
                self.page.screenshot(path=SHOTS / f"{name.replace(' ', '_')}_{size}.png")
        assert self.violations() == [], name

    def violations(self) -> list[str]:
        """Return the content policy violations of the page as it stands."""
        found: list[str] = self.page.evaluate("window.softmendViolations")
        return found


@contextmanager
def served_bench(folder: Path) -> Iterator[Served]:
    """Serve the application on a SQLite house in a folder."""
    house = open_house(folder)
    app = create_app(house.bench, TOKEN)
    listener = socket.create_server(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(app, log_level="error", lifespan="off"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    author = Author(come_to_the_bench(house.bench, "Ida Invented").id, "condition examination")
    yield Served(f"http://127.0.0.1:{listener.getsockname()[1]}", house.bench, author)
    server.should_exit = True
    thread.join()
    listener.close()
    house.close()


@contextmanager
def served_copy(house: Path, folder: Path) -> Iterator[Served]:
    """Serve a copy of a house that was laid out once for several tests."""
    with served_bench(Path(shutil.copytree(house, folder / "house"))) as running:
        yield running


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    with served_bench(tmp_path / "house") as running:
        yield running


def let_in(context: BrowserContext, served: Served) -> None:
    """Let a browser in as its link and its form do, without drawing their pages."""
    came = context.request.get(f"{served.url}/?token={TOKEN}", max_redirects=0)
    said = context.request.post(
        f"{served.url}/who",
        form={"person_id": served.author.person_id, "purpose": served.author.purpose},
        headers={"sec-fetch-site": "same-origin"},
        max_redirects=0,
    )
    assert (came.status, said.status) == (303, 303)


@pytest.fixture
def new_page(browser: Browser, served: Served) -> Iterator[Callable[..., Watched]]:
    """Give empty pages of browsers that were let in; nothing may go wrong on any of them."""
    opened: list[tuple[BrowserContext, Watched]] = []

    def enter(viewport: ViewportSize = DESK, *, touch: bool = False) -> Watched:
        context = browser.new_context(viewport=viewport, has_touch=touch)
        context.add_init_script(_COLLECT)
        watched = Watched(context.new_page())
        opened.append((context, watched))
        page = watched.page
        page.on("console", lambda said: watched.heard(said.type, said.text))
        page.on("pageerror", lambda error: watched.wrong.append(str(error)))
        let_in(context, served)
        return watched

    yield enter
    for context, watched in opened:
        context.close()
        assert watched.wrong == []
