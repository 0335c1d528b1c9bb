"""Parts of an editable document that the library has no verb for: described, headed, shaded."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from softmend.report.blocks import Cell, Fact
from softmend.report.docx_wording import FACT_COLUMNS

if TYPE_CHECKING:
    from docx.document import Document
    from docx.shape import InlineShape
    from docx.table import Table as Grid
    from docx.table import _Cell
    from docx.text.paragraph import Paragraph

Clean = Callable[[str], str]

_FACE, _TEXT_PT, _SMALL_PT = "Source Sans 3", 10, 8
_WIDE_MM = 170.0
_SOFT, _ACCENT = "F6E3D8", "B4491A"


def style_document(document: Document) -> None:
    """Give a document the house's sheet: A4, quiet type, headings that are headings."""
    from docx.shared import Mm, Pt, RGBColor

    page = document.sections[0]
    page.page_width, page.page_height = Mm(210), Mm(297)
    page.left_margin = page.right_margin = Mm(20)
    page.top_margin = page.bottom_margin = Mm(22)
    styles = document.styles
    styles["Normal"].font.name, styles["Normal"].font.size = _FACE, Pt(_TEXT_PT)
    for name, size in (("Title", 22), ("Subtitle", 11), ("Heading 1", 14), ("Heading 2", 11),
                       ("Caption", 9)):  # fmt: skip
        font = styles[name].font
        font.name, font.size, font.color.rgb = _FACE, Pt(size), RGBColor(0x1B, 0x20, 0x23)
        _one_face(styles[name])


def set_language(document: Document, language: str) -> None:
    """Say in which language the document is written."""
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn

    properties = document.styles["Normal"].element.get_or_add_rPr()
    spoken = OxmlElement("w:lang")
    spoken.set(qn("w:val"), language)
    properties.append(spoken)


def add_facts(document: Document, rows: Iterable[Fact], clean: Clean) -> Grid:
    """Add names and their answers as a table of two columns with a head."""
    cells = [(Cell(row.name), Cell(row.answer)) for row in rows]
    return add_grid(document, FACT_COLUMNS, (4, 9), cells, clean)


def add_grid(
    document: Document,
    columns: Sequence[str],
    widths: Sequence[float],
    rows: Iterable[Sequence[Cell]],
    clean: Clean,
) -> Grid:
    """Add a table whose head repeats on every page and whose rows stay whole."""
    from docx.shared import Mm

    made: Grid = document.add_table(rows=1, cols=len(columns), style="Table Grid")
    grid: Any = made  # its way of adding a row has no types
    grid.autofit = False
    for cell, name in zip(grid.rows[0].cells, columns, strict=True):
        cell.paragraphs[0].add_run(clean(name)).bold = True
    _mark_row(grid.rows[0], "w:tblHeader")
    for row in rows:
        added = grid.add_row()
        _mark_row(added, "w:cantSplit")
        for place, said in zip(added.cells, row, strict=True):
            _fill(place, said, clean)
    for column, share in zip(grid.columns, widths, strict=True):
        for place in column.cells:
            place.width = Mm(_WIDE_MM * share / sum(widths))
    document.add_paragraph()
    return made


def describe(shape: InlineShape, words: str, title: str) -> None:
    """Give a picture the words that stand for it."""
    properties = shape._inline.docPr
    properties.set("descr", words)
    properties.set("title", title)


def shade(paragraph: Paragraph) -> None:
    """Set a paragraph on the warm ground of a caution, with a bar at its left."""
    properties = paragraph._p.get_or_add_pPr()
    properties.append(_element("w:pBdr", {}, _element("w:left", {
        "w:val": "single", "w:sz": "24", "w:space": "6", "w:color": _ACCENT})))  # fmt: skip
    properties.append(_element("w:shd", {"w:val": "clear", "w:color": "auto", "w:fill": _SOFT}))


def add_page_number(paragraph: Paragraph) -> None:
    """Add the number of the page, counted by whoever opens the document."""
    run = paragraph.add_run()
    for kind in ("begin", "", "end"):
        if kind:
            part = _element("w:fldChar", {"w:fldCharType": kind})
        else:
            part = _element("w:instrText", {"xml:space": "preserve"})
            part.text = "PAGE"
        run._r.append(part)


def _fill(place: _Cell, cell: Cell, clean: Clean) -> None:
    from docx.shared import Pt

    paragraph = place.paragraphs[0]
    paragraph.add_run(clean(cell.text)).bold = cell.is_strong
    small = [line for line in cell.small if line]
    for quantity in cell.quantities:
        words = f"{quantity.name} {quantity.text}".strip()
        place.add_paragraph(clean(words)) if paragraph.text else paragraph.add_run(clean(words))
        small += [part for part in (quantity.kind, quantity.caution) if part]
    for line in dict.fromkeys(small):
        place.add_paragraph().add_run(clean(line)).font.size = Pt(_SMALL_PT)


def _mark_row(row: Any, name: str) -> None:
    row._tr.get_or_add_trPr().append(_element(name, {"w:val": "true"}))


def _one_face(style: Any) -> None:
    """Let a heading have our face in every script, not the theme's."""
    from docx.oxml.ns import qn

    fonts = style.element.get_or_add_rPr().get_or_add_rFonts()
    for name in list(fonts.attrib):
        if "heme" in name:
            del fonts.attrib[name]
    for script in ("w:ascii", "w:hAnsi", "w:cs"):
        fonts.set(qn(script), _FACE)


def _element(name: str, values: dict[str, str], *inside: Any) -> Any:
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn

    made: Any = OxmlElement(name)
    for key, value in values.items():
        made.set(qn(key), value)
    for part in inside:
        made.append(part)
    return made
