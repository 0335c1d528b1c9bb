"""Rules that a named person passed, as every report lists them: which, why, who, and when."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Sequence

from softmend.report.blocks import Cell, Section, Table
from softmend.report.content import PassedRow

KEY = "passed"
TITLE = "Rules passed by a named person"
COLUMNS = ("Rule", "What it was passed for", "Because", "By, on")
_HASH = re.compile(r"[0-9a-f]{64}")


def passed_section(rows: Sequence[PassedRow]) -> Section:
    """Return every pass in the order of recording."""
    return Section(
        KEY, TITLE, (Table(COLUMNS, (1, 4.6, 5, 3.4), tuple(_row(row) for row in rows)),)
    )


def _row(row: PassedRow) -> tuple[Cell, ...]:
    return (
        Cell(str(row.rule), is_strong=True),
        Cell(_about(row.about), small=(row.asks,)),
        Cell(row.because),
        Cell(row.by, small=(row.passed_on,)),
    )


def _about(about: str) -> str:
    # A consent's pass is for points that only their hash names.
    return f"the listed points {about[:16]}…" if _HASH.fullmatch(about) else about
