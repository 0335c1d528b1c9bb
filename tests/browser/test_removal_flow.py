"""Old work off in gloves: from an empty shelf to a stop, a decision, and the air over the work."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

from softmend.records.dossier import Certainty, Hazard, Material, ObjectHead
from softmend.records.proposal import PlanRemoval
from softmend.services.dossiers import describe_object, opened, record_hazard
from softmend.services.propose.proposals import record_removal
from softmend.services.propose.spot_tests import grids_in, spot_tests_in
from softmend.services.recording import current_records
from tests.browser.conftest import TABLET
from tests.browser.test_flows import dossier_with_a_view

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from tests.browser.conftest import Served, Watched


def dossier_of_antler(served: Served) -> str:
    """Return a dossier of antler with a view and one removal; residues are asked about."""
    dossier_id, _view = dossier_with_a_view(served)
    made = Material("beam", "antler", "seen", Certainty.CERTAIN)
    with served.bench.store.reading() as reader:
        standing = current_records(reader, dossier_id, "object_head")
        title = opened(reader, dossier_id).title
    based_on = standing[0][0].id if standing else ""
    head = ObjectHead(title, materials=(made,))
    describe_object(served.bench, served.author, dossier_id, head, based_on=based_on)
    record_hazard(served.bench, served.author, dossier_id, Hazard("pesticide residues"))
    removal = PlanRemoval(0, "old varnish", "it lifts", carries="nothing", kept_where="not kept")
    record_removal(served.bench, served.author, dossier_id, removal)
    return dossier_id


def sent(page: Page, button: str) -> None:
    """Press a button and wait for the page that follows."""
    with page.expect_navigation():
        page.get_by_role("button", name=button, exact=True).first.click()


def test_from_the_first_question_to_a_stop_and_a_decision_by_touch(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    dossier_id = dossier_of_antler(served)
    base = f"{served.url}/dossiers/{dossier_id}/propose"
    watched = new_page(TABLET, touch=True)
    page = watched.page

    watched.go(f"{base}/air")
    for name, text in (("solvent", "acetone"), ("used_ml_per_h", "5"), ("work_minutes", "60"),
                       ("room_volume_m3", "50"), ("air_changes_per_h", "3"), ("gloves", "butyl"),
                       ("ignition", "none near"), ("waste", "closed bin")):  # fmt: skip
        page.locator(f"[name={name}]").first.fill(text)
    sent(page, "Record and reckon")
    page.wait_for_selector("text=HIGHLY FLAMMABLE")
    watched.is_clean("removal air")

    watched.go(f"{base}/spots")
    page.wait_for_selector("[data-answer=spots]")
    page.locator(".place-picture svg").click(position={"x": 60, "y": 60})
    assert float(page.locator("[name=left_px]").input_value()) > 0
    page.locator("[name=patch_mm]").fill("")
    page.locator("[name=patch_px]").fill("20")
    sent(page, "Lay the grid")
    with served.bench.store.reading() as reader:
        assert len(grids_in(reader, dossier_id)) == 1

    page.locator("[data-fill=acetone]").tap()
    page.locator("label", has_text="softens").first.tap()
    page.locator("label", has_text="blanch").first.tap()
    page.locator("[name=stop_because]").fill("it whitened")
    page.locator("[name=wet_because]").fill("agreed with the curator")
    sent(page, "Record the test")
    page.wait_for_selector("text=Stop: test 1 showed blanch on the object")
    page.wait_for_selector("text=No next swab")
    watched.is_clean("removal stop")
    page.locator("label", has_text="Go on, on other patches").tap()
    page.locator("[name=decided_by]").fill("P. Person")
    page.locator("[name=because]").first.fill("an old stain")
    sent(page, "Record the decision")
    page.wait_for_selector("[data-answer=spots]")
    with served.bench.store.reading() as reader:
        assert len(spot_tests_in(reader, dossier_id)) == 1
    assert page.locator("text=Stop: test 1").count() == 0

    watched.go(f"{base}/off")
    page.wait_for_selector("[data-answer=off]", timeout=60_000)
    watched.is_clean("removal what takes it off")
    for part, name in (("solvents", "removal solvents"), ("removing/1", "removal way")):
        watched.go(f"{base}/{part}")
        watched.is_clean(name)
