"""House forms: every report as an editable document under the house's own headings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from importlib.resources import as_file, files
from pathlib import Path

from softmend.records.entry import Entry
from softmend.records.house_forms import Headings, HouseForms, house_forms, table_text
from softmend.records.view import Paper
from softmend.report import (
    explained_section,
    law_section,
    one_page_wording,
    passed_section,
    proposal_wording,
    short_report,
    tint_section,
    treatment_wording,
    wording,
)
from softmend.report.content import Audience
from softmend.report.one_page import OnePage
from softmend.services.bench import Author, Bench
from softmend.services.examine.printing import pictures_of, report_of
from softmend.services.examine.views import attach_paper
from softmend.services.propose.proposal_content import proposal_report
from softmend.services.short_job import short_job_reports
from softmend.services.treat.seats_printed import treatment_pictures, with_seats
from softmend.services.treat.treatment_content import treatment_report

_FIRST = {"hazards": wording.SECTIONS["hazards"], "law": law_section.TITLE}
_PASSED = {passed_section.KEY: passed_section.TITLE}
_TREATMENT = {f"treatment_{key}": words for key, words in treatment_wording.SECTIONS.items()}
_TINT = {tint_section.KEY: tint_section.TITLE}
_LAST = {"print": wording.SECTIONS["print"]}

HEADINGS: Headings = {
    "condition_report": {
        **_FIRST,
        **wording.SECTIONS,
        explained_section.KEY: explained_section.TITLE,
        **_PASSED,
    },
    "treatment_proposal": {
        **_FIRST,
        "object": wording.SECTIONS["object"],
        **proposal_wording.SECTIONS,
        **_TINT,
        **_PASSED,
        **_LAST,
    },
    "treatment_record": {
        **_FIRST,
        **_TREATMENT,
        **_TINT,
        **_PASSED,
        **_LAST,
    },
    "short_report": {
        **_FIRST,
        **wording.SECTIONS,
        explained_section.KEY: explained_section.TITLE,
        **_PASSED,
        **{key: proposal_wording.SECTIONS[key] for key in short_report.FROM_PROPOSAL},
        **{key: _TREATMENT[key] for key in short_report.FROM_TREATMENT},
    },
    "pages": {"hazards": wording.SECTIONS["hazards"], **one_page_wording.SECTIONS},
}
"""Every report that has an editable document, with our own headings."""


def read_house_forms(text: str) -> HouseForms:
    """Return the house's headings from the text of its table, checked against our sections."""
    return house_forms(text, HEADINGS)


def headings_table(bench: Bench) -> str:
    """Return the table of headings as it stands, whole, to be edited and saved."""
    return table_text(bench.forms, HEADINGS)


def report_docx(bench: Bench, dossier_id: str, audience: Audience = Audience.BENCH) -> bytes:
    """Return the condition report as an editable document; the PDF stays the record."""
    from softmend.report.docx_report import Editable, editable_docx
    from softmend.report.one_page import Signature
    from softmend.report.sections import SIGNED_KEY, report_sections

    report = report_of(bench, dossier_id, audience)
    # A house that names nobody to sign still gets a line for whoever examined.
    signs = () if bench.forms.signs else (Signature(wording.EXAMINER, report.examined_by),)
    sections = tuple(one for one in report_sections(report) if one.key != SIGNED_KEY)
    shown = Editable(report, "condition_report", wording.TITLE, sections, signs)
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return editable_docx(shown, pictures_of(bench, report), bench.forms, fonts)


def short_docx(bench: Bench, dossier_id: str) -> bytes:
    """Return the whole short job as an editable document, as its archival PDF has it."""
    from softmend.report.docx_report import Editable, editable_docx
    from softmend.report.one_page import Signature
    from softmend.report.sections import SIGNED_KEY

    report, proposal, treatment, pictures = short_job_reports(bench, dossier_id)
    whole = short_report.short_sections(report, proposal, treatment)
    signs = () if bench.forms.signs else (Signature(wording.EXAMINER, report.examined_by),)
    sections = tuple(one for one in whole if one.key != SIGNED_KEY)
    shown = Editable(report, "short_report", short_report.TITLE, sections, signs)
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return editable_docx(shown, pictures, bench.forms, fonts)


def proposal_docx(bench: Bench, dossier_id: str) -> bytes:
    """Return the treatment proposal as an editable document."""
    from softmend.report.docx_report import Editable, editable_docx
    from softmend.report.proposal_sections import proposal_sections

    with bench.store.reading() as reader:
        report = proposal_report(reader, dossier_id)
    kind = proposal_wording.TITLE
    shown = Editable(report.about, "treatment_proposal", kind, proposal_sections(report))
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return editable_docx(shown, {}, bench.forms, fonts)


def treatment_docx(bench: Bench, dossier_id: str) -> bytes:
    """Return the treatment record as an editable document, its hidden faces with it."""
    from softmend.report.docx_report import Editable, editable_docx
    from softmend.report.treatment_sections import treatment_sections

    with bench.store.reading() as reader:
        report = treatment_report(reader, dossier_id)
    report = with_seats(bench, dossier_id, report)
    pictures = treatment_pictures(bench, dossier_id, report)
    kind = treatment_wording.TITLE
    shown = Editable(report.about, "treatment_record", kind, treatment_sections(report))
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return editable_docx(shown, pictures, bench.forms, fonts)


def page_docx(bench: Bench, page: OnePage) -> bytes:
    """Return a one-page output or a receipt as an editable document."""
    from softmend.report.docx_report import Editable, editable_docx

    shown = Editable(page.report, "pages", page.title, page.sections, page.signatures)
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
