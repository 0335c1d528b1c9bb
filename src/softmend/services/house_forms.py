"""House forms: every report as an editable document under the house's own headings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from importlib.resources import as_file, files
from pathlib import Path

from softmend.records.entry import Entry
from softmend.records.house_forms import HouseForms, house_forms, table_text
from softmend.records.view import Paper
from softmend.report import wording
from softmend.report.content import Audience
from softmend.report.one_page import OnePage
from softmend.services.bench import Author, Bench
from softmend.services.printing import pictures_of, report_of
from softmend.services.views import attach_paper


def read_house_forms(text: str) -> HouseForms:
    """Return the house's headings from the text of its table, checked against our sections."""
    return house_forms(text, wording.SECTIONS)


def headings_table(bench: Bench) -> str:
    """Return the table of headings as it stands, whole, to be edited and saved."""
    return table_text(bench.forms, wording.SECTIONS)


def report_docx(bench: Bench, dossier_id: str, audience: Audience = Audience.BENCH) -> bytes:
    """Return the condition report as an editable document; the PDF stays the record."""
    from softmend.report.docx_report import Editable, editable_docx
    from softmend.report.sections import report_sections

    report = report_of(bench, dossier_id, audience)
    shown = Editable(report, wording.TITLE, report_sections(report))
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return editable_docx(shown, pictures_of(bench, report), bench.forms, fonts)


def page_docx(bench: Bench, page: OnePage) -> bytes:
    """Return a one-page output or a receipt as an editable document."""
    from softmend.report.docx_report import Editable, editable_docx

    shown = Editable(page.report, page.title, page.sections, page.signatures)
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return editable_docx(shown, {}, bench.forms, fonts)


def file_signed_copy(
    bench: Bench,
    author: Author,
    dossier_id: str,
    source: Path,
    name: str,
    of_what: str,
    signed_by: str,
    signed_on: str,
) -> Entry:
    """Attach the signed, edited copy of a report: a paper, kept as it is and never opened."""
    paper = Paper(
        number=0,
        original_name=name,
        original_sha256="",
        original_bytes=0,
        what=f"signed copy: {of_what.strip()}" if of_what.strip() else "",
        said_by=signed_by,
        dated_on=signed_on,
    )
    return attach_paper(bench, author, dossier_id, source, paper)
