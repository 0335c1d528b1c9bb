"""From where a house looks at its fills, and what a person's own eyes notice."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN

FAR_MM, NEAR_MM = 1829.0, 250.0
NO_SOURCE = "common practice, no source"
NEAREST_MM, FURTHEST_MM = 50.0, 100_000.0


@dataclass(frozen=True)
class SightDistances:
    """The visitor's distance and that of reading: unseen from the one, found from the other."""

    far_mm: float = FAR_MM
    near_mm: float = NEAR_MM
    note: str = NOT_KNOWN

    @property
    def basis(self) -> str:
        """Return what the two distances rest on."""
        return NO_SOURCE if self.note == NOT_KNOWN else f"{NO_SOURCE}; {self.note}"


@dataclass(frozen=True)
class ShownBar:
    """One bar of a test: its width, the difference that was left to see, and whether it was seen.

    `difference` is in CIEDE2000 as seen from where the person sat.
    """

    width_mm: float
    difference: float
    was_right: bool


@dataclass(frozen=True)
class EyeTest:
    """What one person's eyes notice on a plain ground, from bars found or missed on a screen.

    `noticed`, `low` and `high` are CIEDE2000: what draws this person's eye, and its 90 % band.
    """

    person_id: str
    taken_on: str
    distance_mm: float
    bars: tuple[ShownBar, ...]
    noticed: float
    low: float
    high: float
    screen: str = NOT_KNOWN

    @property
    def text(self) -> str:
        """Return the result in a sentence."""
        right = sum(one.was_right for one in self.bars)
        return (
            f"{self.noticed:.1f} CIEDE2000 draws this person's eye ({self.low:.1f} to "
            f"{self.high:.1f}); {right} of {len(self.bars)} bars were found from "
            f"{self.distance_mm:g} mm."
        )


def checked_distances(distances: SightDistances) -> SightDistances:
    """Return two distances of which the near one is nearer."""
    if not NEAREST_MM <= distances.near_mm < distances.far_mm <= FURTHEST_MM:
        raise InputError(
            "The reading distance is not nearer than the visitor's",
            value=f"{distances.near_mm:g} and {distances.far_mm:g} mm",
            allowed="50 mm to 100 m, near below far",
        )
    return distances
