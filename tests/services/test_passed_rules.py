"""Rules passed by a named person stand in every report: as PDF, as a document and as text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import docx
import pytest

from softmend.records.passing import PASSABLE, RULES, Passed
from softmend.services.examine.printing import print_report, report_as_text
from softmend.services.house_forms import proposal_docx, report_docx, treatment_docx
from softmend.services.passing import pass_rule
from softmend.services.propose.proposal_content import print_proposal, proposal_as_text
from softmend.services.treat.treatment_content import print_treatment, treatment_as_text
from tests.report.reading import text_of

if TYPE_CHECKING:
    from softmend.services.bench import Author, Bench

TITLE = "Rules passed by a named person"
POINTS = "3f2a1b0c9d8e7f60" * 4


def words_of(document: bytes) -> str:
    """Return everything that an editable document says, its tables too."""
    read = docx.Document(io.BytesIO(document))
    cells = [cell.text for table in read.tables for row in table.rows for cell in row.cells]
    return " ".join([*(one.text for one in read.paragraphs), *cells])


def test_every_passable_rule_has_the_words_that_are_printed_beside_its_pass() -> None:
    assert set(RULES) == PASSABLE


@pytest.mark.parametrize(
    ("as_pdf", "as_document", "as_text"),
    [
        (print_report, report_docx, report_as_text),
        (print_proposal, proposal_docx, proposal_as_text),
        (print_treatment, treatment_docx, treatment_as_text),
    ],
    ids=["condition report", "treatment proposal", "treatment record"],
)
def test_a_report_lists_every_passed_rule_with_person_reason_and_date(
    bench: Bench, author: Author, dossier_id: str, as_pdf, as_document, as_text
) -> None:
    assert "passed" not in as_text(bench, dossier_id)
    assert TITLE not in text_of(as_pdf(bench, dossier_id))
    for rule, about in ((19, "closing 1"), (2, POINTS)):
        passed = Passed(rule, about, f"a reason for rule {rule}", f"H. Head of {rule}")
        entry = pass_rule(bench, author, dossier_id, passed)
    day = entry.at[:10]
    for said in (
        as_text(bench, dossier_id)["passed"],
        text_of(as_pdf(bench, dossier_id)),
        words_of(as_document(bench, dossier_id)),
    ):
        assert TITLE in said
        for rule in (19, 2):
            for words in (f"a reason for rule {rule}", f"H. Head of {rule}", RULES[rule], day):
                assert words in said
        assert "closing 1" in said
        assert f"the listed points {POINTS[:16]}" in said
        assert said.index("closing 1") < said.index(f"the listed points {POINTS[:16]}")
