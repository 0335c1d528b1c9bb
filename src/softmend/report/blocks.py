"""The pieces that a printed page is made of; the PDF and "copy as text" read the same ones."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.report.content import Quantity


@dataclass(frozen=True)
class Fact:
    """A name and its answer."""

    name: str
    answer: str


@dataclass(frozen=True)
class Facts:
    """Names and answers, one under the other."""

    rows: tuple[Fact, ...]
    type: str = "facts"


@dataclass(frozen=True)
class Words:
    """A paragraph; `statement` is "observed", "inferred", "reported", or empty."""

    text: str
    heading: str = ""
    statement: str = ""
    type: str = "words"


@dataclass(frozen=True)
class Alert:
    """Something that can hurt, or that must not be read over, in the warm colour."""

    title: str
    status: str = ""
    facts: tuple[Fact, ...] = ()
    type: str = "alert"


@dataclass(frozen=True)
class Cell:
    """A cell of a table: words with small lines under them, or quantities that line up."""

    text: str = ""
    small: tuple[str, ...] = ()
    quantities: tuple[Quantity, ...] = ()
    is_strong: bool = False


@dataclass(frozen=True)
class Table:
    """A table; `widths` are shares of the page's width; a row is never cut by the page's end.

    A small one is set close, for an appendix that is looked up and not read.
    """

    columns: tuple[str, ...]
    widths: tuple[float, ...]
    rows: tuple[tuple[Cell, ...], ...]
    is_small: bool = False
    type: str = "table"


@dataclass(frozen=True)
class Figure:
    """A picture with a drawing over it, or a drawing alone; sizes in millimetres on paper.

    `picture` names one of the handed pictures and may be empty; `overlay` is SVG text;
    `missing` is said when the picture was not handed.
    """

    picture: str
    overlay: str
    width_mm: float
    height_mm: float
    caption: str
    small: str
    alternative: str
    missing: str = ""
    type: str = "figure"


@dataclass(frozen=True)
class LegendItem:
    """One entry of the legend: its swatch as SVG text, its code, its class."""

    swatch: str
    code: str
    name: str


@dataclass(frozen=True)
class Legend:
    """The legend, which every drawing carries, with the signs for a mark's state."""

    items: tuple[LegendItem, ...]
    signs: tuple[str, ...]
    type: str = "legend"


@dataclass(frozen=True)
class Heading:
    """A heading inside a section."""

    text: str
    type: str = "heading"


@dataclass(frozen=True)
class Blanks:
    """Lines to write on with a pen; a row that has an answer already is printed with it."""

    rows: tuple[Fact, ...]
    type: str = "blanks"


@dataclass(frozen=True)
class Signing:
    """One line a person: as what, the name if it is known, then date and signature by pen."""

    rows: tuple[Fact, ...]
    date: str
    signature: str
    type: str = "signing"


Block = Facts | Words | Alert | Table | Figure | Legend | Heading | Blanks | Signing


@dataclass(frozen=True)
class Section:
    """One part of a report under its heading; `key` names it for "copy as text"."""

    key: str
    title: str
    blocks: tuple[Block, ...]
