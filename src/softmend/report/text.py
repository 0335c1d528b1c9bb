"""A report as plain text, a section at a time: what "copy as text" puts on the clipboard."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable

from softmend.report.blocks import (
    Alert,
    Blanks,
    Block,
    Cell,
    Fact,
    Facts,
    Figure,
    Heading,
    Section,
    Signing,
    Table,
    Words,
)
from softmend.report.content import ConditionReport
from softmend.report.sections import report_sections

_PEN = "____"
"""What stands in text where a print has a line to write on."""


def as_text(report: ConditionReport) -> dict[str, str]:
    """Return every section as text, by its key and in the order of print."""
    return {section.key: section_text(section) for section in report_sections(report)}


def section_text(section: Section) -> str:
    """Return one section as text."""
    parts = (section.title, *(_block(block) for block in section.blocks))
    return "\n\n".join(part for part in parts if part) + "\n"


def _block(block: Block) -> str:
    if isinstance(block, Facts):
        return _facts(block.rows)
    if isinstance(block, Words):
        said = f" ({block.statement})" if block.statement else ""
        head = f"{block.heading}{said}: " if block.heading else ""
        return head + block.text
    if isinstance(block, Alert):
        status = f" – {block.status}" if block.status else ""
        return "\n".join(part for part in (f"! {block.title}{status}", _facts(block.facts)) if part)
    if isinstance(block, Table):
        return "\n".join(_row(block.columns, row) for row in block.rows)
    if isinstance(block, Figure):
        return "\n".join(part for part in (block.alternative, block.small) if part)
    if isinstance(block, Heading):
        return block.text
    if isinstance(block, Signing):
        pen = f"{block.date} {_PEN}, {block.signature} {_PEN}"
        return "\n".join(f"{row.name}: {row.answer or _PEN}, {pen}" for row in block.rows)
    if isinstance(block, Blanks):
        return _facts(Fact(row.name, row.answer or _PEN) for row in block.rows)
    return "\n".join((*(f"{item.code}: {item.name}" for item in block.items), *block.signs))


def _facts(rows: Iterable[Fact]) -> str:
    return "\n".join(f"{row.name}: {row.answer}" if row.name else row.answer for row in rows)


def _row(columns: tuple[str, ...], row: tuple[Cell, ...]) -> str:
    first, *others = (_cell(cell) for cell in row)
    named = [
        f"{name}: {words}" if name else words
        for name, words in zip(columns[1:], others, strict=True)
        if words
    ]
    # "Mark 7", but "Material: cellulose ether".
    joint = " " if first[:1].isdecimal() else ": "
    return "\n  ".join((f"{columns[0]}{joint}{first}", *named))


def _cell(cell: Cell) -> str:
    numbers = []
    for quantity in cell.quantities:
        kind = "; ".join(part for part in (quantity.kind, quantity.caution) if part)
        numbers.append(f"{quantity.name} {quantity.text}".strip() + (f" ({kind})" if kind else ""))
    return "; ".join(part for part in (cell.text, *cell.small, *numbers) if part)
