"""Marks belong to the object; each is seen in one or several sightings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from softmend.records.dossier import NOT_KNOWN, Certainty

Position = tuple[float, float]
BY_HAND = "drawn by hand"


class Shape(Enum):
    """How a sighting is drawn."""

    POINT = "Point"
    LINE = "LineString"
    AREA = "Polygon"


class State(Enum):
    """What is known of a mark's change; it is shown as a sign beside the number."""

    NOT_KNOWN = "not known"
    NO_CHANGE_SHOWN = "no change shown"
    BREATHES = "breathes with RH"
    GROWN = "grown"


class Role(Enum):
    """How a sighting counts towards the one mark that it belongs to."""

    FIRST = "first"
    CONTINUES = "continues"
    SAME_STRETCH = "same stretch"


class KnownHow(Enum):
    """How a depth is known; "not known" is a wide range and never advice to probe."""

    SEEN = "seen"
    GAUGE = "gauge"
    XRAY = "X-ray"
    NOT_KNOWN = "not known"


class Section(Enum):
    """The shape a crack or void is taken to have in section."""

    RECTANGLE = "rectangle"
    V = "V"
    LENS = "lens"


@dataclass(frozen=True)
class Geometry:
    """What was drawn, in pixels of its own view, to 0.01 px.

    A point is one part of one position, a line one part, an area a ring and its holes
    (rings are open: the last position is not the first repeated).
    """

    shape: Shape
    parts: tuple[tuple[Position, ...], ...]


@dataclass(frozen=True)
class Sighting:
    """One drawing of a mark on a view, and how it counts.

    `overlap_fraction` (0 to 1): of a continuation, the share of this drawing that another sighting
    shows already; of the same stretch, the share of the whole mark that this drawing shows.
    `drawn_how` names the method and its version where the machine helped; `drawn_sd_px` is then
    how far off a point of it may lie.
    """

    view_id: str
    geometry: Geometry
    role: Role = Role.FIRST
    overlap_fraction: float = 0.0
    drawn_how: str = BY_HAND
    drawn_sd_px: float | None = None


@dataclass(frozen=True)
class WidthStation:
    """A width measured by hand, at a distance along the crack from its first end."""

    along_mm: float
    width_mm: float
    expanded_mm: float
    measured_with: str


@dataclass(frozen=True)
class DepthStation:
    """A depth as a range at a distance along the crack, and how it is known."""

    along_mm: float
    low_mm: float
    typical_mm: float
    high_mm: float
    known_how: KnownHow


@dataclass(frozen=True)
class Mark:
    """One thing seen on the object, under one number for ever.

    What was observed, what is inferred and what others reported never share a field.
    """

    number: int
    term_id: str
    sightings: tuple[Sighting, ...]
    state: State = State.NOT_KNOWN
    state_grounds: str = NOT_KNOWN
    age: str = NOT_KNOWN
    part: str = NOT_KNOWN
    side: str = NOT_KNOWN
    place: str = NOT_KNOWN
    note_observed: str = NOT_KNOWN
    cause_inferred: str = NOT_KNOWN
    cause_certainty: Certainty = Certainty.NOT_KNOWN
    history_reported: str = NOT_KNOWN
    section: Section = Section.V
    widths: tuple[WidthStation, ...] = ()
    depths: tuple[DepthStation, ...] = ()
