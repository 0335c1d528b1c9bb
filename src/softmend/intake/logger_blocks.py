"""Records that stand one below the other in a file, each under its own header: told apart or said.

A header that stands again may be the next page of one record, or another logger's record.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.intake.logger_clock import Clock
from softmend.intake.logger_columns import LOGGER_NAME
from softmend.intake.logger_table import FileTable, Line

_MANY = 3
_FACT = re.compile(r"[^\w]*([^\W\d_][\w /.#-]{0,40}?)\s*[:=;,\t|]\s*(\S.*)")
_SERIAL = re.compile(r"s/?n\b|serial|nr\b|\bid\b|title", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class _Block:
    """Where a record's header stands, which readings are its own, and what stands above it."""

    number: int
    mine: NDArray[np.intp]
    facts: dict[str, str]


def told_apart(table: FileTable, readings: Sequence[Line], clock: Clock) -> Clock:
    """Return the clock with each row's logger, where the lines above each header name it.

    InputError where a second record of the same days begins under no name of its own.
    """
    blocks = _blocks(table, readings, clock.seconds)
    if len(blocks) < 2 or clock.labels:
        return clock
    names = _names(blocks)
    if names:
        labels = [""] * len(readings)
        for block, name in zip(blocks, names, strict=True):
            for i in block.mine:
                labels[i] = name
        return replace(clock, labels=tuple(labels))
    asked = [one for pair in pairwise(blocks) for one in _said(*pair, clock)]
    return replace(clock, asked=tuple(asked)) if asked else clock


def _blocks(
    table: FileTable, readings: Sequence[Line], seconds: NDArray[np.float64]
) -> list[_Block]:
    again = [one.number for one in table.lines if is_header(one.cells, table)]
    # The two lines of one header are one place.
    heads = [n for i, n in enumerate(again) if not i or n - again[i - 1] > 1]
    if not heads:
        return []
    places = np.array([one.number for one in readings])
    timed = np.isfinite(seconds)
    edges = [0, *heads, int(places[-1]) + 1]
    found: list[_Block] = []
    facts = _facts(table.before)
    for first, after in pairwise(edges):
        mine = np.flatnonzero((places > first) & (places < after))
        if first:
            above = found[-1].mine
            last = places[above[timed[above]]].max(initial=found[-1].number)
            facts = _facts([o.text for o in table.lines if last < o.number < first])
        found.append(_Block(first, mine, facts))
    return [one for one in found if np.count_nonzero(timed[one.mine]) >= _MANY]


def _facts(lines: Sequence[str]) -> dict[str, str]:
    """Return what lines of the kind “Logger: north wall” say, by their first words."""
    found: dict[str, str] = {}
    for text in lines:
        fact = _FACT.match(text)
        if fact and (LOGGER_NAME.search(fact[1]) or _SERIAL.search(fact[1])):
            found.setdefault(fact[1].strip().lower(), fact[2].strip(" ,;\t\"'")[:80])
    return found


def _names(blocks: Sequence[_Block]) -> list[str]:
    """Return each block's name by the first fact that all give and in which some differ."""
    for key in blocks[0].facts:
        names: list[str] = []
        for block in blocks:
            if block.facts and key not in block.facts:
                break
            # A page without facts of its own belongs to the record above it.
            names.append(block.facts[key] if block.facts else names[-1])
        if len(names) == len(blocks) and len(set(names)) > 1:
            return names
    return []


def _said(before: _Block, after: _Block, clock: Clock) -> list[str]:
    """Return what is asked of two blocks; InputError where they are of the same days."""
    first, second = (clock.seconds[one.mine] for one in (before, after))
    first, second = (one[np.isfinite(one)] for one in (first, second))
    shared = min(first.max(), second.max()) - max(first.min(), second.min())
    least = min(np.ptp(first), np.ptp(second))
    if least > 0 and shared > 0.5 * least:
        raise InputError(
            f"A second record of the same days begins at line {after.number}",
            allowed="one record, or several loggers side by side, named in a column or above each "
            "header (Logger: north wall)",
            remedy="Save each record as a file of its own",
        )
    step = float(np.median(np.abs(np.diff(first))))
    if abs(second[0] - first[-1]) <= 1.5 * step:
        return []
    return [
        f"The header stands again at line {after.number}, and the times leap there: the rows below "
        "were taken as the same logger's. If they are another's, save them as a file of their own."
    ]


def is_header(cells: tuple[str, ...], table: FileTable) -> bool:
    """Return whether cells are those of a line of the table's header."""
    return any(cells == one.cells for one in table.header_lines)
