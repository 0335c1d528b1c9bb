"""The monitoring plan of a care sheet, what a coating would have done, and workings of a place."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator

from softmend.report.blocks import Alert, Block, Cell, Fact, Facts, Figure, Section, Table, Words
from softmend.report.climate_shown import ClimateShown

PLAN, PLAN_TITLE = "climate_plan", "Air, light and when to look"
COAT, COAT_TITLE = "coat", "What a coating would do"
WORKS, WORKS_TITLE = "climate_workings", "Workings of its place"
STRIP_MM = 165.0
STRIP_CAPTION = "Humidity of the last year, each day from its least to its most"
STRIP_SMALL = "The edges are those that hours are counted by, as wide as the sensor's error."
DESCRIBES = (
    "This describes what a place does; it never permits. Whoever keeps the object decides, after "
    "looking at it."
)


def climate_plan(shown: ClimateShown | None) -> tuple[Section, ...]:
    """Return the plan of a care sheet: band, picture, checks, triggers, gel; nothing unkept."""
    if shown is None or not (shown.sentences or shown.light):
        return ()
    return (Section(PLAN, PLAN_TITLE, tuple(_plan(shown))),)


def coat_section(shown: ClimateShown | None) -> tuple[Section, ...]:
    """Return what a decision on coating was taken on; nothing where none was."""
    blocks = coat_blocks(shown)
    return (Section(COAT, COAT_TITLE, blocks),) if blocks else ()


def coat_blocks(shown: ClimateShown | None) -> tuple[Block, ...]:
    """Return the four ways side by side over day, week, month and year; nothing unkept."""
    if shown is None or not shown.coat_ways:
        return ()
    rows = tuple(
        (Cell(one.way, is_strong=True), *(Cell(swing) for swing in one.swings))
        for one in shown.coat_ways
    )
    columns = ("Surface swings, %RH", *(f"a {one}" for one in shown.coat_over))
    return (
        *(Alert(line) for line in shown.coat_stale),
        Words(shown.coat_decision, statement="inferred"),
        Table(columns, (5, *(4,) * len(shown.coat_over)), rows, is_small=True),
        *(Words(line) for line in (*shown.coat_added, *shown.coat_basis)),
    )


def climate_workings(shown: ClimateShown | None) -> tuple[Section, ...]:
    """Return how the place was computed, with every value; for the registrar alone."""
    from softmend.report.sections import workings_blocks

    if shown is None or not shown.works:
        return ()
    return (Section(WORKS, WORKS_TITLE, tuple(workings_blocks(shown.works))),)


def _plan(shown: ClimateShown) -> Iterator[Block]:
    yield from (Alert(line) for line in shown.stale)
    if shown.wrong_mean:
        yield Alert(shown.wrong_mean)
    if shown.sentences:
        yield Words("\n".join(shown.sentences), statement="inferred")
        yield Facts((Fact("Band", shown.band), Fact("It rests on", shown.basis)))
    if shown.strip:
        width, height = shown.strip_size
        yield Figure(
            picture="",
            overlay=shown.strip,
            width_mm=STRIP_MM,
            height_mm=STRIP_MM * height / width,
            caption=STRIP_CAPTION,
            small=STRIP_SMALL,
            alternative=shown.strip_words,
        )
    facts = [Fact("Look and measure", line) for line in shown.checks]
    facts += [Fact("Look at once", line) for line in shown.triggers]
    facts += [Fact(name, text) for name, text in shown.gel]
    facts += [Fact("Light", line) for line in shown.light]
    facts += [Fact("Caution", line) for line in shown.cautions]
    yield Facts(tuple(facts))
    yield Words(DESCRIBES)
