"""Every page at both sizes: axe finds nothing, no policy is broken, the console stays silent."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from softmend.records.dossier import Dossier, Size
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.view import NotExamined
from softmend.records.zone import Body, BodyZone
from softmend.services.dossiers import open_dossier
from softmend.services.examine.grades import record_not_examined
from softmend.services.examine.marks import record_mark
from softmend.services.examine.scales import set_scale
from softmend.services.examine.views import import_photograph
from softmend.services.examine.zones import record_body_zone
from tests.browser.conftest import DESK

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.browser.conftest import Served, Watched

TEMPLATES = Path(__file__).parents[2] / "src" / "softmend" / "web" / "templates"
PHOTOGRAPH = Path(__file__).parents[1] / "data" / "photographs" / "10.jpg"


def dossier_with_everything(served: Served) -> dict[str, str]:
    """Make a dossier in which every page has something to show; return the pages' paths."""
    facts = Dossier(
        what="giant deer antler, right beam",
        number="EX 1907.12",
        number_issued_by="an invented museum",
        why_here="cracked since last winter",
        size=Size.FULL,
        is_invented=True,
    )
    bench, author = served.bench, served.author
    dossier_id = open_dossier(bench, author, facts)
    view = import_photograph(bench, author, dossier_id, PHOTOGRAPH, "front.jpg").subject_id
    line = Geometry(Shape.LINE, (((200.0, 200.0), (300.0, 230.0), (400.0, 220.0)),))
    crack = Mark(0, "crack", (Sighting(view, line),), note_observed="runs along the edge")
    mark = record_mark(bench, author, dossier_id, crack).subject_id
    ring = ((300.0, 300.0), (380.0, 300.0), (380.0, 360.0), (300.0, 360.0))
    lifting = Mark(0, "lifting", (Sighting(view, Geometry(Shape.AREA, (ring,))),))
    record_mark(bench, author, dossier_id, lifting)
    ends = {"end_a_px": [[200, 800]], "end_b_px": [[1200, 800]]}
    length = {"value": {"value": 100.0, "expanded": 0.1}, "kind": "measured", "origin": "typed"}
    inputs = {"method": "two_clicks", **ends, "length_mm": length}
    set_scale(bench, author, dossier_id, view, inputs, based_on="")
    around = ((100.0, 100.0), (900.0, 100.0), (900.0, 600.0), (100.0, 600.0))
    original = BodyZone(0, view, Body.ORIGINAL, (around,), 5.0, grounds_observed="grain runs on")
    zone = record_body_zone(bench, author, dossier_id, original)[0].subject_id
    gap = NotExamined("underside", "cannot be turned safely")
    record_not_examined(bench, author, dossier_id, gap)
    here = f"/dossiers/{dossier_id}"
    return {
        "list": "/",
        "who": "/who",
        "new dossier": "/dossiers/new",
        "front": here,
        "examine": f"{here}/examine",
        "object": f"{here}/object",
        "hazards": f"{here}/hazards",
        "condition": f"{here}/condition",
        "words": f"{here}/words",
        "quantities": f"{here}/quantities",
        "report": f"{here}/report",
        "report as text": f"{here}/report/text",
        "journal": f"{here}/journal",
        "view": f"{here}/views/{view}",
        "view with a mark": f"{here}/views/{view}?mark={mark}",
        "view with a zone": f"{here}/views/{view}?mark={zone}",
        "mark": f"{here}/marks/{mark}",
        "zone": f"{here}/zones/{zone}",
        "no such page": f"{here}/nothing",
    }


def test_no_page_has_a_barrier_a_broken_policy_or_an_error(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    watched = new_page(DESK)
    page = watched.page
    for name, path in dossier_with_everything(served).items():
        watched.go(served.url + path)
        if "view" in name.split():
            page.wait_for_selector("#viewer[data-ready]")
        if name.startswith("view with"):
            page.wait_for_selector("#mark-form")
        watched.is_clean(name)
        if path.startswith("/dossiers/0") and name != "no such page":
            assert "invented" in page.inner_text(".head"), name
        if name == "no such page":
            # The browser itself writes every 404 of a page on its console.
            watched.wrong.clear()


def test_what_is_asked_again_and_again_never_takes_a_button_from_under_a_hand() -> None:
    # A part that is put in place of the old one takes the keyboard, and a press half done, with it.
    texts = [path.read_text("utf-8") for path in TEMPLATES.rglob("*.html")]
    asking = [tag for text in texts for tag in re.findall(r"<[^<>]*hx-trigger=[^<]*", text)]
    again = [tag for tag in asking if re.search(r'hx-trigger="[^"]*every ', tag)]
    assert len(again) > 4
    assert [tag for tag in again if not re.search(r'hx-swap="(inner|outer)Morph"', tag)] == []
