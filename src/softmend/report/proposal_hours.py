"""Hours and weeks in the proposal: the range in words first, then what it rests on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.report import proposal_wording as wording
from softmend.report.blocks import Alert, Block, Cell, Fact, Facts, Figure, Section, Table, Words
from softmend.report.proposal_report import EstimateShown
from softmend.report.view_sections import TEXT_WIDTH_MM


def hours_section(estimate: EstimateShown) -> Section:
    """Return the weeks in words, their drawing, and the hours task by task."""
    said: list[Block] = [Words(f"{estimate.weeks[:1].upper()}{estimate.weeks[1:]}.")]
    if estimate.stale_because:
        because = estimate.stale_because
        said.insert(0, Alert(f"{because[:1].upper()}{because[1:]}"))
    rows = tuple(
        (Cell(name, is_strong=True), Cell(hours), Cell(rests_on))
        for name, hours, rests_on in estimate.tasks
    )
    total = (
        Cell(wording.ALL_OF_IT, is_strong=True),
        Cell(estimate.hours, is_strong=True),
        Cell(estimate.spread),
    )
    blocks = [
        *said,
        _answers(estimate),
        _drawing(estimate),
        Table(wording.HOURS_COLUMNS, (4.4, 4, 6.6), (*rows, total)),
        Words(wording.HOURS_NOTE),
    ]
    return Section("hours", wording.SECTIONS["hours"], tuple(blocks))


def _answers(estimate: EstimateShown) -> Facts:
    made = f"{estimate.estimated_on}; {estimate.estimate_class}"
    facts = [Fact(f"Estimate {estimate.number}", made), Fact("Basis", estimate.basis)]
    facts.append(Fact("Ends", estimate.ends))
    if estimate.wanted:
        facts.append(Fact("The day it is wanted", estimate.wanted))
    facts += [Fact(f"Bench stands still: {name}", days) for name, days in estimate.standing_still]
    if estimate.drivers:
        facts.append(Fact("What spreads the end most", ", ".join(estimate.drivers)))
    facts += [Fact("Caution", warning) for warning in estimate.warnings]
    return Facts(tuple(facts))


def _drawing(estimate: EstimateShown) -> Figure:
    width, height = estimate.drawing_size
    return Figure(
        picture="",
        overlay=estimate.drawing,
        width_mm=TEXT_WIDTH_MM,
        height_mm=TEXT_WIDTH_MM * height / width,
        caption=wording.WEEKS_CAPTION,
        small="",
        alternative=wording.WEEKS_ALTERNATIVE,
    )
