"""Colours of the object: from a photograph with a chart, or from an instrument."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.paint import Reading, check_specular


class ReadHow(Enum):
    """How a colour of the object was come by."""

    PHOTOGRAPH = "photograph"
    INSTRUMENT = "instrument"


@dataclass(frozen=True)
class ReadPlace:
    """One place of the object: its colour, how it spreads over the place, and how sure it is.

    `lab` is for D50 and the 2° observer and comes from a photograph; `reading` is a curve from an
    instrument. `uncertainty` is in CIEDE2000, None where it is not known.
    """

    name: str
    text: str
    lab: tuple[float, float, float] | None = None
    lab_spread: tuple[float, float, float] | None = None
    uncertainty: float | None = None
    outline_px: tuple[tuple[float, float], ...] = ()
    reading: Reading | None = None


@dataclass(frozen=True)
class ColourReading:
    """Colours of places on the object, all read in one way at one time.

    From a photograph, `asked` and `answered` are what the chart was asked and said, and the patches
    were looked at and confirmed by the author of the entry.
    """

    number: int
    how: ReadHow
    places: tuple[ReadPlace, ...]
    view_id: str = ""
    chart: str = NOT_KNOWN
    quality: str = NOT_KNOWN
    warnings: tuple[str, ...] = ()
    asked: dict[str, Any] = field(default_factory=dict)
    answered: dict[str, Any] = field(default_factory=dict)
    note: str = NOT_KNOWN


@dataclass(frozen=True)
class ColourChart:
    """A colour chart of the house's own: its patches row by row, L*, a*, b* for D50 and 2°."""

    name: str
    rows: int
    columns: int
    patches_lab: tuple[tuple[float, float, float], ...]
    is_invented: bool = False
    note: str = NOT_KNOWN


def checked_colours(reading: ColourReading) -> ColourReading:
    """Return colours of the object if each has a name and a colour, and the curves go together."""
    if not reading.places:
        raise InputError("No place of the object was read", remedy="Mark one place or more")
    for one in reading.places:
        if not one.name.strip() or (one.lab is None and one.reading is None):
            raise InputError(
                "A place of the object needs a name and a colour",
                value=one.name or "no name",
                remedy="Leave out a place that the chart could not correct",
            )
    check_specular(tuple(one.reading for one in reading.places if one.reading is not None))
    return reading


def checked_chart(chart: ColourChart) -> ColourChart:
    """Return a chart if it has as many colours as patches."""
    if len(chart.patches_lab) != chart.rows * chart.columns or len(chart.patches_lab) < 6:
        raise InputError(
            f"The chart “{chart.name}” has another number of colours than of patches",
            value=len(chart.patches_lab),
            allowed=f"{chart.rows} rows of {chart.columns}, six patches or more",
        )
    return chart
