"""The trace of a crack from click to click."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Point,
    WorkingValue,
    estimate,
)
from softmend.catalogue.eyes import (
    MM_PER_M,
    SEEN_TO,
    Ended,
    Line,
    PictureFile,
    ScaleOrNone,
    Traced,
    ends_of,
    no_scale_warnings,
    picture_of,
    scale_lines,
    traced,
)
from softmend.catalogue.surface import surface_of

TRACED_SD_PX = 0.7
"""Spread of a traced point: from drawn cracks among decoys, median 0.4 to 0.7 px off."""

Anchors = Annotated[list[Point], Field(min_length=2, max_length=500)]


class TraceInput(Model):
    """Clicks along a crack in their order; and, to see the spread of the hand, a second tracing.

    The second may be clicked (`again_anchors_px`) or drawn by hand (`again_line_px`).
    """

    picture_file: PictureFile
    anchors_px: Anchors
    again_anchors_px: Anchors | None = None
    again_line_px: Line | None = None
    scale: ScaleOrNone = None


class TracedStretch(Model):
    """A stretch of the trace by the numbers of its points, and whether its evidence is weak."""

    first_point: int
    last_point: int
    is_weak: bool


class Hand(Model):
    """The spread of the hand, from two tracings of one crack."""

    sideways_sd_px: float
    furthest_px: float
    length_difference_px: float
    start_apart_px: float
    end_apart_px: float
    text: str


class TraceAnswer(Answer):
    """The traced line, where its evidence is weak, its length, and the spread of the hand."""

    line_px: Traced
    stretches: tuple[TracedStretch, ...]
    weak_percent: float
    traced_px: float
    ends: tuple[Ended, Ended]
    length_mm: Estimate | None = None
    hand: Hand | None = None


def photo_trace(given: TraceInput, asked: Asked) -> TraceAnswer:
    """Return the line of a crack through the clicks on it."""
    from softmend.science.photo.light import coded_grey
    from softmend.science.photo.line import smoothed_line
    from softmend.science.photo.trace import prepared, trace

    ready = prepared(coded_grey(picture_of(asked)))
    found = trace(ready, given.anchors_px)
    line = traced(found.points_px)
    hand = _hand(given, ready, found.points_px)
    smooth = smoothed_line(found.points_px)
    run = smooth[1:] - smooth[:-1]
    weak = 100 * found.weak_share
    return TraceAnswer(
        line_px=line,
        stretches=tuple(
            TracedStretch(first_point=one.first, last_point=one.last, is_weak=one.is_weak)
            for one in found.stretches
        ),
        weak_percent=round(weak, 1),
        traced_px=round(float((run[:, 0] ** 2 + run[:, 1] ** 2) ** 0.5 @ (run[:, 0] * 0 + 1)), 1),
        ends=ends_of(line),
        length_mm=_length(given, asked, found.points_px, hand),
        hand=hand,
        warnings=(*_weak(weak), *no_scale_warnings(given.scale)),
        working=(*scale_lines(given.scale), _spread_working(hand)),
    )


def _hand(given: TraceInput, ready: Any, first_px: Any) -> Hand | None:
    from softmend.science.photo.hand import hand_spread
    from softmend.science.photo.trace import trace

    if given.again_line_px is not None:
        second: Any = given.again_line_px
    elif given.again_anchors_px is not None:
        second = trace(ready, given.again_anchors_px).points_px
    else:
        return None
    found = hand_spread(first_px, second)
    return Hand(
        sideways_sd_px=round(found.sideways_sd_px, 2),
        furthest_px=round(found.furthest_px, 2),
        length_difference_px=round(found.length_difference_px, 1),
        start_apart_px=round(found.start_apart_px, 1),
        end_apart_px=round(found.end_apart_px, 1),
        text=f"spread of the hand {found.sideways_sd_px:.1f} px sideways, lengths "
        f"{found.length_difference_px:.0f} px apart",
    )


def _length(given: TraceInput, asked: Asked, points: Any, hand: Hand | None) -> Estimate | None:
    from softmend.science.photo.polygon import measured_length

    if given.scale is None:
        return None
    surface = surface_of(given.scale, asked, points.tolist())
    spread_px = max(TRACED_SD_PX, hand.sideways_sd_px if hand else 0.0)
    found = measured_length(surface, points, min(spread_px, 100.0), seed=asked.seed)
    return estimate(found, MM_PER_M, "mm")


def _weak(weak_percent: float) -> tuple[str, ...]:
    if weak_percent == 0:
        return ()
    return (
        f"On {weak_percent:.0f} % of the trace the picture shows no more of a crack than beside "
        "it: look again, add a click, or end the trace there.",
    )


def _spread_working(hand: Hand | None) -> WorkingValue:
    if hand is None:
        return WorkingValue(
            name="spread of a traced point",
            text=f"{TRACED_SD_PX:g} px",
            kind="estimated",
            origin="drawn cracks; trace twice for the spread of this hand",
        )
    return WorkingValue(
        name="spread of a traced point",
        text=f"{hand.sideways_sd_px:g} px",
        kind="measured",
        origin="two tracings",
    )


COMPUTATIONS = {
    "photo.trace": Computation(
        name="photo.trace",
        title="Trace of a crack",
        input_model=TraceInput,
        output_model=TraceAnswer,
        function=photo_trace,
        formula="cheapest path between clicks over 6 + 249 exp(−r/28), r likeness to a thin dark "
        "line; refined by dynamic programming through the strip along it",
        sources=("cohen1997", "lindeberg1998", "bellman1957", "softmend-imaging"),
        cautions=(
            SEEN_TO,
            "The person traces: where the colour says weak, the line is a guess.",
        ),
        checked="tests/science/photo/test_trace.py",
    ),
}
