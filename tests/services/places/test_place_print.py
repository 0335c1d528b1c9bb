"""What prints say of a place: the plan of care, and nothing that tells which room or case it is."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.records.light import LightLine, LightPart, LightPlan
from softmend.records.proposal import Coat, Coating
from softmend.report.one_page import Page
from softmend.report.proposal_sections import proposal_sections
from softmend.report.text import section_text
from softmend.services.hand_over.closing import write_care
from softmend.services.hand_over.coat import decide_coating
from softmend.services.hand_over.light import keep_light, plan_light
from softmend.services.hand_over.outputs import page_as_text, page_for, print_page
from softmend.services.hand_over.place import keep_place
from softmend.services.house_forms import page_docx
from softmend.services.propose.proposal_content import proposal_report
from tests.services.hand_over_sample import CARE

PLAN = LightPlan((LightLine("lamps", 50, 8, 300, 20),), (LightPart("undyed bone or antler"),))


@pytest.fixture
def kept(bench, author, cased) -> str:
    keep_place(bench, author, cased)
    plan_light(bench, author, cased, PLAN, "")
    keep_light(bench, author, cased)
    decide_coating(bench, author, cased, Coating(Coat.NONE, ("it would trap dust",)), "", "")
    write_care(bench, author, cased, CARE, "")
    return cased


def text(bench, dossier_id: str, page: Page) -> str:
    return page_as_text(page_for(bench, dossier_id, page))


def test_the_care_sheet_carries_band_basis_checks_triggers_gel_and_light(bench, kept) -> None:
    said = text(bench, kept, Page.CARE)
    assert "−10.0 to +10.0 %RH around the season's level" in said
    assert "It rests on: the room's record, 546 days, coverage 100.0 %" in said
    assert "day 1, 7 and 30 after it was placed, at 3 and 6 months, then every year" in said
    assert "Look at once: humidity below 40 or above 65 %RH, each ± 3 by the sensor" in said
    assert "half the allowed drift is used" in said
    assert "By CIE 157 the plan spends 20 % of 600 000 lx h a year." in said
    assert "366 days of humidity" in said
    assert "Buffer steadies; it does not lift." in said
    assert "it never permits. Whoever keeps the object decides" in said


def test_only_the_registrar_reads_values_of_the_case(bench, kept) -> None:
    for page in Page:
        said = text(bench, kept, page)
        assert "long gallery" not in said
        assert "case by the stairs" not in said
        assert "2026-01-10" not in said
        assert ("1.2 m³, 4.8 kg of buffer" in said) == (page is Page.REGISTRAR)


def test_the_next_conservator_reads_what_a_coating_would_do(bench, kept) -> None:
    said = text(bench, kept, Page.NEXT_CONSERVATOR)
    assert "In a case with buffer a coating adds nothing worth having." in said
    assert "no coating, because it would trap dust" in said
    assert "in a case with buffer, coated" in said


def test_pdf_and_editable_document_are_the_same_each_time(bench, kept) -> None:
    page = page_for(bench, kept, Page.CARE)
    assert print_page(page) == print_page(page_for(bench, kept, Page.CARE))
    assert page_docx(bench, page).startswith(b"PK")


def test_nothing_kept_leaves_the_care_sheet_as_it_was(bench, author, cased) -> None:
    write_care(bench, author, cased, CARE, "")
    assert "Air, light and when to look" not in text(bench, cased, Page.CARE)


def test_the_proposal_prints_the_decision_with_the_four_ways_and_its_reasons(
    bench, author, kept
) -> None:
    with bench.store.reading() as reader:
        report = proposal_report(reader, kept)
    said = "\n".join(section_text(one) for one in proposal_sections(report))
    assert "no coating" in said
    assert "it would trap dust" in said
    for words in ("a day", "a week", "a month", "a year", "in a case with buffer, coated",
                  "In a case with buffer a coating adds nothing worth having.",
                  "a real one is thin, cracked and one-sided"):  # fmt: skip
        assert words in said, words
    assert "long gallery" not in said
    assert "case by the stairs" not in said
    work = next(one for one in report.workings if one.computation == "coating.worth")
    assert work.results[0].name == "open, the surface over a day"
    assert {one.kind for one in work.values} <= {"measured", "recalled", "estimated"}
    assert work.formula in said
    assert "The case's own values stand in the registrar's print" in said
    assert "4.8 kg" not in said
