"""The mechanics of fills in a proposal: the design of each, who gives first, and the workings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable

from softmend.report.blocks import Alert, Block, Cell, Fact, Facts, Figure, Heading, Section, Table
from softmend.report.blocks import Words as Paragraph
from softmend.report.content import Working
from softmend.report.explain_design import FillDesign
from softmend.report.sections import workings_blocks

FILLS, WORKINGS = "Fills against the object, crack by crack", "Workings"
MODEL = (
    "Models of one straight crack in an even material; the bands are over what is not known. They "
    "rank fills, and vouch for none. No fill takes the place of steady humidity."
)
OPEN_CRACK = (
    "Left open, a crack is spared the pull on its walls, but it may snag, take dirt, and lose its "
    "edges and the support of its sides."
)
COLUMNS = ("Fill", "Who gives first", "What it asks of the object")
DRAWING_MM = 92.0


def explain_sections(
    designs: tuple[FillDesign, ...], workings: tuple[Working, ...]
) -> tuple[Section, ...]:
    """Return the design of each fill and the workings; nothing where no run was kept."""
    found = []
    if designs:
        blocks: list[Block] = [Paragraph(MODEL)]
        for number in dict.fromkeys(one.mark_number for one in designs):
            blocks += _of_crack([one for one in designs if one.mark_number == number])
        blocks.append(Paragraph(OPEN_CRACK))
        found.append(Section("fill_designs", FILLS, tuple(blocks)))
    if workings:
        found.append(Section("workings", WORKINGS, tuple(workings_blocks(workings))))
    return tuple(found)


def _of_crack(designs: list[FillDesign]) -> Iterable[Block]:
    first = designs[0]
    yield Heading(f"Mark {first.mark_number}: {first.place}")
    for one in designs:
        if one.stale_because:
            yield Alert(f"{one.fill}: {one.stale_because}")
    yield Table(COLUMNS, (4.2, 5.4, 5.4), tuple(_beside(one) for one in designs))
    for one in designs:
        if not one.is_in:
            yield _drawn(one)
            yield Facts(tuple(_design(one)))
    yield Facts(tuple(Fact("Caution", line) for line in first.cannot_know))


def _beside(one: FillDesign) -> tuple[Cell, ...]:
    role = "the fill that is in" if one.is_in else "proposed"
    return (
        Cell(one.fill, small=(role, f"comes off: {one.comes_off}"), is_strong=True),
        Cell(one.first, small=(f"the object first, in a year: {one.object_first}", one.tip_words)),
        _asks(one),
    )


def _asks(one: FillDesign) -> Cell:
    held = f"if it held: {one.pull}, {one.in_the_hand}"
    of_what_they_stand = f"if it held, walls {one.walls} and tip {one.tip} of what they stand"
    rest = (of_what_they_stand, f"left open, the tip bears {one.open_tip}", one.movement)
    if not one.reached:
        return Cell(f"pull on the walls {held}", small=rest)
    return Cell(
        f"{one.reached} of pull reach the walls",
        small=(f"before fill or bond lets go; {one.reached_in_the_hand}", held, *rest),
    )


def _design(one: FillDesign) -> Iterable[Fact]:
    named = (
        ("System", one.fill),
        ("Crack", one.size),
        ("Layers", one.layers),
        ("Volume", one.volume),
        ("Mix", one.mix),
        ("Strength against the object, from the run", f"{one.first} {one.tip_words}"),
        ("Hazards", one.hazards),
    )
    return (Fact(name, answer) for name, answer in named if answer)


def _drawn(one: FillDesign) -> Figure:
    width, height = one.drawing_size
    return Figure(
        picture="",
        overlay=one.drawing,
        width_mm=DRAWING_MM,
        height_mm=DRAWING_MM * height / width,
        caption=f"Mark {one.mark_number} in section, to scale, with {one.fill}",
        small="",
        alternative=one.drawing_words,
    )
