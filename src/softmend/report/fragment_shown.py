"""What a treatment record shows of trays and seats, in words and pictures that a service fills."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.pictures.drawing import Drawing
from softmend.report.content import ReportView

Ring = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class TrayShown:
    """One tray: its photograph with the outlines, and a row for each outline that was answered.

    A row is the label on the picture, area and length as printed, and how it was drawn.
    """

    shown: ReportView
    rows: tuple[tuple[str, str, str], ...]

    @property
    def drawings(self) -> tuple[Drawing, ...]:
        """Return the outlines as they are drawn."""
        return self.shown.drawings


@dataclass(frozen=True)
class SeatRow:
    """One loss that a flake was laid on: what was seen, the figures, the evidence recorded there.

    `figures` is empty while not every candidate was looked at.
    """

    mark: str
    seen: str
    figures: tuple[str, ...]
    evidence: str


@dataclass(frozen=True)
class SeatsShown:
    """The seats of one fragment that were looked at; `picture` is the overlay that is printed.

    Outlines are in pixels of that overlay. `none_of_these` is what was said when none is its seat.
    """

    fragment: int
    rows: tuple[SeatRow, ...]
    none_of_these: str
    kept: str
    picture: str = ""
    picture_of: str = ""
    size_px: tuple[int, int] = (0, 0)
    flake: Ring = ()
    loss: Ring = ()
