"""House forms: every report as an editable document, and the house's table beside its database."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from dataclasses import replace
from typing import TYPE_CHECKING

import docx
import pytest

from softmend.errors import InputError
from softmend.house import opened_house
from softmend.records.house_forms import FILE_NAME
from softmend.report.one_page import Page
from softmend.report.proposal_sections import proposal_sections
from softmend.report.sections import report_sections
from softmend.report.treatment_sections import treatment_sections
from softmend.services.examine.printing import report_of
from softmend.services.hand_over.outputs import page_for, receipt_for
from softmend.services.house_forms import (
    HEADINGS,
    file_signed_copy,
    headings_table,
    page_docx,
    proposal_docx,
    read_house_forms,
    report_docx,
    treatment_docx,
)
from softmend.services.propose.proposal_content import proposal_report
from softmend.services.recording import current_records
from softmend.services.treat.treatment_content import treatment_report
from tests.services.hand_over_sample import hand_back, work

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from softmend.services.bench import Author, Bench

TABLE = """
[house]
name = "An invented house"
signs = ["Conservator"]

[condition_report]
hazards = "1. Safety first"

[treatment_proposal]
options = "B. Ways to go on"

[treatment_record]
treatment_log = "C. Diary"

[pages]
undo = "D. Undoing it"
"""


def heads(content: bytes) -> list[str]:
    document = docx.Document(io.BytesIO(content))
    return [one.text for one in document.paragraphs if one.style.name == "Heading 1"]


@pytest.mark.parametrize(
    ("made", "heading"),
    [
        (report_docx, "1. Safety first"),
        (proposal_docx, "B. Ways to go on"),
        (treatment_docx, "C. Diary"),
        (lambda bench, dossier_id: page_docx(
            bench, page_for(bench, dossier_id, Page.NEXT_CONSERVATOR)), "D. Undoing it"),
    ],
)  # fmt: skip
def test_every_report_is_editable_under_the_house_s_headings(
    bench: Bench, author: Author, dossier_id: str,
    made: Callable[[Bench, str], bytes], heading: str,
) -> None:  # fmt: skip
    hand_back(bench, author, dossier_id)
    ours = heads(made(bench, dossier_id))
    theirs = heads(made(replace(bench, forms=read_house_forms(TABLE)), dossier_id))
    assert heading not in ours
    assert heading in theirs
    assert theirs[-1] == "Signed"
    assert len(theirs) == len(ours) + ("Signed" not in ours)


def test_every_section_that_is_printed_can_be_renamed(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    hand_back(bench, author, dossier_id)
    with bench.store.reading() as reader:
        printed = {
            "condition_report": report_sections(report_of(bench, dossier_id)),
            "treatment_proposal": proposal_sections(proposal_report(reader, dossier_id)),
            "treatment_record": treatment_sections(treatment_report(reader, dossier_id)),
        }
    pages = [page_for(bench, dossier_id, page) for page in Page]
    pages.append(receipt_for(bench, dossier_id, 1))
    printed["pages"] = tuple(section for page in pages for section in page.sections)
    for report, sections in printed.items():
        assert {section.key for section in sections} <= set(HEADINGS[report]), report


def test_the_house_s_table_lies_beside_its_database_and_is_read_at_the_start(
    tmp_path: Path,
) -> None:
    place = tmp_path / "house"
    with opened_house(place) as house:
        table = headings_table(house.bench)
        assert house.bench.forms.name == ""
    (place / FILE_NAME).write_text(table.replace('name = ""', 'name = "Ours"'), encoding="utf-8")
    with opened_house(place) as house:
        assert house.bench.forms.name == "Ours"
        assert headings_table(house.bench).startswith('[house]\nname = "Ours"')
    (place / FILE_NAME).write_text("[house]\ntitle = 'x'", encoding="utf-8")
    with (
        pytest.raises(InputError, match=r"house.toml names a line of \[house\]"),
        opened_house(place),
    ):
        pass


def test_the_signed_copy_comes_back_as_a_paper_that_is_never_opened(
    bench: Bench, author: Author, dossier_id: str, tmp_path: Path
) -> None:
    hand_back(bench, author, dossier_id)
    source = tmp_path / "signed.docx"
    source.write_bytes(report_docx(bench, dossier_id) + b"edited")
    file_signed_copy(
        bench, author, dossier_id, source, "signed.docx", "condition report", "H. Head",
        "2026-03-02",
    )  # fmt: skip
    with bench.store.reading() as reader:
        ((_, paper),) = current_records(reader, dossier_id, "paper")
    assert paper.what == "signed copy: condition report"
    assert bench.store.files.path(paper.original_sha256).read_bytes() == source.read_bytes()
    with pytest.raises(InputError, match="Say what this paper is"):
        file_signed_copy(bench, author, dossier_id, source, "x", " ", "H. Head", "2026-03-02")


def test_the_editable_report_holds_the_hidden_faces_with_their_words(
    bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    work(bench, author, dossier_id, view_id)
    document = docx.Document(io.BytesIO(treatment_docx(bench, dossier_id)))
    said = "\n".join(
        cell.text for table in document.tables for row in table.rows for cell in row.cells
    )
    assert "fish glue" in said
    assert all(shape._inline.docPr.get("descr") for shape in document.inline_shapes)
