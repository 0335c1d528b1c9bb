"""A crack traced a second time: how far the hand may be off, and how far its ends are seen."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.drawing import MOST_POSITIONS
from softmend.records.mark import Position


@dataclass(frozen=True)
class SecondTracing:
    """A second tracing of a mark on one view, and what the two differ by, all in px.

    `sideways_sd_px` is the spread of one tracing; the ends are "seen to" within the two last.
    """

    mark_number: int
    view_id: str
    line_px: tuple[Position, ...]
    sideways_sd_px: float
    furthest_px: float
    length_difference_px: float
    start_apart_px: float
    end_apart_px: float


def checked_tracing(tracing: SecondTracing) -> SecondTracing:
    """Return a second tracing if it is a line."""
    if not 2 <= len(tracing.line_px) <= MOST_POSITIONS:
        raise InputError(
            "A second tracing is a line",
            value=f"{len(tracing.line_px)} points",
            allowed=f"2 to {MOST_POSITIONS}",
            remedy="Trace the crack once more from end to end",
        )
    return tracing
