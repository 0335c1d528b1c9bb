"""Marks, zones, totals and fills as tables."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

from softmend.pictures.drawing import STATE_SIGNS
from softmend.records.dossier import NOT_KNOWN, Certainty
from softmend.records.zone import BodyZone
from softmend.report import wording
from softmend.report.blocks import Cell, Section, Table, Words
from softmend.report.content import ConditionReport, FillRow, MarkRow, Total, ZoneRow


def marks_section(report: ConditionReport) -> Section:
    """Return every mark with its place, its words and its numbers."""
    if not report.marks:
        return Section("marks", wording.SECTIONS["marks"], (Words(wording.NO_MARKS),))
    return Section(
        "marks",
        wording.SECTIONS["marks"],
        (marks_table(report.marks), Words(wording.UNCERTAINTY)),
    )


def marks_table(rows: Sequence[MarkRow]) -> Table:
    """Return the table of marks."""
    cells = tuple(
        (
            Cell(mark_label(row), is_strong=True),
            Cell(row.term, small=_mark_words(row), is_strong=True),
            Cell(quantities=row.quantities),
        )
        for row in rows
    )
    return Table(wording.MARK_COLUMNS, (1.5, 6, 5.2), cells)


def mark_label(row: MarkRow) -> str:
    """Return a mark's number, code and sign, as they stand on the picture."""
    return f"{row.mark.number} {row.code} {STATE_SIGNS[row.mark.state]}"


def mark_place(row: MarkRow) -> str:
    """Return where on the object a mark is, in the trade's terms; empty when nothing is known."""
    return _known(row.mark.part, row.mark.side, row.mark.place)


def _mark_words(row: MarkRow) -> tuple[str, ...]:
    mark = row.mark
    where = mark_place(row)
    state = wording.STATE_WORDS[mark.state].partition(" ")[2]
    lines = [
        "; ".join((where, wording.page_seen_on(row.seen_on))) if where else
        wording.page_seen_on(row.seen_on),
        "; ".join(part for part in (state, _known(mark.state_grounds), _known(mark.age)) if part),
    ]  # fmt: skip
    if mark.note_observed != NOT_KNOWN:
        lines.append(f"{wording.OBSERVED}: {mark.note_observed}")
    if mark.cause_inferred != NOT_KNOWN:
        sure = mark.cause_certainty
        certainty = "" if sure is Certainty.NOT_KNOWN else f" ({sure.value})"
        lines.append(f"{wording.INFERRED}: {mark.cause_inferred}{certainty}")
    if mark.history_reported != NOT_KNOWN:
        lines.append(f"{wording.REPORTED}: {mark.history_reported}")
    return tuple(lines)


def zones_section(report: ConditionReport) -> Section:
    """Return the zones of both levels, each with its grounds, its accuracy and its check."""
    rows = tuple(_zone_cells(row) for row in report.zones)
    table = Table(wording.ZONE_COLUMNS, (1.5, 6, 5.2), rows)
    return Section("zones", wording.SECTIONS["zones"], (table,))


def _zone_cells(row: ZoneRow) -> tuple[Cell, Cell, Cell]:
    zone = row.zone
    if isinstance(zone, BodyZone):
        title = zone.body.value
    else:
        title = f"{zone.on_it.value}, {wording.ON_WHAT}"
    where = _known(zone.part, zone.side)
    small = [
        "; ".join(part for part in (where, wording.page_seen_on((row.view_number,))) if part),
        f"drawn to {row.accuracy or f'± {zone.accuracy_px:g} px'}; {zone.checked_how}",
    ]
    if zone.grounds_observed != NOT_KNOWN:
        small.append(f"{wording.OBSERVED}: {zone.grounds_observed}")
    if row.recipe:
        small.append(f"{wording.RECIPE}: {row.recipe}")
    return (
        Cell(f"{zone.name} {row.code}", is_strong=True),
        Cell(title, small=tuple(small), is_strong=True),
        Cell(quantities=(row.area,)),
    )


def totals_section(report: ConditionReport) -> Section:
    """Return the sums by term, zone and side."""
    rows = tuple(_total_cells(total) for total in report.totals)
    table = Table(wording.TOTAL_COLUMNS, (6, 1.5, 5.2), rows)
    return Section("totals", wording.SECTIONS["totals"], (table,))


def _total_cells(total: Total) -> tuple[Cell, Cell, Cell]:
    return (
        Cell(total.name, small=(f"by {total.by}",), is_strong=True),
        Cell(str(total.count)),
        Cell(quantities=total.quantities),
    )


def fills_section(report: ConditionReport) -> Section:
    """Return how much would fill each crack and void."""
    rows = tuple(_fill_cells(fill) for fill in report.fills)
    table = Table(wording.FILL_COLUMNS, (1.5, 6, 5.2), rows)
    return Section("fills", wording.SECTIONS["fills"], (table,))


def _fill_cells(fill: FillRow) -> tuple[Cell, Cell, Cell]:
    return (
        Cell(fill.name or str(fill.mark_number), is_strong=True),
        Cell(
            fill.section if fill.name else f"{fill.section} section",
            small=(f"depth: {fill.depth_known_how}",),
        ),
        Cell(quantities=(fill.volume,)),
    )


def _known(*answers: str) -> str:
    # A part and a side may bear one name ("front"): it is said once.
    return ", ".join(dict.fromkeys(answer for answer in answers if answer != NOT_KNOWN))
