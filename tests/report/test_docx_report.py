"""The editable report, read back with the library that others read it with."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from pathlib import Path

import docx
import numpy as np
import pytest
from docx.document import Document
from docx.oxml.ns import qn
from PIL import Image

from softmend.errors import InputError
from softmend.records.house_forms import HouseForms, house_forms, table_text
from softmend.records.unbroken import unbroken
from softmend.report import wording
from softmend.report.blocks import Figure, Table
from softmend.report.docx_report import Editable, editable_docx
from softmend.report.one_page import Signature
from softmend.report.sections import report_sections
from tests.report.sample import short_report

FORMS = HouseForms(
    "An invented house",
    {"condition_report": {"hazards": "1 Safety first", "marks": "5 Damage"}},
    ("Conservator", "Head"),
)
OURS = {"condition_report": wording.SECTIONS, "pages": {"care": "Care"}}


@pytest.fixture(scope="module")
def written(fonts: Path) -> bytes:
    report, pictures = short_report()
    shown = Editable(report, "condition_report", wording.TITLE, report_sections(report))
    return editable_docx(shown, pictures, FORMS, fonts)


@pytest.fixture(scope="module")
def read(written: bytes) -> Document:
    return docx.Document(io.BytesIO(written))


def headings(document: Document, level: int) -> list[str]:
    style = f"Heading {level}"
    return [one.text for one in document.paragraphs if one.style.name == style]


def whole_text(document: Document) -> str:
    cells = [cell.text for table in document.tables for row in table.rows for cell in row.cells]
    return "\n".join([*(one.text for one in document.paragraphs), *cells])


def test_the_headings_are_real_in_the_order_of_the_pdf_and_the_house_s_own(read: Document) -> None:
    report, _ = short_report()
    ours = [section.title for section in report_sections(report)]
    theirs = ["1 Safety first" if one == "Hazards and handling" else one for one in ours]
    theirs = ["5 Damage" if one == "Marks" else one for one in theirs]
    assert headings(read, 1) == [*theirs, "Signed"]
    assert "Legend" in headings(read, 2)
    assert read.paragraphs[0].style.name == "Title"


def test_every_table_of_the_report_is_a_table_whose_head_repeats(read: Document) -> None:
    report, _ = short_report()
    wanted = [
        [name for name in block.columns]
        for section in report_sections(report)
        for block in section.blocks
        if isinstance(block, Table)
    ]
    found = [[cell.text for cell in table.rows[0].cells] for table in read.tables]
    for columns in wanted:
        assert columns in found
    for table in read.tables:
        first = table.rows[0]._tr.trPr
        assert first is not None
        assert first.find(qn("w:tblHeader")) is not None
        assert all(row._tr.trPr.find(qn("w:cantSplit")) is not None for row in table.rows[1:])


def test_every_picture_has_the_words_that_stand_for_it(read: Document) -> None:
    report, _ = short_report()
    wanted = {
        unbroken(block.alternative)
        for section in report_sections(report)
        for block in section.blocks
        if isinstance(block, Figure)
    }
    said = [shape._inline.docPr.get("descr") for shape in read.inline_shapes]
    assert all(said)
    assert wanted <= set(said)
    assert "C crack" in said


def test_a_photograph_and_its_marks_are_one_picture(written: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(written)) as parts:
        photographs = [name for name in parts.namelist() if name.endswith(".jpg")]
        pixels = np.asarray(Image.open(io.BytesIO(parts.read(photographs[0]))).convert("RGB"))
    assert pixels.shape[1] > 1000
    # The vermilion of cracks is on it, and the photograph's own dark mat beneath.
    orange = np.abs(pixels.astype(int) - (0xD5, 0x5E, 0x00)).sum(axis=2) < 60
    assert orange.sum() > 200
    assert (pixels.sum(axis=2) < 200).mean() > 0.1


def test_what_the_pdf_says_the_document_says(read: Document) -> None:
    said = whole_text(read)
    for words in (
        "Dirt at the walls; the edges are sharp near the tip.",
        unbroken("410 ± 9 mm"),
        wording.INVENTED,
    ):
        assert words in said
    hidden = [text for text in ("PAGE",) if text in said]
    assert hidden == []
    assert "An invented house" in said
    assert "Conservator" in said


def test_the_document_says_its_title_language_and_time(read: Document) -> None:
    about = read.core_properties
    assert about.title.startswith("Condition report: ")
    assert about.language == "en-GB"
    assert about.created.isoformat() == "2026-03-02T09:15:30+00:00"


def test_the_same_report_gives_the_same_bytes(written: bytes, fonts: Path) -> None:
    report, pictures = short_report()
    shown = Editable(report, "condition_report", wording.TITLE, report_sections(report))
    assert editable_docx(shown, pictures, FORMS, fonts) == written


def test_signs_that_no_document_can_hold_become_a_box(fonts: Path) -> None:
    report, _ = short_report()
    odd = replace(
        report, dossier=replace(report.dossier, what="a\x00b\x0bc\ud7ff"), object_head=None
    )
    made = editable_docx(
        Editable(odd, "condition_report", wording.TITLE, report_sections(odd)[:2]),
        {},
        HouseForms(),
        fonts,
    )
    assert "a□b□c" in whole_text(docx.Document(io.BytesIO(made)))


def test_parties_of_a_receipt_sign_in_a_table(fonts: Path) -> None:
    report, _ = short_report()
    shown = Editable(report, "pages", "Receipt 1", (), (Signature("Taken by", "A. Conservator"),))
    document = docx.Document(io.BytesIO(editable_docx(shown, {}, FORMS, fonts)))
    (table,) = document.tables
    assert [cell.text for cell in table.rows[1].cells] == ["Taken by", "A. Conservator", "", ""]


def test_the_house_s_table_is_read_and_written_back() -> None:
    again = house_forms(table_text(FORMS, OURS), OURS)
    assert again.name == FORMS.name
    assert again.signs == FORMS.signs
    assert again.heading("condition_report", "hazards", "x") == "1 Safety first"
    assert again.heading("condition_report", "object", "x") == wording.SECTIONS["object"]
    assert again.heading("treatment_record", "hazards", "ours") == "ours"
    odd = HouseForms('A "house" \\ ', {"pages": {"care": 'x "y" \\'}})
    read_back = house_forms(table_text(odd, OURS), OURS)
    assert read_back.name == odd.name
    assert read_back.heading("pages", "care", "") == 'x "y" \\'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            "[condition_report]\nhazard = 'x'",
            r"a section of \[condition_report\] that there is not",
        ),
        ("[house]\ncolour = 'x'", r"names a line of \[house\] that there is not; got colour"),
        ("[report]\nhazards = 'x'", "names a table that there is not; got report"),
        ("[condition_report]\nhazards = 3", "Everything in house.toml is text"),
        ("[house]\nsigns = 'x'", "Everything in house.toml is text"),
        ("pages = 3", r"has a line where a section of \[pages\] belongs"),
        ("[pages\n", "house.toml cannot be read"),
    ],
)
def test_a_mistake_in_the_house_s_table_is_named(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        house_forms(text, OURS)
