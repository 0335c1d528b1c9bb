"""Tints in print: the recipe, its lamps, where it is seen, and how the tone is found again."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator

from softmend.report.blocks import Alert, Block, Cell, Fact, Facts, Heading, Section, Table, Words
from softmend.report.tint_shown import CANNOT_KNOW, TintShown

KEY, TITLE = "tint", "The tint of the fills"
COLUMNS = ("What goes into the cup",)


def tint_sections(tints: tuple[TintShown, ...]) -> tuple[Section, ...]:
    """Return every recipe that is kept; nothing where none is."""
    if not tints:
        return ()
    blocks = tuple(block for one in tints for block in _of_tint(one))
    cautions = Facts(tuple(Fact("Caution", line) for line in CANNOT_KNOW))
    return (Section(KEY, TITLE, (*blocks, cautions)),)


def _of_tint(one: TintShown) -> Iterator[Block]:
    yield Heading(f"{one.title}, {one.way}")
    if one.stale_because:
        yield Alert(one.stale_because)
    yield Table(COLUMNS, (1,), tuple((Cell(line),) for line in (*one.lines, one.cup) if line))
    yield Facts(tuple(Fact(name, text) for name, text in one.facts))
    if one.sight:
        yield Words("\n".join(f"{name}: {text}" for name, text in one.sight), "Where it is seen",
                    "inferred")  # fmt: skip
    if one.strips:
        yield Words("\n".join(one.strips), "The skin thinner, as asked, and thicker", "inferred")
    if one.drawdown:
        yield Words("\n".join(one.drawdown), "The first dry drawdown", "observed")
    if one.cautions:
        yield Facts(tuple(Fact("Caution", line) for line in one.cautions))
