"""Return and the bench sheets in a real browser: no barrier, pen marks exactly in place."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from softmend.records.bench_sheet import view_box_mm
from softmend.records.dossier import Dossier, Size
from softmend.records.fragment import Bag
from softmend.records.passing import RULES
from softmend.services.dossiers import open_dossier
from softmend.services.examine.views import import_photograph
from softmend.services.hand_over.closing import closing_state
from softmend.services.numbered import record_numbered
from softmend.services.recording import current_record
from softmend.services.treat.bench_sheet import file_sheet, make_sheet, print_sheet
from tests.browser.conftest import DESK, TABLET, served_bench, served_copy
from tests.services.hand_over_sample import give_away, hand_back, work
from tests.services.photographed import camera, drawn_sheet, jpeg, photograph, write_on

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from tests.browser.conftest import Served, Watched

PHOTOGRAPH = Path(__file__).parents[1] / "data" / "photographs" / "10.jpg"
SHOTS = Path("/tmp/shots")


def going_back(served: Served, folder: Path) -> tuple[str, str]:
    """Make an invented dossier on its way back, with a sheet drawn on; return it and its view."""
    bench, author = served.bench, served.author
    facts = Dossier("antler beam", "EX 12", "an invented house", "display", Size.FULL, True)
    dossier_id = open_dossier(bench, author, facts)
    view_id = import_photograph(bench, author, dossier_id, PHOTOGRAPH, "f.jpg").subject_id
    hand_back(bench, author, dossier_id)
    work(bench, author, dossier_id, view_id)
    record_numbered(bench, author, dossier_id, Bag(0, "tray 4", "no seat found", "2026-03-01"))
    give_away(bench, author, dossier_id, "the owner")
    sheet_id = make_sheet(bench, author, dossier_id, view_id).subject_id
    with bench.store.reading() as reader:
        view = current_record(reader, dossier_id, "view", view_id)[1]
    left, top, right, bottom = view_box_mm(view.width_px, view.height_px)
    sheet = drawn_sheet(print_sheet(bench, dossier_id, sheet_id))
    across, down = (right - left) / 4, (bottom - top) / 4
    write_on(sheet, [(left + across, top + down), (right - across, bottom - down)])
    source = folder / "sheet.jpg"
    source.write_bytes(jpeg(photograph(sheet, camera())))
    file_sheet(bench, author, dossier_id, sheet_id, source, "sheet.jpg")
    return dossier_id, view_id


@pytest.fixture(scope="module")
def laid_out(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str, str]:
    """Lay the dossier out once: the house it lies in, its id and that of its view."""
    folder = tmp_path_factory.mktemp("going-back")
    with served_bench(folder / "house") as running:
        return folder / "house", *going_back(running, folder)


@pytest.fixture
def served(laid_out: tuple[Path, str, str], tmp_path: Path) -> Iterator[Served]:
    """Serve a copy of it for each test."""
    with served_copy(laid_out[0], tmp_path) as running:
        yield running


def test_no_page_of_return_has_a_barrier_a_broken_policy_or_an_error(
    served: Served, new_page: Callable[..., Watched], laid_out: tuple[Path, str, str]
) -> None:
    _, dossier_id, _ = laid_out
    watched = new_page(DESK)
    for name in ("return", "return/care", "return/custody", "return/places", "return/papers",
                 "return/closing", "return/next-conservator/text", "treat/sheets"):  # fmt: skip
        watched.go(f"{served.url}/dossiers/{dossier_id}/{name}")
        watched.is_clean(name.replace("/", " "))


def test_pen_marks_lie_under_the_marks_in_the_pixels_of_the_view(
    served: Served, new_page: Callable[..., Watched], laid_out: tuple[Path, str, str]
) -> None:
    _, dossier_id, view_id = laid_out
    watched = new_page()
    page = watched.page
    watched.go(f"{served.url}/dossiers/{dossier_id}/views/{view_id}")
    page.wait_for_selector("#viewer[data-ready]")
    choice = page.get_by_label("Bench sheet 1")
    choice.focus()
    with page.expect_response(lambda answer: "underlay.png" in answer.url) as answered:
        page.keyboard.press("Space")
    assert answered.value.status == 200
    page.wait_for_selector("svg.overlay image")
    placed = page.evaluate(
        """() => {
          const image = document.querySelector("svg.overlay g.world > image");
          const first = document.querySelector("svg.overlay g.world").firstElementChild === image;
          const {width_px, height_px} = JSON.parse(document.getElementById("viewer").dataset.view);
          const box = image.getBBox();
          return [first, box.x, box.y, box.width - width_px, box.height - height_px];
        }"""
    )
    assert placed == [True, 0, 0, 0, 0]
    if SHOTS.is_dir():
        page.wait_for_timeout(300)
        page.screenshot(path=SHOTS / "underlay_desk.png")
    assert watched.axe() == []
    choice.uncheck()
    assert page.locator("svg.overlay image").count() == 0


def test_a_dossier_is_closed_and_opened_again_by_hand(
    served: Served, new_page: Callable[..., Watched], laid_out: tuple[Path, str, str]
) -> None:
    _, dossier_id, _ = laid_out
    watched = new_page(TABLET, touch=True)
    page = watched.page
    watched.go(f"{served.url}/dossiers/{dossier_id}/return/closing")
    while page.get_by_label("not done, because").count():
        page.get_by_label("not done, because").first.fill("this is a test")
        with page.expect_navigation():
            page.locator(".asked").first.get_by_role("button", name="Record").tap()
    for rule in (8, 11, 19):
        still_open = f"Close although this is open: {RULES[rule]}"
        page.locator("summary", has_text=still_open).tap()
        card = page.locator("details", has_text=still_open).last
        card.get_by_label("Because").fill("the house closes down")
        card.get_by_label("Who decides").fill("H. Head")
        card.get_by_role("button", name="Record it").tap()
        page.get_by_text(f"because the house closes down: {RULES[rule]}").wait_for()
    page.get_by_label("How it ended").fill("treated in part")
    page.get_by_role("button", name="Close it").tap()
    page.get_by_role("heading", name="Closed on").wait_for()
    with served.bench.store.reading() as reader:
        assert closing_state(reader, dossier_id).closed is not None
    page.get_by_label("Because").fill("a piece fell")
    page.get_by_role("button", name="Open it again").tap()
    page.get_by_text("Opened again, because a piece fell").wait_for()
