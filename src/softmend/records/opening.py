"""How one crack of this object was seen to move with the air: measured beats modelled."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN

MOST_WIDTHS, MOST_AIR = 2_000, 20_000


class OpeningWay(Enum):
    """How the movement of a crack was measured."""

    PHOTOGRAPHS = "two photographs"
    TWO_READINGS = "crack gauge, two readings"
    SERIES = "crack gauge beside a logger"


@dataclass(frozen=True)
class WidthReading:
    """One width of one station of the empty crack, and the air that it had settled to."""

    read_on: str
    width_mm: float
    expanded_mm: float
    air_percent: float
    air_expanded_percent: float


@dataclass(frozen=True)
class WidthSeries:
    """A series of widths of one station, and the logger's record around them.

    Times are in hours from `starts_on`, the first reading of the logger.
    """

    starts_on: str
    taken_hours: tuple[float, ...]
    widths_mm: tuple[float, ...]
    air_hours: tuple[float, ...]
    air_percent: tuple[float, ...]


@dataclass(frozen=True)
class MeasuredOpening:
    """The measured opening of one mark: two readings, or a series beside a logger's record.

    `along_mm` is the station from the crack's first end; None is "not known".
    """

    way: OpeningWay
    readings: tuple[WidthReading, ...] = ()
    series: WidthSeries | None = None
    along_mm: float | None = None
    measured_with: str = NOT_KNOWN
    note_observed: str = NOT_KNOWN

    @property
    def starts_on(self) -> str:
        """Return the day from which the hours of a series count, or "not known"."""
        return NOT_KNOWN if self.series is None else self.series.starts_on


def checked_opening(opening: MeasuredOpening) -> MeasuredOpening:
    """Return a measured opening if it holds what its way needs, each width with its day."""
    if opening.way is OpeningWay.SERIES:
        if opening.series is None or opening.readings:
            raise InputError(
                "A series needs the widths and the logger's record",
                remedy="Paste both, each line a time and a number",
            )
        _check_series(opening.series)
        return opening
    if len(opening.readings) != 2 or opening.series is not None:
        raise InputError(
            "Two readings are needed, each with its own humidity",
            value=len(opening.readings),
            allowed="2",
            remedy="Use the seasons' own change; do not condition the room for a number",
        )
    for one in opening.readings:
        if one.read_on.strip() in ("", NOT_KNOWN):
            raise InputError("A width needs its day", remedy="Say when it was read")
        if not (0 < one.width_mm <= 1000 and 0 < one.expanded_mm <= 100):
            raise InputError(
                "A width or its ± is not possible",
                value=f"{one.width_mm:g} ± {one.expanded_mm:g} mm",
                allowed="above 0 to 1000 mm, ± above 0",
            )
        if not (0 <= one.air_percent <= 100 and 0 < one.air_expanded_percent <= 50):
            raise InputError(
                "A humidity or its ± is not possible",
                value=f"{one.air_percent:g} ± {one.air_expanded_percent:g} %RH",
                allowed="0 to 100 %RH, ± above 0 to 50",
            )
    return opening


def _check_series(series: WidthSeries) -> None:
    for name, times, values, most in (
        ("widths", series.taken_hours, series.widths_mm, MOST_WIDTHS),
        ("readings of the air", series.air_hours, series.air_percent, MOST_AIR),
    ):
        if len(times) != len(values) or not 4 <= len(times) <= most:
            raise InputError(
                f"The {name} are too few or too many",
                value=len(times),
                allowed=f"4 to {most}, one time for each",
            )
        if not all(math.isfinite(one) for one in (*times, *values)):
            raise InputError(f"One of the {name} is not a number")
