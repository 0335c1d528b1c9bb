"""The editable report: real headings, tables and described pictures under the house's headings.

It says what the archival PDF says. The PDF stays the record; an edited and signed copy comes back
as a paper of the dossier.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from softmend.records.house_forms import HouseForms
from softmend.records.unbroken import unbroken
from softmend.report import docx_wording as said
from softmend.report import wording
from softmend.report.blocks import (
    Alert,
    Blanks,
    Cell,
    Fact,
    Facts,
    Figure,
    Heading,
    Legend,
    Section,
    Signing,
    Table,
    Words,
)
from softmend.report.content import ConditionReport
from softmend.report.docx_figures import figure_picture, swatch_picture
from softmend.report.docx_parts import (
    add_facts,
    add_grid,
    add_page_number,
    describe,
    set_language,
    shade,
    style_document,
)
from softmend.report.one_page import Signature
from softmend.report.pdf import printed_at

if TYPE_CHECKING:
    from docx.document import Document

_SWATCH_MM = 12.0
# XML cannot hold these; the archival PDF and the dossier keep what was typed.
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
_SAME_DAY = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True)
class Editable:
    """What one editable document holds: its kind in words, its sections, who signs.

    `form` names the report in the house's table of headings.
    """

    report: ConditionReport
    form: str
    kind: str
    sections: tuple[Section, ...]
    signatures: tuple[Signature, ...] = ()


def editable_docx(
    shown: Editable, pictures: Mapping[str, bytes], forms: HouseForms, fonts: Path
) -> bytes:
    """Return the document as DOCX; the same report and headings give the same bytes."""
    import docx

    document = docx.Document()
    style_document(document)
    set_language(document, "en-GB")
    _head(document, shown, forms)
    writer = _Writer(document, pictures, fonts)
    for section in shown.sections:
        document.add_heading(clean(forms.heading(shown.form, section.key, section.title)), level=1)
        for block in section.blocks:
            writer.write(block)
    _signatures(document, shown, forms)
    _foot(document, shown)
    return _same_every_time(document)


def clean(text: str) -> str:
    """Return text as a document can hold it: a sign that XML forbids becomes a box.

    A number stays on one line with its ± and its unit.
    """
    return unbroken(_NOT_XML.sub("□", text))


def _head(document: Document, shown: Editable, forms: HouseForms) -> None:
    report = shown.report
    title = report.object_head.title if report.object_head else report.dossier.what
    at = printed_at(report.provenance.newest_at).replace(tzinfo=None)
    about = document.core_properties
    about.title = clean(f"{shown.kind}: {title}, {report.dossier.number}")[:255]
    about.author = clean(report.examined_by)[:255]
    about.keywords = clean(report.dossier.number)[:255]
    about.subject, about.comments, about.language = clean(shown.kind)[:255], "", "en-GB"
    about.created = about.modified = at
    about.last_modified_by, about.revision = "", 1
    document.add_paragraph(clean(title), style="Title")
    place = f"{report.dossier.number} · {report.dossier.number_issued_by}"
    by = f"{forms.name} · " if forms.name else ""
    document.add_paragraph(clean(f"{by}{shown.kind} · {place}"), style="Subtitle")
    if report.dossier.is_invented:
        document.add_paragraph(wording.INVENTED).runs[0].bold = True
    document.add_paragraph(said.EDITABLE)


def _signatures(document: Document, shown: Editable, forms: HouseForms) -> None:
    roles = [(one.role, one.name) for one in shown.signatures]
    roles = roles or [(role, "") for role in forms.signs]
    if not roles:
        return
    document.add_heading(clean(forms.heading(shown.form, "signed", said.SIGNED)), level=1)
    rows = [(Cell(role, is_strong=True), Cell(name), Cell(), Cell()) for role, name in roles]
    add_grid(document, said.SIGN_COLUMNS, (4, 5, 3, 5), rows, clean)


def _foot(document: Document, shown: Editable) -> None:
    made = shown.report.provenance
    invented = f"{wording.INVENTED_SHORT} · " if shown.report.dossier.is_invented else ""
    words = f"{invented}{made.entry_count} entries, {wording.HEAD} {made.head_hash[:16]} · "
    paragraph = document.sections[0].footer.paragraphs[0]
    paragraph.add_run(clean(f"{words}{wording.PAGE} "))
    add_page_number(paragraph)


class _Writer:
    """Writes one block after the other into a document."""

    def __init__(self, document: Document, pictures: Mapping[str, bytes], fonts: Path) -> None:
        self._document, self._pictures, self._fonts = document, pictures, fonts
        self._ways: dict[type, Callable[[Any], None]] = {
            Facts: self._facts,
            Blanks: self._blanks,
            Signing: self._signing,
            Words: self._words,
            Alert: self._alert,
            Table: self._table,
            Figure: self._figure,
            Legend: self._legend,
            Heading: self._heading,
        }

    def write(self, block: object) -> None:
        """Write one block in the way of its kind."""
        self._ways[type(block)](block)

    def _facts(self, block: Facts) -> None:
        add_facts(self._document, block.rows, clean)

    def _blanks(self, block: Blanks) -> None:
        # An empty answer gets a second line, so that a pen has room.
        rows = [Fact(row.name, row.answer or "\n") for row in block.rows]
        add_facts(self._document, rows, clean)

    def _signing(self, block: Signing) -> None:
        rows = [(Cell(row.name), Cell(row.answer or "\n"), Cell(), Cell()) for row in block.rows]
        add_grid(self._document, said.SIGN_COLUMNS, (4, 5, 3, 5), rows, clean)

    def _words(self, block: Words) -> None:
        paragraph = self._document.add_paragraph()
        if block.heading:
            paragraph.add_run(clean(block.heading)).bold = True
            statement = f" ({block.statement})" if block.statement else ""
            paragraph.add_run(f"{statement}: ").italic = bool(statement)
        paragraph.add_run(clean(block.text))

    def _alert(self, block: Alert) -> None:
        status = f": {block.status}" if block.status else ""
        paragraph = self._document.add_paragraph()
        paragraph.add_run(clean(f"{said.CAUTION} {block.title}{status}")).bold = True
        shade(paragraph)
        if block.facts:
            add_facts(self._document, block.facts, clean)

    def _table(self, block: Table) -> None:
        add_grid(self._document, block.columns, block.widths, block.rows, clean)

    def _figure(self, block: Figure) -> None:
        from docx.shared import Mm

        made = figure_picture(block, self._pictures.get(block.picture, b""), self._fonts)
        shape = self._document.add_picture(io.BytesIO(made), width=Mm(block.width_mm))
        describe(shape, clean(block.alternative), clean(block.caption))
        caption = self._document.add_paragraph(style="Caption")
        caption.add_run(clean(block.caption)).bold = True
        caption.add_run(clean(f"\n{block.small}" if block.small else ""))

    def _legend(self, block: Legend) -> None:
        from docx.shared import Mm

        rows = [(Cell(), Cell(item.code, is_strong=True), Cell(item.name)) for item in block.items]
        grid = add_grid(self._document, said.LEGEND_COLUMNS, (2, 2, 8), rows, clean)
        for item, row in zip(block.items, list(grid.rows)[1:], strict=True):
            run = row.cells[0].paragraphs[0].add_run()
            swatch = swatch_picture(item.swatch, _SWATCH_MM, self._fonts)
            shape = run.add_picture(io.BytesIO(swatch), width=Mm(_SWATCH_MM))
            describe(shape, clean(f"{item.code} {item.name}"), clean(item.code))
        self._document.add_paragraph(clean("   ".join(block.signs)))

    def _heading(self, block: Heading) -> None:
        self._document.add_heading(clean(block.text), level=2)


def _same_every_time(document: Document) -> bytes:
    """Return the file with one fixed hour in its zip: the same content is the same bytes."""
    written = io.BytesIO()
    document.save(written)
    kept = io.BytesIO()
    with zipfile.ZipFile(written) as before, zipfile.ZipFile(kept, "w") as after:
        for part in before.infolist():
            line = zipfile.ZipInfo(part.filename, _SAME_DAY)
            line.compress_type = zipfile.ZIP_DEFLATED
            after.writestr(line, before.read(part.filename))
    return kept.getvalue()
