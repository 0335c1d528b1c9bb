"""Following a crack by keyboard and by touch, its width, suggestions, and two dates compared."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from dataclasses import replace
from importlib.resources import as_file, files
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from softmend.records.dossier import Dossier, Size
from softmend.records.kinds import record_in
from softmend.records.mark import State
from softmend.services.dossiers import open_dossier
from softmend.services.examine.marks import marks_in
from softmend.services.examine.views import describe_view, import_photograph
from tests.browser.conftest import DESK, TABLET, still
from tests.browser.test_flows import click_along, press_along, ready, say_what_it_is, tap_along

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.browser.conftest import Served, Watched

PART = (700, 380, 2000, 1180)
"""The middle of the demo's beam with the card beneath it: crack 1, its new neighbour, a marker."""
DATES = {"antler-front-normal.jpg": "2025-10-14", "antler-front-normal-after.jpg": "2026-03-16"}


@pytest.fixture
def two_dates(served: Served, tmp_path: Path) -> tuple[str, str, str]:
    """A dossier with one side on two dates; return its id and those of both views."""
    facts = Dossier("an invented beam", "EX 1", "an invented museum", "cracked", Size.FULL, True)
    dossier_id = open_dossier(served.bench, served.author, facts)
    views = []
    for name, day in DATES.items():
        path = tmp_path / name.replace(".jpg", ".png")
        with as_file(files("softmend.demo").joinpath(name)) as whole, Image.open(whole) as picture:
            picture.crop(PART).save(path)
        entry = import_photograph(served.bench, served.author, dossier_id, path, path.name)
        view = replace(record_in(entry), side="front", taken_on=day)
        args = (served.bench, served.author, dossier_id, entry.subject_id, view, entry.id)
        views.append(describe_view(*args).subject_id)
    return dossier_id, views[0], views[1]


def follow_a_crack(watched: Watched, address: str) -> None:
    """Follow crack 1 by keyboard, a second line by touch, and take a suggestion."""
    page = watched.page
    watched.go(address)
    ready(page)
    page.click(".tools [data-tool=trace]")
    press_along(page, [(0.35, 0.35), (0.6, 0.35)])
    page.locator("[data-draft-status]", has_text="Kept as a draft").wait_for()
    assert page.locator(".sketch .drawn").count() >= 1
    page.keyboard.press("Enter")
    say_what_it_is(page, "crack")
    page.click(".tools [data-tool=trace]")
    tap_along(page, [(0.3, 0.42), (0.45, 0.43), (0.6, 0.43)])
    page.click("[data-command=undo]")
    page.click("[data-command=redo]")
    page.locator("[data-command=done]:not([disabled])").click()
    say_what_it_is(page, "crack")
    assert page.locator("[data-marks] [data-mark]").count() == 2
    page.click("[data-command=home]")
    still(page)
    page.click(".tools [data-code=S]")
    click_along(page, [(0.25, 0.32), (0.75, 0.32), (0.75, 0.45), (0.25, 0.45)])
    page.click("[data-command=done]")
    page.locator("[data-suggest-said]", has_text="suggested").wait_for()
    page.focus("[data-suggest-at]")
    page.keyboard.press("End")
    watched.rest()
    page.locator("[data-suggest-said]", has_text="suggested").wait_for()
    page.click("[aria-label='Refuse suggestion 1']")
    page.locator("[data-suggest-said]", has_text="Refused").wait_for()
    page.click("[aria-label='Accept suggestion 2']")
    page.locator("[data-suggest-said]", has_text="Accepted as mark 3").wait_for()
    watched.is_clean("revisit trace and suggest")


def measure_its_width(watched: Watched, served: Served, dossier_id: str) -> str:
    """Measure the width of the first mark; return the mark's id."""
    page = watched.page
    with served.bench.store.reading() as reader:
        first, mark = marks_in(reader, dossier_id)[0]
    assert mark.sightings[0].drawn_how == "traced with help, version 1"
    watched.go(f"{served.url}/dossiers/{dossier_id}/marks/{first.subject_id}/width")
    page.click("text=Measure along the line")
    page.wait_for_selector(".drawn svg")
    assert "No scale is set" in page.inner_text("main")
    watched.is_clean("revisit width")
    return first.subject_id


def test_from_a_followed_crack_to_what_moved(
    served: Served, new_page: Callable[..., Watched], two_dates: tuple[str, str, str]
) -> None:
    dossier_id, earlier, later = two_dates
    base = f"{served.url}/dossiers/{dossier_id}"
    watched = new_page(TABLET, touch=True)
    page = watched.page
    follow_a_crack(watched, f"{base}/views/{earlier}")
    mark_id = measure_its_width(watched, served, dossier_id)

    page.set_viewport_size(DESK)
    watched.go(f"{base}/revisit")
    page.click("text=Compare view 1 and view 2")
    page.fill("[name=earlier_percent]", "52")
    page.fill("[name=later_percent]", "38")
    page.fill("[name=earlier_degc]", "20")
    page.fill("[name=later_degc]", "19")
    page.fill("[name=air_from]", "an invented logger")
    page.click("text=Lay them over and measure")
    page.wait_for_selector("[data-compare]", timeout=60_000)
    watched.rest()
    assert re.search(r"Laid over by \d+ of \d+ matches", page.inner_text("main"))
    stage = page.locator("[data-compare]")
    for mode in ("side", "blink", "swipe"):
        page.click(f"[data-look={mode}]")
        assert stage.get_attribute("data-mode") == mode
    stage.focus()
    for key in ("+", "ArrowLeft", " ", "0"):
        page.keyboard.press(key)
    page.focus("[data-swipe]")
    page.keyboard.press("Home")
    # Under the hand both pictures move together.
    moved = [
        sheet.evaluate("one => one.style.transform")
        for sheet in page.locator(".compare-sheet").all()
    ]
    assert moved[0] == moved[1]
    watched.is_clean("revisit compare")
    page.click("text=Keep what was found")
    page.wait_for_selector("text=kept on")
    with served.bench.store.reading() as reader:
        subjects = [one.subject_id for one in reader.current(dossier_id, "run")]
        marks = {entry.subject_id: mark for entry, mark in marks_in(reader, dossier_id)}
    assert sum("photo.change" in one for one in subjects) == 1
    # Nothing is recorded of the mark until the person says so.
    assert marks[mark_id].state is State.NOT_KNOWN
    watched.go(f"{base}/revisit")
    watched.is_clean("revisit front")
    watched.go(f"{base}/revisit/guide?view={earlier}")
    watched.is_clean("revisit guide")
    watched.go(f"{base}/views/{later}")
    ready(page)
