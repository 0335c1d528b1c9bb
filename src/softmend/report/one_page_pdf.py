"""One-page outputs and receipts as archival, accessible PDF, and as text to be copied."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path
from typing import Any

from softmend.records.payload import as_plain
from softmend.report import one_page_wording as said
from softmend.report.glyphs import printable
from softmend.report.one_page import OnePage
from softmend.report.pdf import Files, face_in, head_data, lay_out_block, typeset, warning
from softmend.report.text import section_text


def one_page_pdf(page: OnePage, fonts: Path) -> bytes:
    """Return a page as PDF/A-3a and PDF/UA-1; type grows smaller before anything is left out.

    What does not fit on one sheet in the smallest type goes on to a second: nothing is cut.
    """
    face = face_in(fonts)
    lacking: set[str] = set()
    assets: Files = {}
    sections = as_plain(page.sections)
    for section in sections:
        for block in section["blocks"]:
            lay_out_block(block, {}, assets, face, lacking)
    data: dict[str, Any] = {
        **head_data(page.report, page.title),
        "kind": page.title,
        "sections": sections,
        "signatures": as_plain(page.signatures),
        "sign": said.SIGN,
    }
    data = printable(data, face.characters, lacking)
    if lacking:
        data["sections"][0]["blocks"].append(warning(lacking))
    return typeset("one_page.typ", data, assets, face, page.report.provenance.newest_at)


def one_page_text(page: OnePage) -> str:
    """Return a page as text, to be copied into a letter."""
    number = f"{page.report.dossier.number} ({page.report.dossier.number_issued_by})"
    head = f"{page.title}\n{number}\n"
    signed = "".join(f"{one.role}: {one.name}, date, signature: ____\n" for one in page.signatures)
    return (
        "\n".join([head, *(section_text(section) for section in page.sections), signed]).rstrip(
            "\n"
        )
        + "\n"
    )
