"""The crack map: one view with its marks, legend and table on one page that prints in grey."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from softmend.errors import NotFoundError
from softmend.pictures.crack_map import crack_map_svg
from softmend.pictures.legend import legend, used_entries
from softmend.records.payload import as_plain
from softmend.report import wording
from softmend.report.blocks import Alert, Cell, Figure, Table
from softmend.report.content import ConditionReport, MarkRow, ReportView
from softmend.report.glyphs import printable
from softmend.report.mark_sections import mark_label, mark_place
from softmend.report.object_sections import hazard_line
from softmend.report.pdf import Files, face_in, head_data, lay_out_block, typeset, warning
from softmend.report.view_sections import (
    POINTS_PER_MM,
    TEXT_WIDTH_MM,
    caption,
    legend_block,
    paper_size,
)

_TALLEST_MM = 112.0


def crack_map_pdf(
    report: ConditionReport, view_number: int, pictures: Mapping[str, bytes], fonts: Path
) -> bytes:
    """Return one page for one view: hazards in a line, the map, its legend, its marks in a table.

    Rows that do not fit are left to the condition report, and the page says how many.
    """
    shown = _view(report, view_number)
    rows = [row for row in report.marks if view_number in row.seen_on]
    face = face_in(fonts)
    lacking: set[str] = set()
    assets: Files = {}
    blocks = {
        "figure": as_plain(_figure(shown)),
        "legend": as_plain(legend_block(used_entries(shown.drawings, legend()))),
    }
    for block in blocks.values():
        lay_out_block(block, pictures, assets, face, lacking)
    data: dict[str, Any] = {
        **head_data(report, wording.CRACK_MAP),
        **blocks,
        "hazards": [as_plain(Alert(hazard_line(report)))],
        "table": as_plain(_table(rows)),
        "more": wording.MORE_ROWS,
        "none": "" if rows or shown.drawings else wording.NOTHING_MARKED,
    }
    data = printable(data, face.characters, lacking)
    if lacking:
        data["hazards"].append(warning(lacking))
    return typeset("crack_map.typ", data, assets, face, report.provenance.newest_at)


def _view(report: ConditionReport, number: int) -> ReportView:
    for shown in report.views:
        if shown.view.number == number:
            return shown
    numbers = ", ".join(str(shown.view.number) for shown in report.views)
    raise NotFoundError("There is no view of that number", value=number, allowed=numbers)


def _figure(shown: ReportView) -> Figure:
    view = shown.view
    width_mm, height_mm = paper_size(view, TEXT_WIDTH_MM, _TALLEST_MM)
    overlay = crack_map_svg(
        (view.width_px, view.height_px),
        shown.drawings,
        legend(),
        view.width_px / (width_mm * POINTS_PER_MM),
        shown.scale_bar,
    )
    labels = tuple(drawing.label for drawing in shown.drawings)
    return Figure(
        picture=shown.picture,
        overlay=overlay,
        width_mm=width_mm,
        height_mm=height_mm,
        caption=caption(view),
        small=shown.scale_statement,
        alternative=wording.alternative(view.shows, view.number, labels),
        missing=wording.missing_picture(view.number),
    )


def _table(rows: Sequence[MarkRow]) -> Table:
    cells = tuple(
        (
            Cell(mark_label(row), is_strong=True),
            Cell(row.term, small=(mark_place(row),)),
            Cell(quantities=tuple(replace(number, kind="") for number in row.quantities)),
        )
        for row in rows
    )
    return Table(wording.MARK_COLUMNS, (1.5, 6, 5.2), cells)
