"""A tint in print: recipe, lamps, where it is seen, how found again; in PDF, DOCX and text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from dataclasses import replace

import docx

from softmend.records.house_forms import HouseForms
from softmend.report.content import Quantity, Working, WorkingValue
from softmend.report.docx_report import Editable, editable_docx
from softmend.report.proposal_pdf import proposal_text, treatment_proposal_pdf
from softmend.report.proposal_sections import proposal_sections
from softmend.report.tint_section import KEY, TITLE, tint_sections
from softmend.report.tint_shown import TintShown
from softmend.report.treatment_report import TreatmentReport
from softmend.report.treatment_sections import treatment_sections
from tests.report.reading import text_of
from tests.report.test_proposal import sample

WORK = Working(
    "tint.recipe", "Mark 7, loss", "every set of up to four paints", "kubelka1948",
    (WorkingValue("thickness", "60 µm", "measured", "typed"),), (Quantity("sets", "31"),),
)  # fmt: skip
TINT = TintShown(
    title="Mark 7, loss",
    way="by readings",
    lines=("black: 12 drops of 1:10 stock", "white: 0.06 g of white as it comes"),
    cup="Mix about 5 g: binder 0.99 g, 2.04 g of water.",
    facts=(
        ("The tone, as drawn", "SZ1, 40 ± 4 mm²"),
        ("Found again by", "a hatch of 0.8 mm"),
        ("Lamps", "gallery 2, north window"),
        ("Expected of the first coat", "about 1.4, up to 2.8 CIEDE2000"),
    ),
    sight=(("From 1.8 m, visitor", "it may be seen"), ("From 25 cm, bench", "it may be missed")),
    strips=("Under gallery 2: 30 % thinner, 3.6 CIEDE2000 from the object.",),
    drawdown=("The drawdown is darker than wanted by 1.9 CIEDE2000 under D65.",),
    cautions=("The binder was taken to be clear.",),
    works=(WORK,),
)
SAID = (
    "black: 12 drops of 1:10 stock", "Mix about 5 g", "a hatch of 0.8 mm", "gallery 2",
    "it may be missed", "30 % thinner", "darker than wanted by 1.9", "about 1.4, up to 2.8",
    "does not draw the eye",
)  # fmt: skip


def test_nothing_is_printed_where_no_recipe_is_kept() -> None:
    assert tint_sections(()) == ()
    assert KEY not in {one.key for one in proposal_sections(sample())}


def test_text_says_recipe_lamps_sight_and_how_the_tone_is_found_again() -> None:
    told = proposal_text(replace(sample(), tints=(TINT,), workings=TINT.works))
    for words in SAID:
        assert words in told[KEY], words
    assert "31" in told["workings"]
    assert "tint.recipe" in told["workings"]


def test_a_stale_recipe_says_so_first() -> None:
    stale = replace(TINT, stale_because="the paint changed on 2026-03-02")
    told = proposal_text(replace(sample(), tints=(stale,)))
    assert "the paint changed on 2026-03-02" in told[KEY]


def test_the_pdf_and_the_editable_document_say_the_same(fonts) -> None:
    report = replace(sample(), tints=(TINT,), workings=TINT.works)
    printed = " ".join(text_of(treatment_proposal_pdf(report, fonts)).split())
    shown = Editable(report.about, "treatment_proposal", "Proposal", proposal_sections(report))
    made = docx.Document(io.BytesIO(editable_docx(shown, {}, HouseForms(), fonts)))
    cells = [cell.text for table in made.tables for row in table.rows for cell in row.cells]
    # No-break spaces keep a number and its unit together on the page.
    words = " ".join(" ".join([*(one.text for one in made.paragraphs), *cells]).split())
    for one in (TITLE, "Mark 7, loss", "black: 12 drops", "a hatch of 0.8 mm", "it may be seen"):
        assert one in printed, one
        assert one in words, one


def test_the_treatment_record_carries_it_too() -> None:
    report = TreatmentReport(about=sample().about, tints=(TINT,))
    assert KEY in {one.key for one in treatment_sections(report)}
