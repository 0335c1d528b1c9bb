"""Law and ethics as printed: facts and dates, what must be asked again, never a verdict."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence

from softmend.records.dossier import NOT_KNOWN
from softmend.records.legal import Human
from softmend.report.blocks import Alert, Cell, Section, Table, Words
from softmend.report.content import FlagRow

TITLE = "Law and ethics: facts and dates"
COLUMNS = ("Flag", "What and on what ground", "Checked")
CHECK_AGAIN = "Check again: flag"
NO_VERDICT = (
    "Facts and dates only. This is not legal advice, and nothing here says what may be done."
)


def law_section(flags: Sequence[FlagRow]) -> Section:
    """Return every flag with its date and its checker; the stale ones first, as warnings."""
    stale = [
        Alert(f"{CHECK_AGAIN} {one.flag.number}, {one.stale_because}")
        for one in flags
        if one.stale_because
    ]
    table = Table(COLUMNS, (1.2, 7, 4.5), tuple(_row(one) for one in flags))
    return Section("law", TITLE, (*stale, table, Words(NO_VERDICT)))


def _row(row: FlagRow) -> tuple[Cell, ...]:
    flag = row.flag
    told = f"{flag.taxon} ({flag.certainty.value}): {flag.ground}"
    lines = (
        "" if flag.taxon == NOT_KNOWN else told,
        "" if flag.human is Human.NOT_ASKED else flag.human.value,
        f"whose rule: {flag.jurisdiction}",
    )
    return (
        Cell(str(flag.number), is_strong=True),
        Cell(f"{flag.topic.value}: {flag.rule}", small=tuple(line for line in lines if line)),
        Cell(
            flag.checked_on, small=(f"by {flag.checked_by}", f"papers: {flag.documents_reported}")
        ),
    )
