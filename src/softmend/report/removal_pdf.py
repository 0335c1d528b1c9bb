"""The record of spot tests and the bench card as archival, accessible PDF."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from softmend.records.payload import as_plain
from softmend.report import removal_wording as said
from softmend.report.blocks import Section
from softmend.report.glyphs import printable
from softmend.report.one_page_pdf import one_page_pdf
from softmend.report.pdf import Files, face_in, head_data, lay_out_block, typeset, warning
from softmend.report.removal_sections import bench_card, record_of_tests_sections
from softmend.report.removal_shown import RemovalPrint


def record_of_tests_pdf(told: RemovalPrint, pictures: Mapping[str, bytes], fonts: Path) -> bytes:
    """Return the record of spot tests as PDF/A-3a and PDF/UA-1; the same record, the same bytes."""
    return _printed(told, said.RECORD_TITLE, record_of_tests_sections(told), pictures, fonts)


def bench_card_pdf(told: RemovalPrint, fonts: Path) -> bytes:
    """Return the bench card as PDF/A-3a and PDF/UA-1; the same card gives the same bytes."""
    return one_page_pdf(bench_card(told), fonts)


def _printed(
    told: RemovalPrint,
    title: str,
    sections: Sequence[Section],
    pictures: Mapping[str, bytes],
    fonts: Path,
) -> bytes:
    lacking: set[str] = set()
    face = face_in(fonts)
    data = printable(head_data(told.about, title), face.characters, lacking)
    assets: Files = {"dossier.json": told.about.attached_json}
    plain = as_plain(tuple(sections))
    for section in plain:
        for block in section["blocks"]:
            lay_out_block(block, pictures, assets, face, lacking)
    data["sections"] = printable(plain, face.characters, lacking)
    if lacking:
        data["sections"][0]["blocks"].append(warning(lacking))
    return typeset("report.typ", data, assets, face, told.about.provenance.newest_at)
