"""The main job and what may befall it: one photograph to one report, two tabs, a crash."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from softmend.records.dossier import Dossier, Size
from softmend.records.kinds import record_in
from softmend.services.dossiers import open_dossier
from softmend.services.examine.marks import marks_in
from softmend.services.examine.views import import_photograph
from softmend.web.pages.examine import front
from softmend.web.uploads import Upload, Uploads
from tests.browser.conftest import TABLET, TOKEN, still

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import APIResponse, Page, Route

    from softmend.records.entry import Entry
    from tests.browser.conftest import Served, Watched

PHOTOGRAPH = Path(__file__).parents[1] / "data" / "photographs" / "10.jpg"

Corner = tuple[float, float]


def dossier_with_a_view(served: Served) -> tuple[str, str]:
    """Make a full dossier with one photograph; return the ids of both."""
    facts = Dossier("an invented beam", "EX 1", "an invented museum", "cracked", Size.FULL, True)
    dossier_id = open_dossier(served.bench, served.author, facts)
    view = import_photograph(served.bench, served.author, dossier_id, PHOTOGRAPH, "front.jpg")
    return dossier_id, view.subject_id


def ready(page: Page) -> None:
    """Wait until the picture can be drawn on."""
    page.wait_for_selector("#viewer[data-ready]")


def on_picture(page: Page, across: float, down: float) -> Corner:
    """Return a place on the picture's element, as shares of its width and height."""
    box = page.locator("#viewer").bounding_box()
    assert box is not None
    return box["x"] + across * box["width"], box["y"] + down * box["height"]


def click_along(page: Page, places: list[Corner]) -> None:
    """Click places on the picture."""
    for across, down in places:
        page.mouse.click(*on_picture(page, across, down))


def tap_along(page: Page, places: list[Corner]) -> None:
    """Tap places on the picture."""
    for across, down in places:
        page.touchscreen.tap(*on_picture(page, across, down))


def press_along(page: Page, places: list[Corner]) -> None:
    """Set places by keyboard alone: arrows move the cross-hair, Enter adds a point."""
    page.locator("#viewer [role=application]").focus()
    here = (0.5, 0.5)
    for place in places:
        for step, keys in zip(
            (place[0] - here[0], place[1] - here[1]),
            (("ArrowLeft", "ArrowRight"), ("ArrowUp", "ArrowDown")),
            strict=True,
        ):
            for _ in range(round(abs(step) * 20)):
                page.keyboard.press(keys[step > 0])
        page.keyboard.press("Enter")
        here = place


def say_what_it_is(page: Page, term: str) -> None:
    """Fill the panel of what was drawn and record it."""
    page.wait_for_selector("#mark-form")
    page.check(f"#mark-form [name=term_id][value={term}]")
    with page.expect_navigation(url=re.compile(r"\?mark=")):
        page.click("#mark-form .button")
    ready(page)


def come_in(page: Page, served: Served) -> None:
    """Open the link that the application printed, as a stranger, and say who one is."""
    page.context.clear_cookies()
    page.goto(f"{served.url}/?token={TOKEN}")
    page.get_by_role("button", name="Ida Invented").click()
    page.wait_for_url(f"{served.url}/")


def open_a_dossier(page: Page) -> str:
    """Open a dossier from the list; return its address."""
    page.click("text=Open a new dossier")
    page.fill("[name=what]", "an invented beam, right")
    page.fill("[name=number]", "EX 1907.12")
    page.fill("[name=number_issued_by]", "an invented museum")
    page.fill("[name=why_here]", "cracked since last winter")
    page.check("[name=size][value=full]")
    page.check("[name=is_invented]")
    page.click("text=Open the dossier")
    page.wait_for_url(re.compile(r"/dossiers/[0-9a-f-]{36}$"))
    return page.url


def set_a_scale(page: Page) -> None:
    """Set the scale by two taps on the picture."""
    page.click(".tools [data-tool=scale-bar]")
    tap_along(page, [(0.2, 0.7), (0.8, 0.7)])
    page.click("[data-command=done]")
    page.fill("[name=length_mm]", "100")
    page.click("text=Record the scale")
    page.wait_for_selector("text=Scale by two clicks on a bar")
    ready(page)


def mark_by(
    page: Page, tool: str, draw: Callable[[Page, list[Corner]], None], places: list[Corner]
) -> None:
    """Draw something on the whole picture by touch or by keyboard."""
    page.click("[data-command=home]")
    still(page)
    page.click(f".tools {tool}")
    draw(page, places)
    if draw is tap_along:
        page.click("[data-command=done]")


def test_from_a_photograph_to_a_printed_report(
    served: Served, new_page: Callable[..., Watched], tmp_path: Path
) -> None:
    watched = new_page(TABLET, touch=True)
    page = watched.page
    come_in(page, served)
    dossier = open_a_dossier(page)
    watched.go(f"{dossier}/examine")
    page.set_input_files("[name=photograph]", PHOTOGRAPH)
    page.wait_for_selector(".view-card")
    page.click(".view-card")
    ready(page)
    set_a_scale(page)

    trace, outline = "[data-tool=polyline]", "[data-tool=area][data-code='?']"
    mark_by(page, trace, tap_along, [(0.3, 0.3), (0.4, 0.32), (0.6, 0.3)])
    say_what_it_is(page, "crack")
    mark_by(page, trace, tap_along, [(0.3, 0.4), (0.4, 0.42), (0.6, 0.4)])
    say_what_it_is(page, "split")
    mark_by(page, trace, press_along, [(0.4, 0.5), (0.6, 0.5), (0.6, 0.5)])
    say_what_it_is(page, "crack")
    mark_by(page, outline, tap_along, [(0.3, 0.55), (0.5, 0.55), (0.5, 0.62), (0.3, 0.62)])
    say_what_it_is(page, "lifting")
    mark_by(page, outline, press_along, [(0.55, 0.55), (0.7, 0.55), (0.7, 0.65), (0.7, 0.65)])
    say_what_it_is(page, "loss")
    assert page.locator("[data-marks] [data-mark]").count() == 5
    assert re.search(r"\d ± \d.*mm", page.inner_text("[data-marks]"))

    watched.go(f"{dossier}/condition")
    page.check("[name=grade][value='3']")
    page.fill("[name=because]", "a layer stands free")
    page.click("text=Record the grade")
    page.wait_for_selector("text=Overall 3")

    watched.go(f"{dossier}/report")
    with page.expect_download() as download:
        page.click("text=Condition report, PDF")
    printed = tmp_path / "report.pdf"
    download.value.save_as(printed)
    assert download.value.suggested_filename == "EX-1907.12-condition-report.pdf"
    assert printed.read_bytes().startswith(b"%PDF-")
    assert watched.violations() == []


def test_the_second_of_two_tabs_is_told_and_shown_both(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id, view_id = dossier_with_a_view(served)
    first, second = new_page(), new_page()
    first.go(f"{served.url}/dossiers/{dossier_id}/views/{view_id}")
    ready(first.page)
    first.page.click(".tools [data-tool=polyline]")
    click_along(first.page, [(0.4, 0.4), (0.6, 0.4)])
    first.page.click("[data-command=done]")
    say_what_it_is(first.page, "crack")
    # Both see the mark as it stands, then both change it.
    for tab in (first, second):
        tab.go(first.page.url)
        ready(tab.page)
        tab.page.wait_for_selector("#mark-form")
        tab.page.click("text=Change what it says")
    first.page.fill("[name=note_observed]", "seen by the first")
    with first.page.expect_navigation():
        first.page.click("#mark-form .button")
    second.page.fill("[name=note_observed]", "seen by the second")
    second.page.click("#mark-form .button")
    told = second.page.locator("#mark-form .notice")
    told.wait_for()
    for words in ("nothing was written", "seen by the first", "seen by the second"):
        assert words in told.inner_text()
    assert notes(served, dossier_id) == ["not known", "seen by the first"]
    # The browser itself writes every refusal on its console.
    assert len(second.wrong) == 1
    assert "409" in second.wrong.pop()
    with second.page.expect_navigation():
        second.page.click("text=Record yours after theirs")
    assert notes(served, dossier_id) == ["not known", "seen by the first", "seen by the second"]


def notes(served: Served, dossier_id: str) -> list[str]:
    """Return what was noted of the only mark, entry after entry."""
    with served.bench.store.reading() as reader:
        ((entry, _mark),) = marks_in(reader, dossier_id)
        history = reader.history("mark", entry.subject_id)
    return [record_in(entry).note_observed for entry in history]


def drag_many_times(page: Page) -> None:
    """Draw an outline and drag its third corner two hundred times."""
    page.click(".tools [data-tool=area][data-code='?']")
    click_along(page, [(0.3, 0.4), (0.6, 0.4), (0.6, 0.6), (0.3, 0.6)])
    left, top = on_picture(page, 0, 0)
    right, foot = on_picture(page, 1, 1)
    page.mouse.move(*on_picture(page, 0.6, 0.6))
    for drag in range(200):
        across, down = 0.62 + 0.05 * (drag % 2), 0.6 - 0.0005 * drag
        page.mouse.down()
        page.mouse.move(left + across * (right - left), top + down * (foot - top))
        page.mouse.up()
    page.wait_for_selector("[data-draft-status] >> text=Kept as a draft")


def test_an_outline_dragged_many_times_comes_back_after_a_crash(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id, view_id = dossier_with_a_view(served)
    address = f"{served.url}/dossiers/{dossier_id}/views/{view_id}"
    doomed = new_page(TABLET)
    doomed.go(address)
    ready(doomed.page)
    drag_many_times(doomed.page)
    doomed.rest()
    doomed.page.context.close()

    again = new_page(TABLET)
    again.go(address)
    ready(again.page)
    again.page.wait_for_selector("text=This draft was kept from before")
    again.page.click("[data-command=done]")
    say_what_it_is(again.page, "loss")
    with served.bench.store.reading() as reader:
        ((_entry, mark),) = marks_in(reader, dossier_id)
    assert mark.number == 1
    (ring,) = mark.sightings[0].geometry.parts
    assert len(ring) == 4
    # The third corner stands where the last drag let go of it: right of and above where it began.
    assert ring[2][0] > ring[1][0]
    assert ring[2][1] < ring[3][1]


WORDS_OF_BEFORE = "reading what it says"


@dataclass
class LateAnswers:
    """The answers to "how far is it?", kept back until a test lets them come."""

    held: list[tuple[Route, APIResponse]] = field(default_factory=list)

    def keep(self, route: Route) -> None:
        """Let the house answer, and keep its answer back while the file is being read."""
        answer = route.fetch()
        if WORDS_OF_BEFORE in answer.text():
            self.held.append((route, answer))
        else:
            route.fulfill(response=answer)

    def come(self) -> None:
        """Let all answers come."""
        assert self.held
        for route, answer in self.held:
            route.fulfill(response=answer)


@pytest.fixture
def slow_import(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read 11.jpg only once somebody was told that it is being read."""
    was_told = threading.Event()
    find = Uploads.find

    def found(uploads: Uploads, upload_id: str) -> Upload | None:
        upload = find(uploads, upload_id)
        if upload is not None and upload.doing == WORDS_OF_BEFORE:
            was_told.set()
        return upload

    def import_once_told(*what: Any, progress: Any, **more: Any) -> Entry:
        if "11.jpg" in what:
            progress(WORDS_OF_BEFORE, 0.5)
            assert was_told.wait(60)
        return import_photograph(*what, progress=progress, **more)

    monkeypatch.setattr(Uploads, "find", found)
    monkeypatch.setattr(front, "import_photograph", import_once_told)


@pytest.mark.usefixtures("slow_import")
def test_a_file_that_is_no_picture_is_refused_in_words_and_the_next_is_taken(
    served: Served, new_page: Callable[..., Watched], tmp_path: Path
) -> None:
    dossier_id, _view_id = dossier_with_a_view(served)
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(b"\xff\xd8\xff\xe0 this is no picture")
    watched, late = new_page(), LateAnswers()
    page = watched.page
    watched.go(f"{served.url}/dossiers/{dossier_id}/examine")
    page.route("**/uploads/*", late.keep)
    page.set_input_files("[name=photograph]", [broken, PHOTOGRAPH.with_name("11.jpg")])
    page.wait_for_selector(".upload-list .notice")
    page.wait_for_selector(".upload-list >> text=brought in")
    # What was asked while the file was being read is answered after its end: it changes nothing.
    late.come()
    watched.rest()
    told = page.inner_text(".upload-list")
    assert "brought in" in told
    assert WORDS_OF_BEFORE not in told
    with served.bench.store.reading() as reader:
        assert len(reader.current(dossier_id, "view")) == 2
    (refused,) = watched.wrong
    assert "422" in refused
    watched.wrong.clear()
