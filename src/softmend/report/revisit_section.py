"""What moved since: every comparison that was kept, crack by crack, with its grounds."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

from softmend.report.blocks import Cell, Section, Table, Words
from softmend.report.content import MovedRow

KEY = "moved"
TITLE = "What moved since"
COLUMNS = ("Mark", "Between", "What was found", "Floor and air")
CAUTION = (
    "“No change shown” says that nothing above the floor was seen, not that nothing moved. "
    "“Grown” needs like humidity and temperature at both dates. Widths were tested on drawn "
    "cracks and on other materials than this one."
)


def moved_section(rows: Sequence[MovedRow]) -> Section:
    """Return every kept comparison, a row a crack."""
    table = Table(COLUMNS, (1.6, 3.4, 4.6, 4.4), tuple(_row(row) for row in rows))
    return Section(KEY, TITLE, (table, Words(CAUTION)))


def _row(row: MovedRow) -> tuple[Cell, ...]:
    stale = (row.stale,) if row.stale else ()
    finding = row.finding[:1].upper() + row.finding[1:]
    return (
        Cell(row.mark, small=(row.term,), is_strong=True),
        Cell(row.between),
        Cell(finding, small=(f"recorded as: {row.state}", *stale)),
        Cell(row.grounds.partition("; ")[2]),
    )
