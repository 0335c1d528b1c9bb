"""A place, its logger's file, an object in its case, a coating and light in a browser."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from softmend.records.crack_model import Basis, Told
from softmend.records.dossier import Dossier, Size
from softmend.records.place import ObjectPlace, Place
from softmend.records.showcase import Showcase
from softmend.services.dossiers import open_dossier
from softmend.services.places.house import record_case, record_place
from softmend.services.places.tied import say_of_object, stand_object
from tests.browser.conftest import DESK, rest, served_bench, served_copy
from tests.services.places.conftest import BODY, LONG, log_place
from tests.web.test_case_page import TYPED
from tests.web.test_places import UNSURE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from tests.browser.conftest import Served, Watched


def logged(served: Served, folder: Path) -> tuple[str, str]:
    """Make a logged place with a case, and an object planned for it; return the ids of both."""
    bench, author = served.bench, served.author
    place_id = record_place(bench, author, Place("long gallery", zone="Europe/Athens")).subject_id
    log_place(bench, author, place_id, LONG, folder)
    gel = Told(1.5, 2, 2.5, Basis.RECALLED, "as commonly repeated")
    case = Showcase(
        place_id, "case by the stairs", 1.2, Told(0.3, 1, 3), "regular gel", 4.8, gel, source_m2=1
    )
    showcase_id = record_case(bench, author, case).subject_id
    opening = Dossier("antler beam", "INV 12", "an invented house", "to be shown", Size.FULL)
    dossier_id = open_dossier(bench, author, opening)
    stand_object(bench, author, dossier_id, ObjectPlace(place_id, "2126-01-10", showcase_id), "")
    say_of_object(bench, author, dossier_id, BODY, "")
    return place_id, dossier_id


@pytest.fixture(scope="module")
def laid_out(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str, str]:
    """Lay place and object out once: the house they are in, and the ids of both."""
    folder = tmp_path_factory.mktemp("logged")
    with served_bench(folder / "house") as running:
        return folder / "house", *logged(running, folder)


@pytest.fixture
def served(laid_out: tuple[Path, str, str], tmp_path: Path) -> Iterator[Served]:
    """Serve a copy of it for each test."""
    with served_copy(laid_out[0], tmp_path) as running:
        yield running


@pytest.fixture
def told(laid_out: tuple[Path, str, str], served: Served) -> dict[str, str]:
    """The addresses of the place and of the object's return."""
    _, place_id, dossier_id = laid_out
    return {
        "place": f"{served.url}/places/{place_id}",
        "return": f"{served.url}/dossiers/{dossier_id}/return",
    }


def test_a_file_is_looked_at_and_the_room_is_drawn(
    served: Served, new_page: Callable[..., Watched], told: dict[str, str], tmp_path: Path
) -> None:
    watched = new_page(DESK, touch=True)
    page = watched.page
    watched.go(f"{served.url}/places")
    watched.is_clean("places")
    watched.go(told["place"])
    page.wait_for_selector("[data-plot=rh] canvas")
    page.click("button:has-text('Month')")
    page.wait_for_selector(".series-shown:has-text('2011-10')")
    watched.is_clean("place")
    (tmp_path / "unsure.csv").write_bytes(UNSURE.encode("cp1252"))
    page.set_input_files("input[name=readings]", tmp_path / "unsure.csv")
    page.click("button:has-text('Look at how it reads')")
    page.wait_for_selector("text=It cannot be read yet.")
    watched.is_clean("import refused")
    page.select_option("#q-day_order", "day first")
    page.click("button:has-text('Read it like this')")
    page.wait_for_selector("text=What stands out; all of it is kept")
    watched.is_clean("import")
    page.fill("#f-logger", "by the door")
    with page.expect_navigation():
        page.click("button:has-text('Confirm: it reads rightly')")
    page.wait_for_selector("text=By the door")


def test_a_case_is_measured_and_its_buffer_sized(
    new_page: Callable[..., Watched], told: dict[str, str]
) -> None:
    watched = new_page(DESK, touch=True)
    page = watched.page
    watched.go(told["place"])
    with page.expect_navigation():
        page.click("a:has-text('Measure its exchange, size its buffer')")
    watched.is_clean("a case")
    page.fill("#t-readings", TYPED)
    page.click("button:has-text('Fit the decay') >> nth=0")
    page.wait_for_selector("text=It changes its air 0.7998")
    page.fill("#n-set_percent", "50")
    page.fill("#n-drift_percent", "5")
    page.fill("#n-held_days", "90")
    page.click("button:has-text('Size it')")
    page.wait_for_selector("text=errs to the safe side")
    watched.is_clean("a case with its answers")
    with page.expect_navigation():
        page.click("button:has-text('Use it for this case, as measured')")
    page.wait_for_selector("text=Next: compare what it does with what was computed.")


def test_the_object_in_its_case_coat_or_not_and_light(
    new_page: Callable[..., Watched], told: dict[str, str]
) -> None:
    watched = new_page(DESK, touch=True)
    page = watched.page
    watched.go(f"{told['return']}/climate")
    page.wait_for_selector("text=From a small sample", state="detached", timeout=120_000)
    page.fill("input[name=exchange]", "0.2")
    page.wait_for_selector("text=From a small sample")
    rest(page)
    watched.is_clean("climate of an object")
    watched.go(f"{told['return']}/coat")
    watched.is_clean("coat or not")
    page.check("input[name=answer][value='no coating']")
    page.check("input[name=reasons] >> nth=0")
    with page.expect_navigation():
        page.click("button:has-text('Record the decision')")
    watched.go(f"{told['return']}/light")
    page.fill("[name=light_lux] >> nth=0", "50")
    page.fill("[name=hours_a_day] >> nth=0", "8")
    page.fill("[name=days_a_year] >> nth=0", "300")
    page.check("input[name=part][value='undyed bone or antler']")
    with page.expect_navigation():
        page.click("button:has-text('Record the plan')")
    page.wait_for_selector("text=By CIE 157 the plan spends")
    watched.is_clean("light")
