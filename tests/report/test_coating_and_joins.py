"""Coatings and joins in the proposal: from kept runs, drawn, with bands, caution and workings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from dataclasses import replace
from typing import TYPE_CHECKING

import docx
import pytest

from softmend import catalogue
from softmend.pictures.join_drawing import HEIGHT, WIDTH, JoinDrawing, StrengthBand, join_svg
from softmend.pictures.join_drawing import join_words as words_of_join
from softmend.pictures.layers import DrawnLayer, PlaneBands, layers_size, layers_svg, layers_words
from softmend.pictures.layers_patterns import pattern_svg, pattern_words
from softmend.records.house_forms import HouseForms
from softmend.report.coating_section import coating_sections
from softmend.report.coating_shown import CoatingShown, PatternShown
from softmend.report.content import Quantity, Working, WorkingValue
from softmend.report.docx_report import Editable, editable_docx
from softmend.report.holding_section import holding_sections
from softmend.report.holding_shown import JoinShown
from softmend.report.proposal_pdf import proposal_text, treatment_proposal_pdf
from softmend.report.proposal_sections import proposal_sections
from softmend.science.film.energy import Pattern
from tests.report.reading import failures, text_of
from tests.report.test_proposal import PROFILES, sample

if TYPE_CHECKING:
    from pathlib import Path

LAYERS = (DrawnLayer("coating", 150, "150 µm"), DrawnLayer("body", None, "antler"))
PLANES = (
    PlaneBands("between coating and body", (0.8, 5, 30), (1, 5, 20), "as likely as not", True),
    PlaneBands("inside the body", (0.4, 2, 12), (10, 60, 300), "almost certainly not", False),
)
WORK = Working(
    "film.explain", "mark 3: lifting", catalogue.entry("film.explain").formula, "hutchinson1992",
    (WorkingValue("coating: thickness", "150 (60 to 300) µm", "estimated", "typed"),),
    (Quantity("safe thickness", "60 (10 to 470) µm"),), ("A model of one even coating.",),
)  # fmt: skip
COATING = CoatingShown(
    name="mark 3: lifting",
    what="cellulose nitrate",
    sentences=("The tension of the coating is enough to lift something: likely.",
               "It pulls like 19 kg (8.6 to 39) on each 10 cm of its edge."),
    reasons=(),
    facts=(("Safe thickness", "60 (10 to 470) µm"),),
    drawing=layers_svg(LAYERS, PLANES),
    drawing_size=layers_size(PLANES),
    drawing_words=layers_words(LAYERS, PLANES),
    patterns=tuple(
        PatternShown(one.value, pattern_svg(one), pattern_words(one), "0.5", "5 (1 to 25) J/m²",
                     "", "what it asks for is not known", False)
        for one in Pattern
    ),
    work=WORK,
)  # fmt: skip
DRAWN = JoinDrawing(
    100, 30, 25, "420 g", "100 mm",
    (StrengthBand("The weight asks for", (0.6, 1.4, 8.4), "1.4 (0.6 to 8.4) MPa", True),
     StrengthBand("The bond has", (0.5, 1.2, 3.0), "1.2 (0.5 to 3) MPa")),
)  # fmt: skip
JOIN = JoinShown(
    name="J1",
    what="beam + fragment 1, made",
    adhesive="acrylic copolymer",
    sentences=("The joint holds its piece for years: rather not, weakly.",),
    reasons=(),
    facts=(("Load over what lasts (at 1 it gives)", "1.2 (0.3 to 9.0)"),),
    drawing=join_svg(DRAWN),
    drawing_size=(WIDTH, HEIGHT),
    drawing_words=words_of_join(DRAWN),
    work=replace(WORK, computation="join.holds", about="join J1"),
)


def explained():
    return replace(sample(), coatings=(COATING,), joins=(JOIN,), workings=(WORK, JOIN.work))


@pytest.fixture(scope="module")
def printed(fonts: Path) -> bytes:
    return treatment_proposal_pdf(explained(), fonts)


@pytest.mark.parametrize("profile", PROFILES)
def test_it_stays_archival_and_accessible(printed: bytes, profile) -> None:
    assert failures(printed, profile) == []


def test_words_bands_and_cautions_are_printed(printed: bytes) -> None:
    words = " ".join(text_of(printed).split())
    for wanted in (
        "Why the coating lifts", COATING.sentences[0], "19 kg (8.6 to 39)", "60 (10 to 470) µm",
        "Whether the joins hold", JOIN.sentences[0], "1.2 (0.3 to 9.0)", "Not a lifting calculat",
        "one straight peeling edge", "film.explain", "estimated", "not known",
    ):  # fmt: skip
        assert wanted in words, wanted


def test_they_stand_before_the_workings_and_consent_is_last() -> None:
    keys = [one.key for one in proposal_sections(explained())]
    assert keys.index("coating_explained") < keys.index("joins_held") < keys.index("workings")
    assert keys[-1] == "consent"


def test_text_and_the_editable_document_say_the_same(fonts: Path) -> None:
    said = proposal_text(explained())
    assert COATING.drawing_words in said["coating_explained"]
    assert JOIN.drawing_words in said["joins_held"]
    assert "coating: thickness" in said["workings"]
    report = explained()
    shown = Editable(report.about, "treatment_proposal", "Proposal", proposal_sections(report))
    made = docx.Document(io.BytesIO(editable_docx(shown, {}, HouseForms(), fonts)))
    told = " ".join(one.text for one in made.paragraphs).replace("\u2060", "")
    assert "enough to lift something: likely" in " ".join(told.split())
    assert len(made.inline_shapes) >= 2


def test_a_run_that_no_longer_holds_says_so_first() -> None:
    stale = "stale, because what is said of the coating changed on 2026-03-02"
    (coating,) = coating_sections((replace(COATING, stale_because=stale),))
    (join,) = holding_sections((replace(JOIN, stale_because=stale),))
    assert coating.blocks[1].type == join.blocks[1].type == "alert"


def test_without_a_kept_run_nothing_is_printed() -> None:
    keys = [one.key for one in proposal_sections(sample())]
    assert not {"coating_explained", "joins_held"} & set(keys)
