"""Tracing with help: a photograph made ready once, then the way of a crack between clicks."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from softmend.records.mark import Position
from softmend.records.view import View
from softmend.services.bench import Bench

if TYPE_CHECKING:
    from softmend.science.photo.trace import Prepared

TRACED = "traced with help"
TRACE_VERSION = "1"
OFF_PX = 0.35
"""Points that lie nearer than this to the line are left out: fewer are easier to move by hand."""

# Two requests for one photograph make it ready once.
_one_at_a_time = threading.Lock()


@dataclass(frozen=True)
class TracedPart:
    """A stretch of a traced line, and whether the picture shows little of a crack there."""

    line_px: tuple[Position, ...]
    is_weak: bool


@dataclass(frozen=True)
class LiveTrace:
    """A traced line with few points, its stretches, and how much of it is weak."""

    line_px: tuple[Position, ...]
    parts: tuple[TracedPart, ...]
    weak_percent: float


def make_ready(bench: Bench, view: View) -> None:
    """Make a photograph ready for tracing, which takes a second or two for a large one."""
    _ready(bench, view)


def traced(bench: Bench, view: View, anchors_px: Sequence[Sequence[float]]) -> LiveTrace:
    """Return the way of a crack through the anchors; InputError when they make no line."""
    from softmend.science.photo.trace import trace

    found = trace(_ready(bench, view), anchors_px)
    parts = tuple(
        TracedPart(_few(found.points_px[one.first : one.last + 1]), one.is_weak)
        for one in found.stretches
        if one.last > one.first
    )
    line: list[Position] = list(parts[0].line_px[:1])
    for part in parts:
        line += [at for at in part.line_px if at != line[-1]]
    return LiveTrace(tuple(line), parts, round(100 * found.weak_share, 1))


def _few(points: Any) -> tuple[Position, ...]:
    from softmend.science.photo.few_points import few_points

    left = few_points(points, OFF_PX)
    return tuple((round(float(x), 2), round(float(y), 2)) for x, y in left)


def _ready(bench: Bench, view: View) -> Prepared:
    path = bench.store.files.path(view.canonical_sha256)
    with _one_at_a_time:
        return _prepared(path)


@lru_cache(maxsize=2)
def _prepared(canonical: Path) -> Prepared:
    # The path holds the hash of what lies there, so that the same path is the same photograph.
    from softmend.intake.canonical import read_canonical
    from softmend.science.photo.light import coded_grey
    from softmend.science.photo.trace import prepared

    return prepared(coded_grey(read_canonical(canonical)))
