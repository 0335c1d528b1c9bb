"""Lifting coatings in a proposal: which layer lets go, and the ways in which it may give."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator

from softmend.report.blocks import (
    Alert,
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
from softmend.report.coating_shown import CoatingShown, PatternShown

KEY, TITLE = "coating_explained", "Why the coating lifts"
COLUMNS = ("How it may give", "It frees", "It asks for")
DRAWING_MM = 150.0


def coating_sections(coatings: tuple[CoatingShown, ...]) -> tuple[Section, ...]:
    """Return the explanation of each coating that was kept; nothing where none was."""
    if not coatings:
        return ()
    blocks = tuple(block for one in coatings for block in _of_coating(one))
    return (Section(KEY, TITLE, blocks),)


def _of_coating(one: CoatingShown) -> Iterator[Block]:
    yield Heading(_sentence(f"{one.name}, {one.what}"))
    if one.stale_because:
        yield Alert(one.stale_because)
    yield Words("\n".join(one.sentences), statement="inferred")
    width, height = one.drawing_size
    yield Figure(
        picture="",
        overlay=one.drawing,
        width_mm=DRAWING_MM,
        height_mm=DRAWING_MM * height / width,
        caption="Layers to scale; at each plane what pulls and what holds, 5 to 95 %",
        small="",
        alternative=one.drawing_words,
    )
    yield Table(COLUMNS, (6, 4, 5), tuple(_pattern(each) for each in one.patterns), is_small=True)
    yield Facts(tuple(Fact(name, text) for name, text in one.facts))
    yield Facts(tuple(Fact("Caution", line) for line in (*one.cannot_know, *one.warnings)))


def _pattern(one: PatternShown) -> tuple[Cell, ...]:
    asks = one.asks if one.is_known else "not known"
    return (
        Cell(_sentence(one.name), small=(one.wording, f"Z {one.factor}"), is_strong=True),
        Cell(one.energy),
        Cell(asks),
    )


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
