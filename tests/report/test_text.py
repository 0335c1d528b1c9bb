"""Every section as text: what "copy as text" gives."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.report.sections import report_sections
from softmend.report.text import as_text
from tests.report.sample import marks, note_report, short_report


def test_every_printed_section_has_a_text() -> None:
    report, _ = short_report()
    texts = as_text(report)
    assert list(texts) == [section.key for section in report_sections(report)]
    for section in report_sections(report):
        assert texts[section.key].startswith(section.title + "\n\n")
        assert len(texts[section.key]) > len(section.title) + 10


def test_hazards_are_the_first_text() -> None:
    report, _ = short_report()
    assert next(iter(as_text(report))) == "hazards"


def test_the_text_of_marks_has_every_number_with_unit_and_kind() -> None:
    report, _ = short_report()
    text = as_text(report)["marks"]
    assert "Mark 1 C ↔\n  What and where: crack; beam, left, 11 to 52 cm from the burr" in text
    flat = "from the photograph, flat reading"
    assert f"length 410 ± 9 mm ({flat}; at least: the beam is round)" in text
    for row in marks():
        assert all(quantity.text in text for quantity in row.quantities)


def test_a_text_keeps_what_the_print_face_lacks() -> None:
    report, _ = note_report()
    from dataclasses import replace

    deer = replace(report, dossier=replace(report.dossier, what="鹿 antler"))
    assert "What it is: 鹿 antler" in as_text(deer)["object"]


def test_unknown_answers_are_named_not_left_blank() -> None:
    report, _ = note_report()
    text = as_text(report)["examination"]
    assert "Not known: requested by; examined on; where" in text
    assert "earlier treatment (reported)" in text


def test_a_line_of_text_says_what_it_is_about_before_a_word_and_before_a_number() -> None:
    from softmend.report.blocks import Cell, Section, Table
    from softmend.report.text import section_text

    rows = ((Cell("cellulose ether"), Cell("mark 4")), (Cell("7"), Cell("")))
    table = Table(("Material", "Where"), (1, 1), rows)
    text = section_text(Section("key", "What is on it", (table,)))
    assert text == "What is on it\n\nMaterial: cellulose ether\n  Where: mark 4\nMaterial 7\n"
