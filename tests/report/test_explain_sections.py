"""Fills against the object in the proposal: from kept runs, with bands, drawing and caution."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from dataclasses import replace
from typing import TYPE_CHECKING

import docx
import pytest

from softmend.pictures.section import SectionDrawing, section_svg
from softmend.records.house_forms import HouseForms
from softmend.report.content import Quantity, Working, WorkingValue
from softmend.report.docx_report import Editable, editable_docx
from softmend.report.explain_design import FillDesign
from softmend.report.explain_sections import explain_sections
from softmend.report.proposal_pdf import proposal_text, treatment_proposal_pdf
from softmend.report.proposal_sections import proposal_sections
from tests.report.reading import failures, text_of
from tests.report.test_proposal import PROFILES, sample

if TYPE_CHECKING:
    from pathlib import Path

NEW = FillDesign(
    mark_number=1,
    place="beam, front",
    is_in=False,
    fill="pulp + cellulose ether",
    first="If anything gives: very likely its bond first.",
    object_first="below 1 % on average; middle and band below 1 %",
    walls="0.9 (0.2 to 4.8)",
    tip="0.13 (0.01 to 0.98)",
    open_tip="0.7 (0.1 to 3.2)",
    reached="0.31 (0.09 to 0.80) MPa",
    reached_in_the_hand="like 25 (7 to 66) kg pulling on each 10 cm of crack",
    pull="2.1 (0.6 to 6.2) MPa",
    in_the_hand="like 170 (50 to 510) kg pulling on each 10 cm of crack",
    tip_words="No fill takes the place of steady humidity.",
    movement="the movement is modelled",
    size="depth 8.1 (5.4 to 11.7) mm (gauge)",
    layers="3 layers of at most 3 mm, each about 2 d to dry (estimated)",
    volume="0.69 (0.46 to 1.00) mL to fill; 1.19 (0.73 to 2.22) mL laid",
    mix="0.21 g dry: mix about 0.18 g of dry pulp with 0.77 g of dispersion",
    comes_off="water",
    hazards="",
    cannot_know=("This is a model of one straight crack in an even material.",),
    stale_because="",
    drawing=section_svg(SectionDrawing(8.0, 0.9, 33.0, "pulp")),
    drawing_size=(420.0, 372.0),
    drawing_words="Section to scale: a crack 8 mm deep.",
)
OLD = replace(NEW, is_in=True, fill="hard resin", first="If anything gives: likely the object.")
WORKING = Working(
    "joint.first_to_give", "Mark 1, pulp", "springs along the depth", "softmend-mechanics-joint",
    (WorkingValue("toughness of the object", "0.8 (0.3 to 1.6) MPa m^0.5", "estimated",
                  "this bench's own"),),
    (Quantity("object first", "below 1 %"),), ("No score.",),
)  # fmt: skip


def with_designs():
    return replace(sample(), designs=(OLD, NEW), workings=(WORKING,))


@pytest.fixture(scope="module")
def printed(fonts: Path) -> bytes:
    return treatment_proposal_pdf(with_designs(), fonts)


@pytest.mark.parametrize("profile", PROFILES)
def test_a_proposal_with_fill_designs_stays_archival_and_accessible(
    printed: bytes, profile
) -> None:
    assert failures(printed, profile) == []


def test_each_design_is_printed_with_its_bands_the_hand_and_the_caution(printed: bytes) -> None:
    words = " ".join(text_of(printed).split())
    for wanted in (NEW.fill, OLD.fill, NEW.walls, NEW.open_tip, NEW.layers, NEW.mix,
                   "170 (50 to 510) kg", "No fill takes the place of steady humidity",
                   "Left open, a crack is spared the pull", "one straight crack in an even",
                   "this bench's own", "estimated"):  # fmt: skip
        assert wanted in words, wanted


def test_what_reaches_the_walls_leads_and_what_it_would_be_if_it_held_follows() -> None:
    said = proposal_text(with_designs())["fill_designs"]
    assert said.index(f"{NEW.reached} of pull reach the walls") < said.index(
        f"if it held: {NEW.pull}"
    )
    (section, *_rest) = explain_sections((replace(NEW, reached=""),), ())
    (table,) = [block for block in section.blocks if block.type == "table"]
    assert table.rows[0][2].text == f"pull on the walls if it held: {NEW.pull}, {NEW.in_the_hand}"


def test_consent_is_still_the_last_page(printed: bytes) -> None:
    keys = [one.key for one in proposal_sections(with_designs())]
    assert keys[-1] == "consent"
    assert keys.index("fill_designs") < keys.index("coating") < keys.index("workings")


def test_text_and_the_editable_document_say_the_same(fonts: Path) -> None:
    said = proposal_text(with_designs())
    assert NEW.volume in said["fill_designs"]
    assert NEW.drawing_words in said["fill_designs"]
    assert "toughness of the object" in said["workings"]
    report = with_designs()
    shown = Editable(report.about, "treatment_proposal", "Proposal", proposal_sections(report))
    made = docx.Document(io.BytesIO(editable_docx(shown, {}, HouseForms(), fonts)))
    cells = [cell.text for table in made.tables for row in table.rows for cell in row.cells]
    # Spaces that must not break are spaces to a reader.
    told = " ".join(" ".join(cells).replace("\u2060", "").split())
    assert NEW.in_the_hand in told
    assert NEW.walls in told
    assert len(made.inline_shapes) >= 1


def test_a_run_that_no_longer_holds_says_so_first() -> None:
    stale = replace(NEW, stale_because="stale, because mark 1 changed on 2026-03-02")
    (section, *_rest) = explain_sections((stale,), ())
    kinds = [block.type for block in section.blocks]
    assert kinds.index("alert") < kinds.index("table")


def test_without_a_kept_run_nothing_is_printed() -> None:
    assert explain_sections((), ()) == ()
    assert "fill_designs" not in [one.key for one in proposal_sections(sample())]
