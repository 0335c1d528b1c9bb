"""The views with what is drawn on them, the plan, and the list of pictures."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence

from softmend.pictures.legend import LegendEntry, legend, used_entries
from softmend.pictures.marks import marks_svg, swatch_svg
from softmend.pictures.view_plan import PlacedGap, PlacedView, view_plan_svg
from softmend.records.dossier import NOT_KNOWN
from softmend.records.view import View
from softmend.report import wording
from softmend.report.blocks import (
    Block,
    Cell,
    Figure,
    Heading,
    Legend,
    LegendItem,
    Section,
    Table,
    Words,
)
from softmend.report.content import ConditionReport, ReportView

TEXT_WIDTH_MM = 170.0
_TALLEST_MM = 103.0
_PLAN_MM = (150.0, 43.75)
POINTS_PER_MM = 72 / 25.4


def views_section(report: ConditionReport) -> Section:
    """Return the plan of the object, the legend, and each view with its marks."""
    if not report.views:
        return Section("views", wording.SECTIONS["views"], (Words(wording.NO_VIEWS),))
    entries = legend()
    drawn = [drawing for shown in report.views for drawing in shown.drawings]
    blocks: list[Block] = _plan(report)
    if drawn:
        blocks += [Heading(wording.LEGEND), legend_block(used_entries(drawn, entries))]
    else:
        blocks.append(Words(wording.NO_LEGEND))
    blocks += [_figure(shown, entries, index) for index, shown in enumerate(report.views)]
    return Section("views", wording.SECTIONS["views"], tuple(blocks))


def legend_block(entries: Sequence[LegendEntry]) -> Legend:
    """Return the legend of the entries that are used, with the signs of state."""
    items = tuple(
        LegendItem(swatch_svg(entry, f"s{index}"), entry.code, entry.name)
        for index, entry in enumerate(entries)
    )
    return Legend(items, (*wording.STATE_WORDS.values(), *wording.ZONE_WORDS))


def paper_size(view: View, widest_mm: float, tallest_mm: float) -> tuple[float, float]:
    """Return the largest width and height on paper that keep a view's proportions."""
    width = min(widest_mm, tallest_mm * view.width_px / view.height_px)
    return width, width * view.height_px / view.width_px


def caption(view: View) -> str:
    """Return a view's number, what it shows, and the light it was taken in."""
    light = f"{view.light.value} light"
    if view.light_from != NOT_KNOWN:
        light += f" from {view.light_from}"
    shown = [answer for answer in (view.shows, view.side) if answer != NOT_KNOWN]
    return f"{view.number} · " + ", ".join([*shown, light])


def _figure(shown: ReportView, entries: Mapping[str, LegendEntry], index: int) -> Figure:
    view = shown.view
    width_mm, height_mm = paper_size(view, TEXT_WIDTH_MM, _TALLEST_MM)
    unit_px = view.width_px / (width_mm * POINTS_PER_MM)
    overlay = marks_svg(
        (view.width_px, view.height_px),
        shown.drawings,
        entries,
        unit_px,
        shown.scale_bar,
        prefix=f"v{index}h",
    )
    labels = tuple(drawing.label for drawing in shown.drawings)
    return Figure(
        picture=shown.picture,
        overlay=overlay,
        width_mm=width_mm,
        height_mm=height_mm,
        caption=caption(view),
        small=" ".join((_made(view), shown.scale_statement)),
        alternative=wording.alternative(view.shows, view.number, labels),
        missing=wording.missing_picture(view.number),
    )


def _made(view: View) -> str:
    made = f"Taken {view.taken_on}" if view.taken_on != NOT_KNOWN else "Date not known"
    by = f" by {view.made_by}" if view.made_by != NOT_KNOWN else ""
    return f"{made}{by}, {view.stage}."


def _plan(report: ConditionReport) -> list[Block]:
    views, unplaced = [], []
    for shown in report.views:
        view = shown.view
        if view.plan_x is None or view.plan_y is None:
            unplaced.append(str(view.number))
            continue
        words = view.shows if view.shows != NOT_KNOWN else ""
        views.append(PlacedView(view.number, _short(words, 24), view.plan_x, view.plan_y))
    gaps = [
        PlacedGap(_short(gap.place, 32), gap.plan_x, gap.plan_y)
        for gap in report.not_examined
        if gap.plan_x is not None and gap.plan_y is not None
    ]
    if len(views) + len(gaps) < 2:
        return []
    small = f"{wording.NOT_PLACED} {', '.join(unplaced)}." if unplaced else ""
    svg = view_plan_svg(report.plan_shape, views, gaps)
    plan = Figure("", svg, *_PLAN_MM, wording.PLAN, small, wording.PLAN_ALTERNATIVE)
    return [plan]


def _short(words: str, most: int) -> str:
    """Return words cut at a space, with a sign that they were cut."""
    if len(words) <= most:
        return words
    return f"{words[:most].rpartition(' ')[0].rstrip(',;:.') or words[: most - 1]} …"


def images_section(report: ConditionReport) -> Section:
    """Return the list of pictures: number, file, size, and the hash of the untouched original."""
    rows = tuple(_image_cells(shown.view) for shown in report.views)
    table = Table(wording.IMAGE_COLUMNS, (0.9, 4.2, 8.6), rows)
    return Section("images", wording.SECTIONS["images"], (table,))


def _image_cells(view: View) -> tuple[Cell, Cell, Cell]:
    size = f"{view.width_px} × {view.height_px} px, {view.original_bytes / 1e6:.1f} MB"
    notes = tuple(view.intake_notes)
    return (
        Cell(str(view.number), is_strong=True),
        Cell(view.original_name, small=(size, *notes)),
        Cell(view.original_sha256),
    )
