"""A whole job through the pages: from three facts to the re-check, and no rule goes unasked."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import io
import re
import time
import zipfile
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pypdfium2

from softmend.services.hand_over.closing import closing_state
from softmend.services.treat.fragments import ledger_of
from tests.browser.conftest import DESK, TABLET
from tests.browser.test_treat_flow import Taps, log

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from tests.browser.conftest import Served, Watched

DEMO = Path(__file__).parents[2] / "src" / "softmend" / "demo"
BEFORE, RAKING, AFTER = (
    DEMO / f"antler-front-{name}.jpg" for name in ("normal", "raking", "normal-after")
)
SHOTS = Path("/tmp/whole")
MOST_TAPS = 6
MOST_SECONDS = 15 * 60
TOUCHED = {"plan_step_id": "Feed resin", "action": "Consolidation", "hidden": "Stays in sight"}
WANTED = (date.today() + timedelta(weeks=14)).isoformat()
NEXT_CHECK = (date.today() + timedelta(days=365)).isoformat()

# Places on the front photograph [px of 3000 × 1500]: read off the picture.
BAR = ((1045, 1193), (1955, 1193))
CRACK = ((700, 517), (1000, 508), (1400, 493), (1690, 484))
FILL = ((1110, 585), (1300, 548), (1610, 585), (1360, 622))
LIFTING = ((2115, 490), (2250, 478), (2415, 525), (2250, 545))

Place = tuple[float, float]


@dataclass
class Job:
    """One dossier at work: its page, its address, and the folder its prints are kept in."""

    served: Served
    watched: Watched
    base: str
    folder: Path

    @property
    def page(self) -> Page:
        """Return the browser's page."""
        return self.watched.page

    @property
    def dossier_id(self) -> str:
        """Return the id at the end of the dossier's address."""
        return self.base.rsplit("/", 1)[1]

    def go(self, place: str = "") -> None:
        """Open a page of the dossier."""
        self.page.goto(f"{self.base}/{place}" if place else self.base)

    def fill(self, **answers: str) -> None:
        """Fill fields by their names."""
        for name, answer in answers.items():
            self.page.fill(f"main [name={name}]:visible", answer)

    def choose(self, **answers: str) -> None:
        """Choose among radio buttons, or tick, by name and value."""
        for name, answer in answers.items():
            self.page.check(f'main [name={name}][value="{answer}"]')

    def record(self, button: str, within: str = "main") -> None:
        """Press the button of a form, and wait for the page that follows."""
        with self.page.expect_navigation():
            self.page.click(f'{within} button:text-is("{button}")')

    def refused(self, button: str, words: str) -> None:
        """Press a button and hear why not; nothing may be written."""
        before = self.entries()
        self.page.click(f'main button:text-is("{button}")')
        self.page.locator(".answer .notice", has_text=words).wait_for()
        assert self.entries() == before
        # The browser itself writes every refusal on its console.
        assert len(self.watched.wrong) == 1
        self.watched.wrong.clear()

    def entries(self) -> int:
        """Return how many entries the dossier holds."""
        with self.served.bench.store.reading() as reader:
            return reader.head(self.dossier_id).count

    def keep(self, link: str, name: str) -> bytes:
        """Take a file away by its link or button; return its bytes."""
        with self.page.expect_download() as download:
            self.page.click(link)
        path = self.folder / name
        download.value.save_as(path)
        return path.read_bytes()

    def shot(self, name: str) -> None:
        """Keep a picture of the page on both sizes where pictures are collected."""
        if SHOTS.is_dir():
            for size, viewport in (("desk", DESK), ("tablet", TABLET)):
                self.page.set_viewport_size(viewport)
                self.page.screenshot(path=SHOTS / f"{name}_{size}.png", full_page=True)


def open_dossier(page: Page, served: Served, size: str) -> str:
    """Open a dossier from three facts and a size; return its address."""
    page.goto(served.url)
    page.click("text=Open a new dossier")
    page.fill("[name=what]", "Giant deer antler, right beam")
    page.fill("[name=number]", "EX 1907.12")
    page.fill("[name=number_issued_by]", "an invented museum")
    page.fill("[name=why_here]", "cracked beside an old fill; wanted for a gallery")
    page.check(f"[name=size][value={size}]")
    page.check("[name=is_invented]")
    page.click("text=Open the dossier")
    page.wait_for_url(re.compile(r"/dossiers/[0-9a-f-]{36}$"))
    return page.url


def tap_on_picture(page: Page, places: tuple[Place, ...]) -> None:
    """Tap places of the picture, given in its own pixels, wherever it stands on the screen."""
    left, top, scale = page.evaluate(
        """() => {
          const m = document.querySelector("svg.overlay g.world").getScreenCTM();
          return [m.e, m.f, m.a];
        }"""
    )
    for x, y in places:
        page.touchscreen.tap(left + scale * x, top + scale * y)


def draw(job: Job, tool: str, term: str, places: tuple[Place, ...], note: str) -> None:
    """Draw a mark on the whole picture, say what it is, and record it."""
    page = job.page
    page.goto(page.url.split("?")[0])
    page.wait_for_selector("#viewer[data-ready]")
    page.click(f".tools {tool}")
    tap_on_picture(page, places)
    page.click("[data-command=done]")
    page.wait_for_selector("#mark-form")
    page.check(f"#mark-form [name=term_id][value={term}]")
    page.fill("#mark-form [name=note_observed]", note)
    with page.expect_navigation(url=re.compile(r"\?mark=")):
        page.click("#mark-form .button")
    page.wait_for_selector("#viewer[data-ready]")


def grade(job: Job, worth: str, because: str) -> None:
    """Grade the whole object, with the reason."""
    job.go("condition?place=part%3Awhole%20object")
    job.choose(grade=worth)
    job.fill(because=because)
    job.record("Record the grade")


def examine(job: Job) -> None:
    """Hazards, object, two photographs, a scale, marks, a grade, words, and what was not seen."""
    page = job.page
    job.go("hazards")
    job.record("Record all 4 as not tested")
    job.go("object")
    job.fill(owner="an invented museum", deadline_on=WANTED, intended_use="open display")
    job.fill(material_part="beam", material_material="antler, sub-fossil", material_how="by eye")
    page.select_option("[name=material_certainty]", "likely")
    job.record("Record the object")
    job.go("examine")
    page.set_input_files("[name=photograph]", [BEFORE, RAKING])
    page.locator(".view-card").nth(1).wait_for()
    job.fill(place="underside")
    job.record("Record as not examined")
    page.click(".view-card >> nth=0")
    page.wait_for_selector("#viewer[data-ready]")
    page.click(".tools [data-tool=scale-bar]")
    tap_on_picture(page, BAR)
    page.click("[data-command=done]")
    page.fill("[name=length_mm]", "200")
    job.record("Record the scale")
    page.wait_for_selector("text=Scale by two clicks on a bar")
    draw(job, "[data-tool=polyline]", "crack", CRACK, "open along its whole length")
    draw(job, "[data-tool=area][data-code='?']", "lifting", LIFTING, "moves at a breath")
    draw(job, "[data-tool=area][data-code='?']", "loss", FILL, "filled; yellowed, glossy, hard")
    assert page.locator("[data-marks] [data-mark]").count() == 3
    assert re.search(r"\d ± \d.*mm", page.inner_text("[data-marks]"))
    job.shot("examine_view")
    grade(job, "3", "the lifting patch moves at a breath")
    job.go("words")
    job.fill(
        reason="the gallery asks for it",
        examined_on="2026-03-02",
        lights_and_aids="daylight; raking light from the left; hand lens × 10",
        summary_observed="One long crack above an old fill; one patch of varnish lifts.",
        structure_inferred="The beam carries itself; across the fill it cannot move.",
        earlier_treatment_reported="Filled and varnished by an earlier owner; no record.",
        recommendation="Secure the lifting patch; leave the fill.",
        next_check_on=NEXT_CHECK,
    )
    job.record("Record the words")
    job.shot("examine_front")


def propose(job: Job) -> None:
    """Options, why, a material, a step that stops, the coating, limits, wet work, hours."""
    page = job.page
    job.go("propose/options")
    for result, risk in (("it lifts further", "loss"), ("a cover and no touch", "loss, later")):
        job.fill(result=result, risk=risk)
        job.record("Record the option")
    job.fill(name="lay the patch", result="the patch holds", risk="a darker edge")
    job.record("Record the option")
    job.choose(chosen="lay the patch")
    page.fill("[name=because]", "it is to be moved, and a breath moves the patch")
    job.record("Record the choice")
    job.go("propose/why")
    job.fill(why_act="the patch is being lost", better_conditions_alone="would not hold it")
    job.choose(aims="stabilise")
    job.record("Record")
    job.go("propose/materials")
    job.fill(generic_name="acrylic resin")
    job.choose(made="by percentage")
    job.fill(solute="acrylic resin", solvent="acetone", written_percent="5")
    job.fill(solute_density="1.15", solvent_density="0.785")
    job.refused("Record the material", "A percentage without its basis is refused")
    page.select_option("[name=basis]", "w/w")
    job.record("Record the material")
    page.wait_for_selector("text=5 g acrylic resin with 95 g acetone")
    job.go("propose/steps")
    page.select_option("[name=action_id]", "consolidation")
    job.fill(what="Feed resin under the lifting patch.", stop_rule="when it stands at the edge")
    page.check("[name=mark_numbers][value='2']")
    page.check("[name=material_numbers]")
    job.record("Record the step")
    job.go("propose/surface")
    job.choose(answer="no coating", reasons="it would trap dust")
    job.record("Record the decision")
    job.go("propose/limits")
    job.fill(limits="nothing on the fill", comes_back_when="original colour on the swab")
    job.fill(sampling_asked="none", residual_risk="the patch may darken")
    job.fill(hours_agreed_h="6", hours_over_percent="25")
    job.record("Record the limits")
    before_wet_work(job)
    estimate(job)


def before_wet_work(job: Job) -> None:
    """Answer what is owed before the first wet step; the lock opens by a named decision."""
    page = job.page
    job.go("propose/wet")
    assert "Locked for: antler" in page.inner_text("main")
    job.choose(sampling_first="no", type_figured_or_dated="no")
    job.fill(sampling_asked_of="C. Curator", type_grounds="the register, read by C. Curator")
    job.fill(no_reserve_because="the beam away from the patch stays untreated")
    job.choose(way="a person's recorded reason")
    job.fill(way_because="drops of resin in acetone under varnish only", way_by="C. Curator")
    job.record("Record the answers")
    page.wait_for_selector("text=Everything is answered.")
    job.shot("propose_wet")


def estimate(job: Job) -> None:
    """Estimate the hours from what is marked."""
    job.go("propose/hours/new")
    job.fill(typical_hours="12", basis="seen once, one patch marked")
    job.record("Record the estimate")
    job.page.wait_for_selector("text=The estimate matches what is marked.")
    job.shot("propose_hours")


def consent(job: Job) -> None:
    """Record an answer as reported; a changed point voids it, and the answer is asked for anew."""
    page = job.page
    answer_yes(job, "2026-03-03")
    job.go("propose/steps")
    with page.expect_navigation():
        page.click(".planned .list-row")
    job.fill(stop_rule="when it stands at the edge, or at the first colour on the swab")
    job.record("Record the step")
    job.go("propose/consent")
    said = page.inner_text("main")
    assert "The consent of 2026-03-03 is void: a listed point changed" in said
    assert "now “when it stands at the edge, or at the first colour on the swab”" in said
    job.shot("propose_void")
    job.go("treat")
    assert "consent" in page.inner_text("form.entry .notice").lower()
    for name in ("plan_step_id", "action", "hidden"):
        page.check(f"form.entry .touch:has-text('{TOUCHED[name]}') [name={name}]", force=True)
    job.refused("Record in the log", "consent")
    answer_yes(job, "2026-03-04")
    job.go("propose/print")
    job.keep("text=Treatment proposal, PDF", "proposal.pdf")


def answer_yes(job: Job, day: str) -> None:
    """Record a yes with limits, on a day."""
    job.go("propose/consent")
    job.choose(decision="yes with limits")
    job.fill(limits="not the fill", given_by="O. Owner", role="owner", decided_on=day)
    job.fill(no_paper_because="said at the bench")
    job.record("Record the answer")
    job.page.wait_for_selector("text=It stands for the points as they are")


def treat(job: Job) -> None:
    """A batch, an entry by touch, a fragment numbered and bagged, a photograph of the end."""
    page = job.page
    job.go("treat/batches")
    job.fill(name="resin for the patch")
    for row, (name, mass) in enumerate((("acrylic resin", "5"), ("acetone", "95"))):
        page.locator("[name=ingredient]").nth(row).fill(name)
        page.locator("[name=ingredient_mass_g]").nth(row).fill(mass)
    job.record("Record the batch")
    log_by_touch(job)
    job.go("treat/fragments")
    job.fill(found_where="tray under the lifting patch", mass_g="0.12", mass_expanded_g="0.01")
    job.record("Give it its number")
    page.locator("form[action$='/bags']").get_by_label("Belongs in").fill("with the object’s file")
    page.locator("form[action$='/bags']").get_by_label("Not placed").fill("no seat found")
    job.record("Open the bag")
    for stand, because in (("unplaced", "no seat found"), ("bagged", "kept with the file")):
        with page.expect_navigation():
            page.click(".list-row >> text=tray under the lifting patch")
        page.check(f"[name=stand][value={stand}]", force=True)
        page.locator("form.entry").get_by_label("Because").fill(because)
        job.record("Record where it stands")
        job.go("treat/fragments")
    job.shot("treat_fragments")
    with job.served.bench.store.reading() as reader:
        balance = ledger_of(reader, job.dossier_id).balance
    assert (balance.numbered, balance.bagged, balance.on_the_table) == (1, 1, 0)
    job.go("treat/record")
    job.keep("text=Treatment record, PDF", "treatment.pdf")


def log_by_touch(job: Job) -> None:
    """Log the planned step from the dossier's front page, and count the taps."""
    page = job.page
    job.go()
    taps = Taps(page)
    taps.on("main >> text=Log what was done")
    page.wait_for_url(re.compile("/treat$"))
    taps.on("label.touch:has([name=plan_step_id]):has-text('Feed resin')")
    assert page.is_checked("[name=action][value=consolidation]")
    taps.on("label.touch:has([name=moved_batch]):has-text('resin for')")
    taps.on("label.touch:has([name=minutes_chip][value='30'])")
    taps.on("label.touch:has([name=hidden][value='stays in sight'])")
    job.shot("treat_entry")
    with page.expect_navigation():
        taps.on("form.entry .sticky .button")
    assert taps.count <= MOST_TAPS
    (one,) = log(job.served, job.dossier_id)
    assert (one.action.action, one.action.minutes) == ("consolidation", 30.0)
    assert one.action.plan_step_id
    assert len(one.action.mark_ids) == 1
    assert one.action.moved[0].batch_id
    job.shot("treat_log")


def hand_back(job: Job) -> None:
    """Hear that it is too early to close; then receipts, the care sheet and every page."""
    job.go("return/closing")
    job.fill(outcome="treated as planned")
    job.refused("Close it", "what not to touch")
    job.shot("return_refused")
    for way, giver, taker in (
        ("received", "R. Registrar", "I. Invented"),
        ("handed out", "I. Invented", "R. R."),
    ):
        job.go("return/custody")
        job.choose(way=way)
        job.fill(what="the antler beam; bag 1", from_whom=giver, to_whom=taker, reason="treatment")
        job.fill(handed_on="2026-03-01", condition_observed="as the report says")
        job.record("Record")
    job.keep("text=Receipt 2, PDF", "receipt.pdf")
    care(job)
    job.go("return")
    for name in ("curator", "mount-maker", "registrar", "front-of-house", "next-conservator"):
        page_pdf = job.keep(f"main a[href$='/return/{name}.pdf']", f"{name}.pdf")
        assert page_pdf.startswith(b"%PDF-"), name
    job.go("report")
    job.keep("text=Condition report, PDF", "condition.pdf")


def care(job: Job) -> None:
    """Write the care sheet; the next check is part of it."""
    job.go("return/care")
    job.fill(
        lift_points="two hands under the beam, in its cradles",
        no_touch_zones="the laid patch and the crack",
        handling="gloves; never by the tine",
        light="50 lx, 8 h a day",
        rh_band="45 to 55 %",
        rh_band_basis="the object’s own record",
        dust="air from a rubber bulb, by a conservator",
        next_check_on=NEXT_CHECK,
        watch_for="the edge of the patch; the ends of the crack",
        whom_to_tell="the conservator on duty",
    )
    job.record("Record the care sheet")
    job.shot("return_front")


def after_the_work(job: Job) -> None:
    """A photograph of the state after, and the grade after."""
    page = job.page
    job.go("examine")
    page.set_input_files("[name=photograph]", AFTER)
    page.locator(".view-card").nth(2).wait_for()
    page.click(".view-card >> nth=2")
    page.wait_for_selector("#viewer[data-ready]")
    page.click("summary:has-text('About this view')")
    page.select_option("[name=stage]", "after treatment")
    job.record("Record", "details form[action*='/views/']:not(#scale-form)")
    grade(job, "2", "the patch lies and holds")


def close(job: Job) -> None:
    """Answer what is missing, give two copies, and close."""
    page = job.page
    job.go("return/closing")
    while page.locator(".asked").count():
        page.locator(".asked [name=because]").first.fill("not asked for this time")
        with page.expect_navigation():
            page.locator(".asked button").first.click()
    job.fill(outcome="treated as planned")
    job.refused("Close it", "Two copies in two hands are asked for")
    for number, whom in enumerate(("O. Owner", "I. Invented"), 1):
        job.fill(to_whom=whom, carried_how="on a disk")
        package = job.keep("text=Make the package and log it", f"package-{number}.zip")
        job.go("return/closing")
        assert hashlib.sha256(package).hexdigest() in page.inner_text("main")
    with zipfile.ZipFile(job.folder / "package-2.zip") as bag:
        assert bag.testzip() is None
        assert any(name.endswith("bagit.txt") for name in bag.namelist())
    job.shot("return_closing")
    job.fill(outcome="treated as planned")
    job.record("Close it")
    page.get_by_role("heading", name="Closed on").wait_for()
    with job.served.bench.store.reading() as reader:
        closed = closing_state(reader, job.dossier_id).closed
    assert closed is not None
    assert closed.copies_with == ("O. Owner", "I. Invented")
    assert closed.deposit_hash == hashlib.sha256(package).hexdigest()
    assert closed.next_check_on == NEXT_CHECK
    job.shot("return_closed")


def check_again(job: Job) -> None:
    """Open it again, examine on a later day, and see what reads otherwise."""
    page = job.page
    job.fill(because="the check of the next season")
    job.record("Open it again")
    page.get_by_text("Opened again, because the check of the next season").wait_for()
    job.go("words")
    job.fill(examined_on="2026-09-02", summary_observed="The patch lies; its edge lifts again.")
    job.record("Record the words")
    grade(job, "3", "the edge of the patch lifts again")
    job.go("since")
    said = page.inner_text("main")
    assert "Compared with the examination of 2026-03-02" in said
    assert "now “The patch lies; its edge lifts again.”" in said
    assert "now “the edge of the patch lifts again”" in said
    job.shot("since")
    job.go("report")
    job.keep("text=Condition report, PDF", "condition-again.pdf")


def test_a_whole_job_from_three_facts_to_the_check_a_season_later(
    served: Served, new_page: Callable[..., Watched], tmp_path: Path
) -> None:
    watched = new_page(TABLET, touch=True)
    folder = SHOTS if SHOTS.is_dir() else tmp_path
    job = Job(served, watched, open_dossier(watched.page, served, "full"), folder)
    examine(job)
    propose(job)
    consent(job)
    treat(job)
    hand_back(job)
    after_the_work(job)
    close(job)
    check_again(job)
    assert watched.violations() == []


def do_the_short_work(job: Job) -> None:
    """One option beside nothing, the owner's yes, one entry of the log, the photograph after."""
    page = job.page
    job.fill(
        nothing_result="the patch stays loose",
        nothing_risk="it is lost at the next move",
        what="lay the patch down with a facing",
        result="the patch lies and can travel",
        risk="the tissue hides it",
        stop_rule="stop at the first gloss",
        chosen_because="it has to travel",
    )
    page.select_option("#option [name=action_id]", "facing")
    job.choose(chosen="option")
    job.record("Record the option")
    job.choose(decision="yes")
    job.record("Record the answer")
    page.select_option("#log [name=action]", "facing")
    page.fill("#log [name=place]", "the lifting patch")
    job.fill(
        moved_material="a cellulose ether", moved_amount="0.4", minutes="20",
        result_observed="the patch lies", wet_because="a dab under the lens, agreed on the spot",
    )  # fmt: skip
    page.check('#log [name=hidden][value="stays in sight"]')
    job.record("Record in the log")
    page.set_input_files("#after [name=after]", AFTER)
    job.record("Bring it in")


def printed_text(pdf: bytes) -> str:
    """Return what a print says, in one line."""
    pages = (one.get_textpage().get_text_range() for one in pypdfium2.PdfDocument(pdf))
    return " ".join(" ".join(pages).split())


def test_a_short_job_goes_from_opening_to_the_print_to_be_signed_on_one_screen(
    served: Served, new_page: Callable[..., Watched], tmp_path: Path
) -> None:
    watched = new_page(TABLET, touch=True)
    page = watched.page
    began = time.monotonic()
    job = Job(served, watched, open_dossier(page, served, "short"), tmp_path)
    visited: set[str] = set()
    page.on("framenavigated", lambda frame: visited.add(frame.url.split("#")[0]))
    page.set_input_files("[name=photograph]", BEFORE)
    page.locator(".view-card").wait_for()
    page.fill("#not-examined [name=place]", "underside")
    job.record("Record as not examined")
    job.record("Record all 4 as not tested")
    job.fill(owner="an invented museum", material_part="beam", material_material="antler")
    job.record("Record the object")
    job.choose(grade="3")
    page.locator("form[action*=condition]").get_by_label("Because").fill("the patch moves")
    job.record("Record the grade")
    job.fill(
        examined_on="2026-03-02",
        summary_observed="One long crack; one patch of varnish lifts.",
        recommendation="Secure the patch before it is moved.",
        urgency="before any move",
    )
    job.record("Record the words")
    for asked in ("a scale on", "every damage"):
        page.click(f".asked:has-text('{asked}') summary")
        page.fill(f".asked:has-text('{asked}') [name=because]", "one photograph is enough here")
        job.record("Record", f".asked:has-text('{asked}')")
    do_the_short_work(job)
    page.get_by_text("Everything that a dossier of this size asks for is answered.").wait_for()
    job.shot("short")
    printed = printed_text(job.keep("text=Print, PDF", "short.pdf"))
    for words in (
        "Overall 3", "do nothing", "lay the patch down", "stop at the first gloss",
        "Decision (reported)", "an invented museum, owner", "facing", "the patch lies",
        "a cellulose ether", "after the work", "To be signed", "Signature",
    ):  # fmt: skip
        assert words in printed, words
    assert printed.index("Hazards and handling") < printed.index("The object")
    to_sign = job.keep("text=To be signed, DOCX", "short.docx")
    with zipfile.ZipFile(io.BytesIO(to_sign)) as document:
        assert "Signature" in document.read("word/document.xml").decode()
    assert visited == {job.base}
    assert time.monotonic() - began < MOST_SECONDS
    assert watched.axe() == []
    assert watched.violations() == []
