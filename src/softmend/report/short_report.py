"""The short job on paper: condition, the option beside nothing, consent, log, photograph after."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from softmend.records.payload import as_plain
from softmend.report.blocks import Section
from softmend.report.content import ConditionReport
from softmend.report.glyphs import printable
from softmend.report.pdf import Files, face_in, head_data, lay_out_block, typeset, warning
from softmend.report.proposal_report import ProposalReport
from softmend.report.proposal_sections import proposal_sections
from softmend.report.sections import SIGNED_KEY, report_sections
from softmend.report.treatment_report import TreatmentReport
from softmend.report.treatment_sections import treatment_sections

TITLE = "Short report"
"""What the print and the editable document are called."""
FROM_PROPOSAL = ("options", "steps", "consent")
FROM_TREATMENT = (
    "treatment_log",
    "treatment_departures",
    "treatment_materials",
    "treatment_removed",
    "treatment_hidden",
    "treatment_incidents",
)
_LAST = (SIGNED_KEY, "images", "workings", "print")


def short_sections(
    condition: ConditionReport, proposal: ProposalReport, treatment: TreatmentReport
) -> tuple[Section, ...]:
    """Return the sections of the three reports that a short job needs, each once, hazards first."""
    examined = report_sections(condition)
    proposed = {section.key: section for section in proposal_sections(proposal)}
    done = [one for one in treatment_sections(treatment) if one.key in FROM_TREATMENT]
    logged = done if treatment.log else done[:1]
    return (
        *(one for one in examined if one.key not in _LAST),
        *(proposed[key] for key in FROM_PROPOSAL if key != "consent"),
        *logged,
        proposed["consent"],
        *(one for one in examined if one.key in _LAST),
    )


def short_report_pdf(
    condition: ConditionReport,
    proposal: ProposalReport,
    treatment: TreatmentReport,
    pictures: Mapping[str, bytes],
    fonts: Path,
) -> bytes:
    """Return the whole short job as PDF/A-3a and PDF/UA-1; the same job gives the same bytes."""
    lacking: set[str] = set()
    face = face_in(fonts)
    assets: Files = {"dossier.json": condition.attached_json}
    sections = as_plain(short_sections(condition, proposal, treatment))
    for section in sections:
        for block in section["blocks"]:
            lay_out_block(block, pictures, assets, face, lacking)
    data = printable(head_data(condition, TITLE), face.characters, lacking)
    data["sections"] = printable(sections, face.characters, lacking)
    if lacking:
        data["sections"][-1]["blocks"].insert(0, warning(lacking))
    return typeset("report.typ", data, assets, face, condition.provenance.newest_at)
