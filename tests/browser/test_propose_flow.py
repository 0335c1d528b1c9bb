"""Propose from an empty plan to a consent that a changed point voids, on a desk and on a tablet."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from softmend.records.dossier import Certainty, Dossier, Material, ObjectHead, Size
from softmend.services.dossiers import describe_object, open_dossier
from tests.browser.conftest import DESK, rest
from tests.browser.test_flows import dossier_with_a_view

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from playwright.sync_api import Page

    from tests.browser.conftest import Served, Watched

PAGES = (
    "propose", "propose/options", "propose/why", "propose/steps", "propose/materials",
    "propose/fills", "propose/removals", "propose/surface", "propose/limits", "propose/consent",
    "propose/secure", "propose/wet", "propose/print", "law", "since",
)  # fmt: skip


def record(page: Page, button: str) -> None:
    """Press the button of a form and wait for the page that follows."""
    with page.expect_navigation():
        page.click(f"button:has-text('{button}')")
    rest(page)


def test_every_page_of_propose_is_accessible_and_fits(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id, _view_id = dossier_with_a_view(served)
    watched = new_page(DESK, touch=True)
    for page in PAGES:
        watched.go(f"{served.url}/dossiers/{dossier_id}/{page}")
        watched.is_clean(page.replace("/", " "))


def answer_options(page: Page) -> None:
    """Say what comes of each option, add a fuller one, and choose it."""
    page.click(".groups a:has-text('What and why')")
    page.click(".within a[aria-current=page]:has-text('Options')")
    for result in ("it stays as it is", "a support and a cover"):
        page.fill("[name=result]", result)
        page.fill("[name=risk]", "the crack gathers dust")
        record(page, "Record the option")
    page.fill("[name=name]", "fill the crack")
    page.fill("[name=result]", "calm to look at")
    page.fill("[name=risk]", "loss at the edge")
    record(page, "Record the option")
    page.check("[name=chosen][value='fill the crack']")
    page.fill("[name=because]", "it is to be shown")
    record(page, "Record the choice")


def name_a_material(watched: Watched) -> None:
    """Write a percentage, be asked of what, and see the masses."""
    page = watched.page
    page.fill("[name=generic_name]", "acrylic resin")
    page.check("[name=made][value='by percentage']")
    page.fill("[name=solvent]", "acetone")
    page.fill("[name=written_percent]", "20")
    page.fill("[name=solute_density]", "1.15")
    page.fill("[name=solvent_density]", "0.785")
    page.click("button:has-text('Record the material')")
    page.wait_for_selector("text=A percentage without its basis is refused")
    # The refusal is an answer in the page, which the browser's console calls an error.
    watched.wrong.clear()
    page.select_option("[name=basis]", "w/w")
    record(page, "Record the material")
    page.wait_for_selector("text=20 g acrylic resin with 80 g acetone")


def record_the_answer(page: Page) -> None:
    """Record a yes with limits, as it was said."""
    page.check("[name=decision][value='yes with limits']")
    page.fill("[name=limits]", "not the tip")
    page.fill("[name=given_by]", "O. Owner")
    page.fill("[name=role]", "owner")
    page.fill("[name=decided_on]", "2026-03-03")
    page.fill("[name=no_paper_because]", "said at the bench")
    record(page, "Record the answer")
    page.wait_for_selector("text=It stands for the points as they are")


def test_from_nothing_to_a_consent_that_a_changed_point_voids(
    served: Served, new_page: Callable[..., Watched], tmp_path: Path
) -> None:
    facts = Dossier("an invented beam", "EX 1", "an invented museum", "cracked", Size.FULL, True)
    dossier_id = open_dossier(served.bench, served.author, facts)
    beam = ObjectHead("beam", materials=(Material("beam", "antler", "seen", Certainty.CERTAIN),))
    describe_object(served.bench, served.author, dossier_id, beam, "")
    watched = new_page(DESK)
    page = watched.page
    base = f"{served.url}/dossiers/{dossier_id}/propose"

    watched.go(base)
    answer_options(page)
    watched.go(f"{base}/materials")
    name_a_material(watched)
    watched.go(f"{base}/steps")
    page.select_option("[name=action_id]", "consolidation")
    page.fill("[name=what]", "Drop resin into the crack.")
    page.fill("[name=stop_rule]", "when it stands in the crack")
    page.check("[name=material_numbers]")
    record(page, "Record the step")

    watched.go(f"{base}/surface")
    page.check("[name=answer][value='no coating']")
    page.check("[name=reasons][value='it would trap dust']")
    record(page, "Record the decision")

    watched.go(f"{base}/consent")
    record_the_answer(page)
    watched.go(f"{base}/print")
    with page.expect_download() as download:
        page.click("text=Treatment proposal, PDF")
    printed = tmp_path / "proposal.pdf"
    download.value.save_as(printed)
    assert printed.read_bytes().startswith(b"%PDF-")

    watched.go(f"{base}/steps")
    page.click(".planned .list-row")
    rest(page)
    page.fill("[name=stop_rule]", "never")
    record(page, "Record the step")
    watched.go(f"{base}/consent")
    said = page.inner_text("main")
    assert "is void: a listed point changed" in said
    assert re.search(r"Step 1, stop rule was “when it stands in the crack”, now “never”", said)
