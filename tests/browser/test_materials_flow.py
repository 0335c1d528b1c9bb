"""Materials, a measured opening, a coating and a join in a browser, at both sizes."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from softmend.records.crack_model import BodyAround, CrackModel, Told
from softmend.records.dossier import Dossier, Size
from softmend.records.join import Assembly, PlannedJoin
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.view import View
from softmend.services.dossiers import open_dossier
from softmend.services.examine.marks import record_mark
from softmend.services.explain.coating import say_of_coating
from softmend.services.explain.joins import say_of_join
from softmend.services.recording import record_one
from softmend.services.treat.day_log import plan_assembly
from tests.browser.conftest import DESK, rest
from tests.services.explain.test_coating import OLD, RING
from tests.services.explain.test_joins import ARM

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.browser.conftest import Served, Watched

PULP = "tissue or pulp + EVA (VAE) dispersion"


@pytest.fixture
def told(served: Served) -> dict[str, str]:
    """A dossier with a crack, a lifting patch and a planned join, of each what is asked."""
    bench, author = served.bench, served.author
    opening = Dossier("antler beam", "INV 12", "an invented house", "to be shown", Size.FULL)
    dossier_id = open_dossier(bench, author, opening)
    view = View(1, "front.jpg", "a" * 64, 10, "b" * 64, 1000, 800, 8, "sRGB")
    at = {"dossier_id": dossier_id, "based_on": ""}
    view_id = bench.fresh_id()
    record_one(bench, author, subject_id=view_id, record=view, **at)
    line = Geometry(Shape.LINE, (((10.0, 10.0), (200.0, 40.0)),))
    area = Geometry(Shape.AREA, (RING,))
    crack, patch = (
        record_mark(bench, author, dossier_id, Mark(0, term, (Sighting(view_id, drawn),)))
        for term, drawn in (("crack", line), ("lifting", area))
    )
    model = CrackModel(
        body=BodyAround.CYLINDER,
        radius_mm=Told(45, 50, 55),
        mismatch_percent=Told(-0.03, 0.005, 0.03),
    )
    record_one(bench, author, subject_id=crack.subject_id, record=model, **at)
    say_of_coating(bench, author, dossier_id, patch.subject_id, OLD, "")
    joins = Assembly((PlannedJoin("J1", ("beam", "tine")),))
    plan_assembly(bench, author, dossier_id, joins, "")
    say_of_join(bench, author, dossier_id, replace(ARM, mass_g=Told(380, 420, 460)), "")
    base = f"{served.url}/dossiers/{dossier_id}"
    return {
        "opening": f"{base}/marks/{crack.subject_id}/opening",
        "coating": f"{base}/explain/coating/{patch.subject_id}",
        "coatings": f"{base}/explain/coating",
        "joins": f"{base}/explain/joins",
    }


def test_shelf_and_bench_test(served: Served, new_page: Callable[..., Watched]) -> None:
    watched = new_page(DESK, touch=True)
    page = watched.page
    watched.go(f"{served.url}/materials")
    page.select_option("#f-material", PULP)
    with page.expect_navigation():
        page.click("button:has-text('Record the line')")
    page.wait_for_selector("text=compared first")
    watched.is_clean("materials")
    watched.go(f"{served.url}/materials/of?name=elephant+ivory")
    page.wait_for_selector("text=Sources disagree")
    watched.is_clean("material with a quarrel")
    page.goto(f"{served.url}/materials")
    page.click(f".list-row:has-text('{PULP.capitalize()[:12]}')")
    rest(page)
    page.click("summary:has-text('Bar bending')")
    page.fill("#b-source", "bench book, p. 12")
    for name, value in (("span", "50"), ("breadth", "10"), ("height", "10")):
        page.fill(f"#b-{name}-1", value)
    page.fill("#b-read-1", "0 0, 200 0.21, 500 0.51")
    page.click("form[action='/materials/tests/bending'] [value=try]")
    page.wait_for_selector("text=Not yet recorded.")
    with page.expect_navigation():
        page.click("form[action='/materials/tests/bending'] [value=record]")
    page.wait_for_selector("text=this bench's own, measured")


def test_opening_coating_and_join(told: dict[str, str], new_page: Callable[..., Watched]) -> None:
    watched = new_page(DESK, touch=True)
    page = watched.page
    watched.go(told["opening"])
    page.wait_for_selector("text=Modelled only")
    readings = (("2026-01-10", "1.30", "42"), ("2025-08-02", "1.10", "58"))
    for n, (day, width, air) in enumerate(readings, start=1):
        page.fill(f"#o-read_on-{n}", day)
        page.fill(f"#o-width_mm-{n}", width)
        page.fill(f"#o-air_percent-{n}", air)
    with page.expect_navigation():
        page.click("button:has-text('Record the two readings')")
    page.wait_for_selector("text=times narrower than the modelled one")
    watched.is_clean("measured opening")
    watched.go(told["coatings"])
    watched.is_clean("coatings")
    watched.go(told["coating"])
    before = page.inner_text("#told .lead")
    page.fill("[name=thickness]", "20")
    page.wait_for_selector("text=Tried out from a small sample")
    assert page.inner_text("#told .lead") != before
    watched.is_clean("coating")
    watched.go(told["joins"])
    with page.expect_navigation():
        page.click("button:has-text('Keep it for the proposal')")
    page.wait_for_selector("text=Keep it again, as recorded now")
    watched.is_clean("joins")
