"""The treatment record as archival, accessible PDF and as text, from the same sections."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from softmend.records.payload import as_plain
from softmend.report import treatment_wording as wording
from softmend.report.glyphs import printable
from softmend.report.pdf import Files, face_in, head_data, lay_out_block, typeset, warning
from softmend.report.text import section_text
from softmend.report.treatment_report import TreatmentReport
from softmend.report.treatment_sections import treatment_sections


def treatment_record_pdf(
    report: TreatmentReport, pictures: Mapping[str, bytes], fonts: Path
) -> bytes:
    """Return the record as PDF/A-3a and PDF/UA-1; the same record gives the same bytes.

    `pictures` holds the hidden faces' JPEG or PNG bytes by the names that the report uses.
    """
    lacking: set[str] = set()
    face = face_in(fonts)
    about = report.about
    assets: Files = {"dossier.json": about.attached_json}
    sections = as_plain(treatment_sections(report))
    for section in sections:
        for block in section["blocks"]:
            lay_out_block(block, pictures, assets, face, lacking)
    data = printable(head_data(about, wording.TITLE), face.characters, lacking)
    data["sections"] = printable(sections, face.characters, lacking)
    if lacking:
        data["sections"][-1]["blocks"].insert(0, warning(lacking))
    return typeset("report.typ", data, assets, face, about.provenance.newest_at)


def treatment_text(report: TreatmentReport) -> dict[str, str]:
    """Return every section as text, by its key and in the order of print."""
    return {section.key: section_text(section) for section in treatment_sections(report)}
