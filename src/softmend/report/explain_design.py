"""What the mechanics of one crack and one fill say in print: every number is already text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class FillDesign:
    """One fill of one crack as designed, or the fill that is in it, from a run that was kept.

    `drawing` is SVG text of `drawing_size`; `stale_because` is "" while the run holds; an empty
    text was not known and is left out. `reached` is the pull that comes to the walls before fill or
    bond lets go, `pull` what it would be if both held.
    """

    mark_number: int
    place: str
    is_in: bool
    fill: str
    first: str
    object_first: str
    walls: str
    tip: str
    open_tip: str
    reached: str
    reached_in_the_hand: str
    pull: str
    in_the_hand: str
    tip_words: str
    movement: str
    size: str
    layers: str
    volume: str
    mix: str
    comes_off: str
    hazards: str
    cannot_know: tuple[str, ...]
    stale_because: str
    drawing: str
    drawing_size: tuple[float, float]
    drawing_words: str
