"""What is drawn over a view: one shape with its code, name and sign, and the scale bar."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.records.mark import Geometry, State

STATE_SIGNS: dict[State, str] = {
    State.NOT_KNOWN: "?",
    State.NO_CHANGE_SHOWN: "=",
    State.GROWN: "↔",
    State.BREATHES: "~",
}


@dataclass(frozen=True)
class Drawing:
    """One sighting or zone as it is drawn: legend code, its human name, its shape, its state.

    `name` is the mark's number ("7"), a zone's ("Z2"), or "·" for a draft; zones have no state.
    """

    code: str
    name: str
    geometry: Geometry
    state: State | None = None

    @property
    def label(self) -> str:
        """Return what stands beside the shape: name, code, and the sign of its state."""
        sign = "" if self.state is None else STATE_SIGNS[self.state]
        return " ".join(part for part in (self.name, self.code, sign) if part)


@dataclass(frozen=True)
class ScaleBar:
    """How long one pixel is on a view, and the scale's relative uncertainty (k = 2)."""

    mm_per_px: float
    relative_expanded: float
