"""What Explain found, in a condition report: one sentence each, and where the rest is told."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

from softmend.report.blocks import Cell, Section, Table, Words
from softmend.report.content import ExplainedRow

KEY = "explained"
TITLE = "What was explained"
COLUMNS = ("Where", "In one sentence", "Kept on")
ELSEWHERE = (
    "Inferred, from models of one straight crack or one even coating. The treatment proposal has "
    "the bands, the drawings, the cautions and the workings."
)


def explained_section(rows: Sequence[ExplainedRow]) -> Section:
    """Return what was found of each, with the reference to the proposal."""
    table = Table(COLUMNS, (4, 7.4, 2.6), tuple(_row(row) for row in rows))
    return Section(KEY, TITLE, (table, Words(ELSEWHERE, statement="inferred")))


def _row(row: ExplainedRow) -> tuple[Cell, ...]:
    stale = (row.stale_because,) if row.stale_because else ()
    return (
        Cell(row.where, is_strong=True),
        Cell(row.sentence, small=stale),
        Cell(row.kept_on),
    )
