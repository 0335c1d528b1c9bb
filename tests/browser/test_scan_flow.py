"""A scan at the bench in a real browser: unit, void, pads, still, report; and a million faces."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PIL import Image
from playwright.sync_api import expect

from softmend.records.dossier import Dossier, Size
from softmend.services.dossiers import open_dossier
from softmend.services.examine.printing import report_of
from tests.browser.conftest import DESK, TABLET
from tests.intake.scan_files import ply_of
from tests.science.solid.bodies import path, turned
from tests.services.seen import crack_at, photographed

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from tests.browser.conftest import Served, Watched

SHOTS = Path("/tmp/shots")
WAIT_MS = 120_000


def shaft(folder: Path) -> Path:
    """Write a shaft of 300 mm with a dowel hole of radius 10, depth 20 mm in its end, in mm."""
    corners = [(0, 0), (24, 0), (24, 300), (10, 300), (10, 280), (0, 280)]
    body = turned(path([(float(r), float(z)) for r, z in corners], 3.0), 64)
    file = folder / "shaft.ply"
    file.write_bytes(ply_of(body.points, body.faces))
    return file


def bumpy_ring(folder: Path) -> Path:
    """Write a bumpy ring of one million faces, 320 mm across its middle line, in mm."""
    around, over = 1000, 500
    u, v = np.meshgrid(
        np.arange(around) * 2 * np.pi / around, np.arange(over) * 2 * np.pi / over, indexing="ij"
    )
    tube = 30 + 2 * np.sin(9 * u) * np.sin(5 * v)
    level = 160 + tube * np.cos(v)
    points = np.stack([level * np.cos(u), level * np.sin(u), tube * np.sin(v)], axis=-1)
    i, j = np.meshgrid(np.arange(around), np.arange(over), indexing="ij")
    a, b = i * over + j, (i + 1) % around * over + j
    c, d = (i + 1) % around * over + (j + 1) % over, i * over + (j + 1) % over
    faces = np.concatenate([np.stack(t, axis=-1).reshape(-1, 3) for t in ((a, b, c), (a, c, d))])
    file = folder / "ring.ply"
    file.write_bytes(ply_of(points.reshape(-1, 3), faces))
    return file


def dossier(served: Served) -> str:
    facts = Dossier("turned shaft", "EX 20", "an invented house", "to be held", Size.FULL, True)
    return open_dossier(served.bench, served.author, facts)


def bring_in(served: Served, watched: Watched, dossier_id: str, file: Path) -> None:
    """Bring a scan in by hand and wait until its picture is there."""
    page = watched.page
    watched.go(f"{served.url}/dossiers/{dossier_id}/scans")
    page.get_by_label("File").set_input_files(file)
    page.get_by_role("button", name="Bring in").click()
    page.get_by_role("heading", name="Take it into the dossier").wait_for(timeout=WAIT_MS)
    page.get_by_label("What it shows").fill("the whole of it")
    page.get_by_role("button", name="Take it in").click()
    there(page)


def there(page: Page) -> None:
    """Wait until nothing is computed any more and the picture can be picked on."""
    page.get_by_role("heading", name="Unit and volume").wait_for(timeout=WAIT_MS)
    page.wait_for_function(
        "() => !document.querySelector('.working-on, [hx-trigger=load], [hx-trigger^=\"load,\"]')"
        " && document.querySelector('[data-scan][data-ready]')",
        timeout=WAIT_MS,
    )


def confirm(page: Page, length_mm: str) -> None:
    page.get_by_label("Length, mm", exact=True).fill(length_mm)
    page.get_by_label("± mm (k = 2)").fill("1")
    page.get_by_role("button", name="Confirm the unit").click()
    page.get_by_text("Two independent volumes agree").wait_for(timeout=WAIT_MS)
    there(page)


def tap(page: Page, across: int, down: int) -> None:
    """Tap the picture so far from its middle, and wait for the pick to be taken to the scan."""
    box = page.locator(".scan-stage canvas").bounding_box()
    assert box is not None
    with page.expect_response(lambda answer: answer.url.endswith("/snap")) as answered:
        page.mouse.click(box["x"] + box["width"] / 2 + across, box["y"] + box["height"] / 2 + down)
    assert answered.value.status == 200


def part(page: Page, name: str) -> None:
    """Open one part of the list."""
    card = page.locator(f"[data-part={name}]")
    if card.get_attribute("open") is None:
        card.locator("> summary").click()


def fill_a_void(page: Page) -> None:
    """Pick the dowel hole in the list, by places typed, and have its fill computed."""
    part(page, "voids")
    rim = [(10.2 * np.cos(t), 10.2 * np.sin(t), 300) for t in np.arange(8) * np.pi / 4]
    page.locator("#v-what").fill("old dowel hole")
    page.get_by_label("Round the rim, in order").fill(
        "\n".join(f"{x:.4f} {y:.4f} {z}" for x, y, z in rim)
    )
    page.get_by_label("One place on the void's own surface").fill("0 0 280")
    page.get_by_label("A hole in the surface, or an open end?").select_option(
        "a hole in the surface"
    )
    page.get_by_label("In layers of at most, mm").fill("5")
    page.locator("[data-part=voids]").get_by_role("button", name="Record and compute").click()
    page.get_by_text("Fill, as a hole in the surface").wait_for(timeout=WAIT_MS)
    there(page)
    expect(page.locator("#told-void-1")).to_contain_text("never to rebuild a missing end")
    expect(page.locator("#told-void-1")).to_contain_text("4, of at most 5 mm")


def hold_it(page: Page) -> None:
    """Say what it is made of and how it is held; then move a pad and see what it carries."""
    part(page, "mass")
    page.get_by_label("What it is made of").select_option("oak")
    page.locator("[data-part=mass]").get_by_role("button", name="Record and compute").click()
    page.get_by_text("Mass, computed").wait_for(timeout=WAIT_MS)
    there(page)
    part(page, "supports")
    page.get_by_label("Which way is down").fill("0 1 0")
    page.get_by_label("A pad's length, mm").fill("20")
    page.locator("[data-part=supports]").get_by_role("button", name="Record and compute").click()
    page.get_by_role("heading", name="Try the pads").wait_for(timeout=WAIT_MS)
    there(page)
    first = page.get_by_role("spinbutton", name="P1, % from the thicker end")
    with page.expect_response(lambda answer: answer.url.endswith("/pads")):
        first.fill("20")
    expect(page.locator("[data-pads-table] th").first).to_contain_text("20")


def pick_on_both(served: Served, watched: Watched, dossier_id: str, folder: Path) -> None:
    """Pick one place on a photograph and on the scan, by hand and by keyboard; nothing is sent."""
    page = watched.page
    here = (served.bench, served.author, dossier_id)
    view_id = photographed(*here, folder)
    crack_at(*here, view_id, 120, 160)
    watched.go(f"{page.url.partition('?')[0].partition('#')[0]}/photographs/{view_id}")
    page.wait_for_function("() => document.querySelector('[data-scan][data-ready]')")
    count = page.locator("[data-seen-count]")
    page.locator("[data-photograph]").click()
    expect(count).to_have_text("1 on the photograph, 0 on the scan. Now place 1 on the scan.")
    tap(page, 0, 0)
    expect(count).to_have_text("1 on the photograph, 1 on the scan.")
    page.locator("[data-photograph]").focus()
    page.keyboard.press("+")
    page.keyboard.press("Enter")
    expect(page.get_by_label("On the photograph, in order")).to_have_value(
        re.compile(r"^[\d.]+ [\d.]+\n950 200$")
    )
    watched.is_clean("photograph along a scan")
    watched.page.set_viewport_size(DESK)


def drag_a_pad(page: Page) -> None:
    """Drag the pad that is seen furthest left along under the object, and read where it went."""
    page.get_by_role("button", name="Pads", exact=True).click()
    canvas = page.locator(".scan-stage canvas")
    box = canvas.bounding_box()
    assert box is not None
    seen = np.asarray(Image.open(io.BytesIO(canvas.screenshot())).convert("RGB"), dtype=int)
    rows, columns = np.nonzero((np.abs(seen - [0x9F, 0xC4, 0xC9]) < 8).all(axis=2))
    left = columns < columns.min() + 12
    x, y = box["x"] + columns[left].mean(), box["y"] + rows[left].mean()
    numbers = page.locator("input[type=number][data-pad]")
    before = [numbers.nth(k).input_value() for k in range(numbers.count())]
    page.mouse.move(x, y)
    page.mouse.down()
    with page.expect_response(lambda answer: answer.url.endswith("/pads")):
        page.mouse.move(x + 60, y, steps=4)
    page.mouse.up()
    after = [numbers.nth(k).input_value() for k in range(numbers.count())]
    assert sum(one != other for one, other in zip(before, after, strict=True)) == 1
    page.get_by_role("button", name="Look", exact=True).click()


def test_a_scan_is_brought_in_filled_held_and_printed(
    served: Served, new_page: Callable[..., Watched], tmp_path: Path
) -> None:
    dossier_id = dossier(served)
    watched = new_page(DESK)
    page = watched.page
    bring_in(served, watched, dossier_id, shaft(tmp_path))
    assert "no millimetre and no gram before" in page.content()
    confirm(page, "302.5")
    fill_a_void(page)
    hold_it(page)
    drag_a_pad(page)
    page.get_by_role("button", name="Crack", exact=True).click()
    tap(page, -20, 0)
    page.locator(".scan-stage").focus()
    with page.expect_response(lambda answer: answer.url.endswith("/snap")):
        page.keyboard.press("Enter")
    expect(page.get_by_label("Along it, in order")).to_have_value(re.compile(r"^\S+ \S+ \S+\n\S+"))
    part(page, "stills")
    page.locator("#t-shows").fill("from the side, on its pads")
    page.get_by_role("button", name="Take the still").click()
    page.get_by_text("1 still", exact=True).wait_for()
    there(page)
    watched.is_clean("scan")
    (scan,) = report_of(served.bench, dossier_id).scans
    assert [one.key for one in scan.parts] == [
        "state", "volume", "mass", "filled", "supports", "bending", "void-1",
    ]  # fmt: skip
    assert scan.stills[0].alternative.endswith("drawn on it: V1, G, P1, P2, P3")
    pick_on_both(served, watched, dossier_id, tmp_path)
    watched.go(f"{served.url}/dossiers/{dossier_id}/report")
    assert page.get_by_text("Scans").count() >= 1


def test_a_million_faces_open_are_picked_on_and_measured_by_touch_sized_window(
    served: Served, new_page: Callable[..., Watched], tmp_path: Path
) -> None:
    dossier_id = dossier(served)
    watched = new_page(TABLET)
    page = watched.page
    bring_in(served, watched, dossier_id, bumpy_ring(tmp_path))
    page.get_by_role("button", name="Crack", exact=True).click()
    tap(page, -200, 80)
    tap(page, 60, 110)
    page.locator("#l-what").fill("crack on the ring")
    page.get_by_role("button", name="Record and measure").click()
    page.get_by_text("1 drawn on this scan").wait_for(timeout=WAIT_MS)
    there(page)
    part(page, "unit")
    confirm(page, "384")
    part(page, "lines")
    length = page.locator("#told-line-1 dd").first
    expect(length).to_contain_text(re.compile(r"\d+(\.\d+)? ± \d"))
    if SHOTS.is_dir():
        page.screenshot(path=SHOTS / "scan_million.png")
