"""A photograph laid along a scan by like places, and stretches found from it that are set aside."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.mark import Position
from softmend.records.scan import Place3

FEWEST_PLACES, MOST_PLACES = 2, 20


@dataclass(frozen=True)
class LikePlace:
    """One place on both: pixels of the photograph, and the scan's file's own coordinates."""

    at_px: Position
    at: Place3


@dataclass(frozen=True)
class ScanView:
    """A photograph laid along a scan by the same places on both, picked along the object.

    What is drawn on the photograph keeps supports away by `clear_mm` beyond its uncertainty;
    `pick_mm` and `pick_px` are how far off a pick may lie (k = 1).
    """

    scan_id: str
    view_id: str
    places: tuple[LikePlace, ...]
    clear_mm: float = 20.0
    pick_mm: float = 3.0
    pick_px: float = 4.0


@dataclass(frozen=True)
class StretchSetAside:
    """A stretch found from a photograph that keeps no support away, and why.

    `drawn_id` is the mark or zone. It holds while the entries that it rests on are the newest of
    theirs and `down` is still down; after that the stretch counts again.
    """

    scan_id: str
    view_id: str
    drawn_id: str
    because: str
    down: Place3
    rests_on_entry_ids: tuple[str, ...] = ()


def checked_scan_view(laid: ScanView) -> ScanView:
    """Return a photograph laid along a scan if its places are enough and its numbers possible."""
    if not FEWEST_PLACES <= len(laid.places) <= MOST_PLACES:
        raise InputError(
            "A photograph is laid along a scan by a few places on both",
            value=f"{len(laid.places)}",
            allowed=f"{FEWEST_PLACES} to {MOST_PLACES}, along the object; three or more show how "
            "well they fit",
            remedy="Pick the same places on both, in the same order",
        )
    for words, value, unit, least, most in (
        ("How far supports stay clear", laid.clear_mm, "mm", 0, 2000),
        ("How far off a pick on the scan may lie", laid.pick_mm, "mm", 0.1, 100),
        ("How far off a pick on the photograph may lie", laid.pick_px, "px", 0.1, 100),
    ):
        if not (math.isfinite(value) and least <= value <= most):
            raise InputError(
                f"{words} is outside what is possible", value=f"{value:g} {unit}",
                allowed=f"{least:g} to {most:g} {unit}", remedy="Correct the number",
            )  # fmt: skip
    return laid


def checked_set_aside(aside: StretchSetAside) -> StretchSetAside:
    """Return a stretch that is set aside if it says why."""
    if not aside.because.strip():
        raise InputError(
            "A stretch is set aside for a reason",
            remedy="For example: it lies on top, as the object is held; no support comes there",
        )
    return aside
