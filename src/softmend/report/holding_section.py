"""Joins in a proposal: whether each holds its piece for years and gives before the object."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator

from softmend.report.blocks import Alert, Block, Fact, Facts, Figure, Heading, Section, Words
from softmend.report.holding_shown import JoinShown

KEY, TITLE = "joins_held", "Whether the joins hold"
DRAWING_MM = 150.0


def holding_sections(joins: tuple[JoinShown, ...]) -> tuple[Section, ...]:
    """Return what is said of each join that was kept; nothing where none was."""
    if not joins:
        return ()
    return (Section(KEY, TITLE, tuple(block for one in joins for block in _of_join(one))),)


def _of_join(one: JoinShown) -> Iterator[Block]:
    yield Heading(f"Join {one.name}: {one.what}, {one.adhesive}")
    if one.stale_because:
        yield Alert(one.stale_because)
    yield Words("\n".join(one.sentences), statement="inferred")
    width, height = one.drawing_size
    yield Figure(
        picture="",
        overlay=one.drawing,
        width_mm=DRAWING_MM,
        height_mm=DRAWING_MM * height / width,
        caption="The join from the side, to scale; strengths as bands of 5 to 95 %",
        small="",
        alternative=one.drawing_words,
    )
    yield Facts(tuple(Fact(name, text) for name, text in one.facts))
    yield Facts(tuple(Fact("Caution", line) for line in (*one.cannot_know, *one.warnings)))
