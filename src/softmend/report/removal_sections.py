"""Taking old work off as pieces of a page: for proposal and record, the test record, the card."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from softmend.report import removal_wording as said
from softmend.report import wording
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
    Table,
    Words,
)
from softmend.report.object_sections import hazard_line, hazards_section
from softmend.report.one_page import OnePage
from softmend.report.removal_shown import (
    AirPrint,
    Chart,
    PatchPicture,
    RemovalPrint,
    RemovalShown,
    TriedRow,
    WayRow,
)
from softmend.report.sections import print_section, workings_blocks

PICTURE_MM, STRIP_MM, CHART_MM = 150.0, 120.0, 110.0


def removal_sections(shown: RemovalShown | None) -> tuple[Section, ...]:
    """Return what proposal and record say of it; nothing where nothing was recorded."""
    if shown is None or shown.is_empty:
        return ()
    found = []
    if shown.tests or shown.locks:
        found.append(_section("spot_tests", [*_tests(shown), *_foot(shown, shown.spot_marks)]))
    if shown.ways:
        found.append(_section("removal_ways", [*_ways(shown.ways), *_foot(shown)]))
    if shown.agents or shown.off_text:
        found.append(_section("takes_it_off", [*_off(shown), *_foot(shown, shown.off_marks)]))
    if shown.air is not None:
        found.append(_section("air", [*_air(shown.air), *_foot(shown, shown.air_marks)]))
    return tuple(found)


def removal_workings(shown: RemovalShown | None) -> tuple[Block, ...]:
    """Return the workings of what was kept, with the still chart that stands nowhere else."""
    if shown is None or not shown.workings:
        return ()
    blocks: list[Block] = list(workings_blocks(shown.workings))
    if shown.ternary is not None:
        blocks += [Words(said.CHART_ONLY), _chart(shown.ternary, CHART_MM)]
    return tuple(blocks)


def with_removal(explained: Iterable[Section], shown: RemovalShown | None) -> tuple[Section, ...]:
    """Return the one section of workings with those of taking old work off behind the others."""
    found = [one for one in explained if one.key == "workings"]
    blocks = removal_workings(shown)
    if not blocks:
        return tuple(found)
    before = found[0].blocks if found else ()
    return (_section("workings", [*before, *blocks]),)


def record_of_tests_sections(told: RemovalPrint) -> tuple[Section, ...]:
    """Return the test record: every test with its patch on the photograph, failures kept."""
    shown = told.shown
    blocks: list[Block] = [_patches(one) for one in shown.pictures]
    sections = [
        hazards_section(told.about),
        _section("patches", blocks or [Words(said.NO_PATCHES)]),
        _section("spot_tests", [*_tests(shown), *_foot(shown, shown.spot_marks)]),
    ]
    workings = removal_workings(shown)
    if workings:
        sections.append(_section("workings", list(workings)))
    return (*sections, print_section(told.about))


def bench_card(told: RemovalPrint) -> OnePage:
    """Return the card for the bench: hazards, fire and air first, then lines for the day."""
    shown = told.shown
    sections = [Section("hazards", wording.SECTIONS["hazards"], (Alert(hazard_line(told.about)),))]
    if shown.air is not None:
        sections.append(_section("air", _air_in_short(shown.air)))
    lines: list[Block] = []
    if shown.crack_words:
        lines.append(Alert(shown.crack_words))
    if shown.locks:
        lines.append(_facts(shown.locks))
    lines.append(Blanks(tuple(Fact(name, "") for name in said.CARD_BLANKS)))
    sections.append(_section("at_the_bench", [*lines, *_foot(shown, shown.air_marks)]))
    return OnePage("bench-card", said.CARD_TITLE, told.about, tuple(sections))


def _facts(rows: Iterable[tuple[str, str]]) -> Facts:
    return Facts(tuple(Fact(name, answer) for name, answer in rows))


def _section(key: str, blocks: list[Block]) -> Section:
    return Section(key, said.SECTIONS[key], tuple(blocks))


def _tests(shown: RemovalShown) -> list[Block]:
    blocks: list[Block] = []
    if shown.spot_stale:
        blocks.append(Alert(shown.spot_stale))
    if shown.tests:
        rows = tuple(_test(one) for one in shown.tests)
        blocks += [Table(said.TEST_COLUMNS, (2.0, 5.2, 3.4, 4.6), rows), Words(said.KEPT)]
    blocks += [Alert(name, "", (Fact("", why),)) for name, why in shown.decisions]
    if shown.behaves:
        blocks.append(Words(shown.behaves))
    if shown.next_swab:
        blocks.append(Words(shown.next_swab))
    if shown.locks:
        blocks += [Heading(said.LOCKS), _facts(shown.locks), Words(said.NOT_SAFE)]
    return blocks


def _test(one: TriedRow) -> tuple[Cell, ...]:
    stop = ("STOP",) if one.is_stop else ()
    return (
        Cell(f"{one.number} · {one.patch}", small=(one.done_on,), is_strong=True),
        Cell(one.agent, small=(one.role, *one.how)),
        Cell(f"coating: {one.coating}", small=(f"object: {one.on_object}", *stop)),
        Cell("", small=one.seen),
    )


def _ways(ways: Iterable[WayRow]) -> list[Block]:
    blocks: list[Block] = []
    for one in ways:
        blocks += [Heading(one.name), Words(one.decision)]
        blocks += [Alert(text) for text in one.warnings]
        if one.facts:
            blocks.append(_facts(one.facts))
        if one.stretches:
            rows = tuple(
                (Cell(place, is_strong=True), Cell(what), Cell(check))
                for place, what, check in one.stretches
            )
            blocks.append(Table(said.STRETCH_COLUMNS, (1.4, 6, 6), rows))
        if one.owed:
            blocks.append(Words("; ".join(one.owed), said.OWED))
    return blocks


def _off(shown: RemovalShown) -> list[Block]:
    blocks: list[Block] = []
    if shown.off_stale:
        blocks.append(Alert(shown.off_stale))
    if shown.off_text:
        blocks.append(Words(shown.off_text))
    if shown.crack_words:
        blocks.append(Alert(shown.crack_words))
    blocks += [_chart(one, STRIP_MM) for one in shown.strips]
    if shown.agents:
        rows = tuple(
            (
                Cell(one.agent, small=(one.look,) if one.look else (), is_strong=True),
                Cell(one.chance, small=(one.wording,)),
                Cell(one.keep),
                Cell(one.air),
            )
            for one in shown.agents
        )
        blocks.append(Table(said.AGENT_COLUMNS, (5, 3.6, 4, 3), rows))
    if shown.refused:
        blocks.append(Words(shown.refused, said.REFUSED))
    blocks.append(Words(said.GUIDE))
    return blocks


def _air(air: AirPrint) -> list[Block]:
    blocks: list[Block] = []
    if air.stale_because:
        blocks.append(Alert(air.stale_because))
    if air.is_highly_flammable:
        blocks.append(Alert(air.fire))
    elif air.fire:
        blocks.append(Words(air.fire))
    blocks.append(Words(air.text))
    if air.against:
        rows = tuple(
            (Cell(solvent, small=(period,), is_strong=True), Cell(near), Cell(share))
            for solvent, period, near, share in air.against
        )
        blocks.append(Table(said.AIR_COLUMNS, (3, 4.4, 7), rows))
    blocks.append(_facts((*air.facts, *air.asked)))
    said_once = dict.fromkeys((*air.warnings, *air.cautions))
    if said_once:
        blocks.append(Words("\n".join(f"– {one}" for one in said_once)))
    return blocks


def _air_in_short(air: AirPrint) -> list[Block]:
    """Return the air for one sheet: nothing is left out, what is said stands in running lines."""
    *before, _ = _air(replace(air, facts=(), warnings=(), cautions=()))
    told = "; ".join(f"{name.lower()} {answer}" for name, answer in air.facts)
    said_once = dict.fromkeys((*air.warnings, *air.cautions))
    short = _facts((_short(name), answer) for name, answer in air.asked)
    blocks = [*before, *([Words(f"{told}.")] if told else []), short]
    return [*blocks, *([Words(" ".join(said_once))] if said_once else [])]


def _short(name: str) -> str:
    return next((short for word, short in said.CARD_NAMES.items() if word in name), name)


def _patches(one: PatchPicture) -> Figure:
    return Figure(
        picture=one.picture,
        overlay=one.overlay,
        width_mm=PICTURE_MM,
        height_mm=PICTURE_MM * one.height_px / one.width_px,
        caption=one.caption,
        small=one.small,
        alternative=one.words,
        missing=said.NO_PICTURE,
    )


def _chart(chart: Chart, width_mm: float) -> Figure:
    width, height = chart.size
    return Figure(
        picture="",
        overlay=chart.svg,
        width_mm=width_mm,
        height_mm=width_mm * height / width,
        caption=chart.caption,
        small="",
        alternative=chart.words,
    )


def _foot(shown: RemovalShown, marks: str = "") -> list[Block]:
    return [Words(one) for one in (marks, shown.footer) if one]
