"""The treatment proposal as archival, accessible PDF, in the same type as every print."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path

from softmend.records.payload import as_plain
from softmend.report import proposal_wording as wording
from softmend.report.glyphs import printable
from softmend.report.pdf import Files, face_in, head_data, lay_out_block, typeset, warning
from softmend.report.proposal_report import ProposalReport
from softmend.report.proposal_sections import proposal_sections
from softmend.report.text import section_text


def treatment_proposal_pdf(report: ProposalReport, fonts: Path) -> bytes:
    """Return the proposal as PDF/A-3a and PDF/UA-1; the same proposal gives the same bytes."""
    lacking: set[str] = set()
    face = face_in(fonts)
    about = report.about
    data = printable(head_data(about, wording.TITLE), face.characters, lacking)
    assets: Files = {"dossier.json": about.attached_json}
    sections = as_plain(proposal_sections(report))
    for section in sections:
        for block in section["blocks"]:
            lay_out_block(block, {}, assets, face, lacking)
    data["sections"] = printable(sections, face.characters, lacking)
    if lacking:
        data["sections"][0]["blocks"].append(warning(lacking))
    return typeset("report.typ", data, assets, face, about.provenance.newest_at)


def proposal_text(report: ProposalReport) -> dict[str, str]:
    """Return every section as text, by its key and in the order of print."""
    return {section.key: section_text(section) for section in proposal_sections(report)}
