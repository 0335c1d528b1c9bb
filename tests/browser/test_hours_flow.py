"""From marks to weeks, from a list to a share, and the order of the house, driven by touch."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from softmend.records.dossier import Dossier, ObjectHead, Size
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.services.dossiers import describe_object, open_dossier
from softmend.services.examine.marks import record_mark
from softmend.services.examine.scales import set_scale
from softmend.services.examine.views import import_photograph
from softmend.services.propose.hours import estimates_in
from tests.browser.conftest import TABLET

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.browser.conftest import Served, Watched

PHOTOGRAPH = Path(__file__).parents[1] / "data" / "photographs" / "10.jpg"
SHOTS = Path("/tmp/shots")
SCALE = {
    "method": "two_clicks",
    "end_a_px": [[0.0, 10.0]],
    "end_b_px": [[100.0, 10.0]],
    "length_mm": {"value": {"value": 100.0, "expanded": 0.2}},
    "stand": {
        "offset_mm": {"value": {"value": 0.0, "expanded": 1.0}},
        "camera_distance_mm": {"value": {"value": 800.0, "expanded": 20.0}},
    },
}


def cracked(served: Served) -> str:
    """Make a full dossier with one crack on a scaled view; return its id."""
    bench, author = served.bench, served.author
    facts = Dossier("an invented beam", "EX 1", "an invented museum", "cracked", Size.FULL, True)
    dossier_id = open_dossier(bench, author, facts)
    head = ObjectHead(title="an invented beam", deadline_on="2027-06-01")
    describe_object(bench, author, dossier_id, head, based_on="")
    view_id = import_photograph(bench, author, dossier_id, PHOTOGRAPH, "front.jpg").subject_id
    set_scale(bench, author, dossier_id, view_id, SCALE, based_on="")
    line = Geometry(Shape.LINE, (((20.0, 20.0), (180.0, 60.0)),))
    record_mark(bench, author, dossier_id, Mark(0, "crack", (Sighting(view_id, line),)))
    return dossier_id


def test_from_marks_to_weeks_and_to_the_board(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id = cracked(served)
    watched = new_page(TABLET, touch=True)
    page = watched.page
    watched.go(f"{served.url}/dossiers/{dossier_id}")
    page.click("text=weeks of work: not estimated")
    page.wait_for_url(re.compile(r"/propose/hours$"))
    watched.is_clean("no estimate yet")
    page.click("main a.button")
    page.wait_for_url(re.compile(r"/propose/hours/new$"))
    watched.is_clean("the form")
    watched.go(page.url)
    page.fill("[name=typical_hours]", "18")
    page.click("text=See the weeks")
    page.wait_for_selector("#tried .weeks-drawing svg")
    assert re.search(r"\d+ to \d+ weeks, from guesses", page.inner_text("#tried"))
    page.fill("[name=basis]", "seen once, one crack marked")
    page.click("text=Record the estimate")
    page.wait_for_url(re.compile(r"/propose/hours$"))
    assert "The estimate matches what is marked." in page.inner_text("main")
    watched.is_clean("the estimate")
    with served.bench.store.reading() as reader:
        (kept,) = estimates_in(reader, dossier_id)
    assert kept.estimate.plan.calendar.typical_hours == 18.0

    watched.go(f"{served.url}/board")
    watched.is_clean("the board")
    page.click(".board >> text=suggested")
    page.wait_for_url(re.compile(r"/priority$"))
    page.check("[name=significance][value=high]")
    page.fill("[name=place]", "1")
    watched.is_clean("the turn")
    page.click("main .button")
    page.wait_for_selector(".answer >> text=needs its reason")
    watched.wrong.clear()
    page.fill("[name=place_because]", "wanted for a loan")
    page.click("main .button")
    page.wait_for_url(f"{served.url}/board")
    assert "wanted for a loan" in page.inner_text("main")


def test_from_a_pasted_list_to_a_share_in_plain_words(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    watched = new_page(TABLET, touch=True)
    page = watched.page
    watched.go(served.url)
    page.click("text=Surveys")
    page.wait_for_url(re.compile(r"/surveys$"))
    watched.is_clean("no survey yet")
    page.fill("[name=title]", "antlers in an invented store")
    page.fill("[name=collection_count]", "40")
    page.check("[name=is_invented]")
    page.click("text=Open the survey")
    page.wait_for_url(re.compile(r"/surveys/[0-9a-f-]{36}$"))
    page.fill("[name=pasted]", "\n".join(f"A {n};shelf {n // 10}" for n in range(1, 41)))
    page.fill("[name=draw]", "12")
    page.click("text=Record the sample")
    page.wait_for_selector("text=Next: 12 objects are left to grade.")
    for left in (11, 10):
        page.check("[name=grade][value='3']")
        page.click("text=Record and go on")
        page.wait_for_selector(f"text=Next: {left} objects are left to grade.")
    watched.is_clean("the survey")
    assert "2 of the 2 graded" in page.inner_text("main")
    watched.go(f"{served.url}/surveys")
    watched.is_clean("the surveys")
    with page.expect_download() as download:
        page.goto(f"{served.url}/surveys")
        page.click("text=antlers in an invented store")
        page.click("text=Take the table away, CSV")
    assert download.value.suggested_filename == "survey.csv"
