"""A condition report as sections, in the order of print: hazards first."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Iterator
from importlib.metadata import version

from softmend.records.dossier import NOT_KNOWN
from softmend.report import wording
from softmend.report.blocks import (
    Alert,
    Block,
    Cell,
    Fact,
    Facts,
    Heading,
    Section,
    Signing,
    Table,
)
from softmend.report.content import ConditionReport, Working
from softmend.report.explained_section import explained_section
from softmend.report.law_section import law_section
from softmend.report.mark_sections import (
    fills_section,
    marks_section,
    totals_section,
    zones_section,
)
from softmend.report.object_sections import (
    examination_section,
    grades_section,
    hazards_section,
    object_section,
)
from softmend.report.passed_section import passed_section
from softmend.report.revisit_section import moved_section
from softmend.report.scan_section import changes_section, scans_section
from softmend.report.view_sections import images_section, views_section

SIGNED_KEY = "signed"
"""The section to sign; the editable document has one of its own, with the house's roles."""


def report_sections(report: ConditionReport) -> tuple[Section, ...]:
    """Return what is printed, in order; parts that nothing was recorded for are left out."""
    sections = [
        hazards_section(report),
        *([law_section(report.flags)] if report.flags else []),
        object_section(report),
        examination_section(report),
        grades_section(report),
    ]
    if report.not_examined or report.not_done:
        sections.append(_not_examined(report))
    sections += [views_section(report), marks_section(report)]
    told = (
        (report.zones, zones_section),
        (report.totals, totals_section),
        (report.fills, fills_section),
        (report.scans, lambda told: scans_section(told.scans, told.audience)),
        (report.changes, lambda told: changes_section(told.changes)),
        (report.explained, lambda told: explained_section(told.explained)),
        (report.papers, _papers),
        (report.moved, lambda told: moved_section(told.moved)),
        (report.passings, lambda told: passed_section(told.passings)),
    )
    appended = ((report.views, images_section), (report.workings, _workings))
    sections += [build(report) for recorded, build in told if recorded]
    sections.append(_signed(report))
    sections += [build(report) for recorded, build in appended if recorded]
    return (*sections, print_section(report))


def _signed(report: ConditionReport) -> Section:
    """Return the place to sign, behind what is signed for and before the appendices."""
    examiner = "" if report.examined_by == NOT_KNOWN else report.examined_by
    people = (
        Fact(wording.EXAMINATION_FIELDS["examined_by"], examiner),
        Fact(wording.SEEN_BY, ""),
    )
    blocks = (Signing(people, wording.SIGN_DATE, wording.SIGNATURE),)
    return Section(SIGNED_KEY, wording.SECTIONS[SIGNED_KEY], blocks)


def _not_examined(report: ConditionReport) -> Section:
    gaps = tuple(
        (Cell(gap.place, is_strong=True), Cell(gap.because)) for gap in report.not_examined
    )
    undone = tuple(
        (Cell(answer.asked, is_strong=True), Cell(answer.because)) for answer in report.not_done
    )
    blocks: list[Block] = []
    if gaps:
        blocks.append(Table(wording.NOT_EXAMINED_COLUMNS, (4, 7), gaps))
    if undone:
        blocks.append(Table(wording.NOT_DONE_COLUMNS, (4, 7), undone))
    return Section("not_examined", wording.SECTIONS["not_examined"], tuple(blocks))


def _papers(report: ConditionReport) -> Section:
    rows = tuple(
        (
            Cell(str(paper.number), is_strong=True),
            Cell(paper.what, small=(paper.original_name, paper.said_by, paper.dated_on)),
            Cell(paper.quoted_reported, small=(paper.original_sha256,)),
        )
        for paper in report.papers
    )
    table = Table(wording.PAPER_COLUMNS, (1.1, 4.2, 8.6), rows)
    return Section("papers", wording.SECTIONS["papers"], (table,))


def _workings(report: ConditionReport) -> Section:
    blocks = tuple(workings_blocks(report.workings))
    return Section("workings", wording.SECTIONS["workings"], blocks)


def workings_blocks(workings: Iterable[Working]) -> Iterator[Block]:
    """Yield computations as they were run; what a formula says of itself is printed once."""
    first: dict[tuple[str, str, str], Working] = {}
    for working in workings:
        key = (working.computation, working.formula, working.source)
        yield from working_blocks(working, first.get(key))
        first.setdefault(key, working)


def working_blocks(working: Working, as_for: Working | None = None) -> list[Block]:
    """Return one computation as it was run: formula, every value with its mark, result.

    `as_for` is an earlier run of the same formula: what was printed there is pointed to.
    """
    blocks: list[Block] = [Heading(working.heading)]
    if working.stale_because:
        blocks.append(Alert(f"{wording.STALE} {working.stale_because}"))
    results = tuple(Fact(result.name, result.text) for result in working.results)
    rows = tuple(
        (Cell(value.name), Cell(value.text, is_strong=True), Cell(f"{value.kind}; {value.origin}"))
        for value in working.values
    )
    blocks += [
        Facts((*results, *_about_formula(working, as_for))),
    ]
    if working.compared:
        fills = tuple(
            (Cell(name, is_strong=True, small=(said,) if said else ()), *map(Cell, numbers))
            for name, said, *numbers in working.compared
        )
        blocks.append(Table(wording.COMPARED_COLUMNS, (5.4, 3, 3, 3), fills, is_small=True))
    if rows:
        blocks.append(Table(wording.WORKING_COLUMNS, (4, 4, 6), rows, is_small=True))
    return blocks


def _about_formula(working: Working, as_for: Working | None) -> Iterator[Fact]:
    before = as_for.cautions if as_for is not None else ()
    if as_for is None:
        yield Fact(wording.FORMULA, working.formula)
        yield Fact(wording.SOURCE, working.source)
        yield Fact(wording.RUN_AGAIN, wording.RUN_BY.format(working.computation))
    else:
        yield Fact(wording.FORMULA, wording.AS_FOR.format(as_for.heading))
    if working.tables and (as_for is None or as_for.tables != working.tables):
        yield Fact(wording.TABLES, working.tables)
    yield from (Fact(wording.CAUTION, one) for one in working.cautions if one not in before)


def clock(at: str) -> str:
    """Return an entry's time as it is written, with a space for each machine's mark."""
    stamp, _, zone = at.rstrip("]").partition("[")
    words = stamp.replace("T", " ").removesuffix("Z")
    return f"{words} UTC" + (f" (bench in {zone})" if zone and "UTC" not in zone else "")


def print_section(report: ConditionReport) -> Section:
    """Return what the print was made from, so that it can be checked."""
    names, made = wording.PRINT_FIELDS, report.provenance
    made_with = f"Softmend {made.software_version}, Typst {version('typst')}"
    facts = (
        Fact(names["entries"], f"{made.entry_count}, {names['newest_at']} {clock(made.newest_at)}"),
        Fact(names["head_hash"], made.head_hash),
        Fact(names["software"], f"{made_with}; {names['attached']} {wording.ATTACHED}"),
        Fact(names["check"], wording.VERIFY),
    )
    return Section("print", wording.SECTIONS["print"], (Facts(facts),))
