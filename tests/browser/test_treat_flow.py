"""A day at the bench by touch: an entry in six taps, the last one again in one, pages unbarred."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
import time
from pathlib import Path
from typing import TYPE_CHECKING

from softmend.services.treat.day_log import log_of
from tests.browser.conftest import DESK, TABLET
from tests.report.treatment_sample import treated

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from softmend.services.treat.day_log import Logged
    from tests.browser.conftest import Served, Watched

SHOTS = Path("/tmp/shots")
SMALLEST_TARGET_PX = 44


class Taps:
    """A finger: every tap is counted, and none may miss a target large enough for a glove."""

    def __init__(self, page: Page) -> None:
        self.page, self.count = page, 0

    def on(self, selector: str) -> None:
        """Tap the one element of a selector."""
        target = self.page.locator(selector)
        target.scroll_into_view_if_needed()
        box = target.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= SMALLEST_TARGET_PX, selector
        target.tap()
        self.count += 1


def log(served: Served, dossier_id: str) -> list[Logged]:
    """Return the log as it stands."""
    with served.bench.store.reading() as reader:
        return log_of(reader, dossier_id)


def test_an_entry_takes_six_taps_and_thirty_seconds_from_the_front_page_and_one_to_repeat(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    sample = treated(served.bench, served.author)
    watched = new_page(TABLET, touch=True)
    page = watched.page
    watched.go(f"{served.url}/dossiers/{sample.dossier_id}")
    before = len(log(served, sample.dossier_id))
    taps, began = Taps(page), time.process_time()
    taps.on("main >> text=Log what was done")
    page.wait_for_url(re.compile("/treat$"))
    form = page.locator("form.entry")
    taps.on("label.touch:has([name=action][value=dry_cleaning])")
    taps.on(f"label.touch:has([name=mark_ids][value='{sample.mark_id}'])")
    taps.on(f"label.touch:has([name=moved_batch][value='{sample.batch_id}'])")
    taps.on("label.touch:has([name=minutes_chip][value='15'])")
    assert form.locator("[name=not_in_plan_because]").input_value() == "no plan is recorded yet"
    with page.expect_response(re.compile("/treat$")):
        taps.on("form.entry .sticky .button")
    watched.rest()
    # The rest of the half minute is the hand's: what the machine works must not be felt.
    assert (taps.count, time.process_time() - began < 30) == (6, True)
    entries = log(served, sample.dossier_id)
    assert len(entries) == before + 1
    one = entries[-1].action
    assert (one.action, one.minutes, one.mark_ids) == ("dry_cleaning", 15.0, (sample.mark_id,))
    assert one.moved[0].batch_id == sample.batch_id

    again = Taps(page)
    with page.expect_response(re.compile("/treat/again$")):
        again.on(".again button")
    watched.rest()
    assert again.count == 1
    assert log(served, sample.dossier_id)[-1].action.moved == one.moved


def test_the_timer_outlives_a_reload_and_a_question_comes_only_when_asked_for(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    sample = treated(served.bench, served.author)
    watched = new_page(DESK)
    page = watched.page
    address = f"{served.url}/dossiers/{sample.dossier_id}/treat"
    watched.go(address)
    page.click("[data-timer-start]")
    watched.go(address)
    page.click("[data-timer-stop]")
    assert page.input_value("[data-minutes]") == "1"
    assert not page.is_visible(".when-hides")
    assert not page.is_visible(".when-wet")
    page.check("[name=action][value=bonding]", force=True)
    assert page.is_visible(".when-hides")
    assert page.is_visible(".when-wet")
    assert page.is_visible(".when-join")
    assert not page.is_visible(".when-hidden")
    page.check("[name=hidden][value='will be hidden']", force=True)
    assert page.is_visible(".when-hidden")
    page.click("form.entry .sticky .button")
    page.wait_for_selector(".entry .notice[data-kind=RuleError]")
    # The browser itself writes every refusal on its console.
    watched.wrong.clear()


def pages(served: Served) -> dict[str, str]:
    """Return the pages of Treat, each with something to show."""
    sample = treated(served.bench, served.author)
    here = f"/dossiers/{sample.dossier_id}/treat"
    mixture = (
        "solute=resin&solute_density_g_per_ml=1.15&solvent=acetone&solvent_density_g_per_ml=0.785"
        "&written_percent=20&basis=w/v+of+solution&amount=100&wanted=solution_volume_ml"
    )
    return {
        "log": here,
        "log like": f"{here}?like={sample.action_ids[1]}",
        "entry": f"{here}/log/{sample.action_ids[2]}",
        "unsorted": f"{here}/log/{sample.action_ids[-1]}",
        "batches": f"{here}/batches",
        "batch corrected": f"{here}/batches?correct={sample.batch_id}",
        "fragments": f"{here}/fragments",
        "fragment": f"{here}/fragments/{sample.fragment_ids[1]}",
        "joins": f"{here}/joins",
        "record": f"{here}/record",
        "look-up": "/look-up?search=resin",
        "look-up of nothing": "/look-up?search=nothing",
        "calculator": f"/calculator?{mixture}",
    }


def test_no_page_of_treat_has_a_barrier_a_broken_policy_or_an_error(
    served: Served, new_page: Callable[..., Watched]
) -> None:
    watched = new_page(DESK)
    for name, path in pages(served).items():
        watched.go(served.url + path)
        watched.is_clean(f"treat {name}")
