"""A place of the house, and an object's link to it: since when, in which case, how it is shaped.

Places, cases and loggers belong to the house. Which object stands where is a movement: it stays
out of every page and export but the registrar's.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum

from softmend.errors import InputError
from softmend.records.bookkeeping import Run
from softmend.records.crack_model import Told
from softmend.records.custody import past_day
from softmend.records.dossier import NOT_KNOWN

LONGEST_NAME = 120


class PlaceKind(Enum):
    """What a place is for."""

    GALLERY = "gallery"
    STORE = "store"
    WORKROOM = "workroom"
    OTHER = "other"


class Stable(Enum):
    """Whether the object was in a good state in the climate that was logged."""

    YES = "yes"
    NO = "no"
    NOT_KNOWN = "not known"


class Shape(Enum):
    """The simple body that an object is taken for when moisture moves into it."""

    CYLINDER = "cylinder"
    SLAB = "slab"


@dataclass(frozen=True)
class Place:
    """One room or store of the house; `zone` is the clock on its wall."""

    name: str
    kind: PlaceKind = PlaceKind.GALLERY
    zone: str = NOT_KNOWN
    note: str = NOT_KNOWN


@dataclass(frozen=True)
class NearLogger:
    """The logger that hung nearest to an object for a time; a day left "" is open."""

    logger: str
    from_on: str = ""
    until_on: str = ""


@dataclass(frozen=True)
class ObjectPlace:
    """Where an object stands, or is to stand: the place, the case in it ("" when open), since when.

    A first day that is still to come makes it a plan; the registrar's move is recorded apart.
    `place_id` and `showcase_id` are subjects of the house's journal. `near` names which of several
    loggers of the room speaks for the object, period after period; left out, the longest does.
    """

    place_id: str
    since_on: str
    showcase_id: str = ""
    until_on: str = NOT_KNOWN
    because: str = NOT_KNOWN
    near: tuple[NearLogger, ...] = ()

    def is_planned(self, today: date) -> bool:
        """Say whether the object is still to be moved there."""
        return date.fromisoformat(self.since_on) > today


@dataclass(frozen=True)
class ObjectInAir:
    """What is said of an object so that its moisture can be followed.

    `size_mm` is the radius of a cylinder or the thickness of a slab. A diffusivity that is left
    out stays wide. The two limits are those below and above which hours are counted.
    """

    shape: Shape
    size_mm: Told
    diffusivity_mm2_per_day: Told | None = None
    stable: Stable = Stable.NOT_KNOWN
    stable_grounds: str = NOT_KNOWN
    has_new_joins: bool = False
    low_limit_percent: float = 40.0
    high_limit_percent: float = 65.0
    limits_basis: str = NOT_KNOWN


@dataclass(frozen=True)
class PlaceRun(Run):
    """A computation about an object's place, kept; it tells of a room and a case, so it stays."""


OBJECT_LIMITS: dict[str, tuple[str, str, float, float]] = {
    "size_mm": ("The radius or thickness", "mm", 0.2, 1000),
    "diffusivity_mm2_per_day": ("The diffusivity", "mm²/d", 0.01, 1000),
}


def checked_place(place: Place) -> Place:
    """Return a place if it has a name."""
    if not 0 < len(place.name.strip()) <= LONGEST_NAME:
        raise InputError(
            "A place needs a name",
            value=place.name[:50],
            allowed=f"1 to {LONGEST_NAME} characters",
            remedy="Name it as the house does: gallery, store, bay",
        )
    return place


def checked_object_place(stands: ObjectPlace) -> ObjectPlace:
    """Return the link if its days are in order; a first day to come is a plan."""
    first = past_day(stands.since_on, "The first day")
    if stands.until_on != NOT_KNOWN and past_day(stands.until_on, "The last day") < first:
        raise InputError(
            "The last day lies before the first",
            value=f"{stands.since_on} to {stands.until_on}",
            remedy="Correct one of them",
        )
    _check_near(stands.near)
    return stands


def _check_near(near: tuple[NearLogger, ...]) -> None:
    """Refuse loggers whose days run backwards or overlap: one speaks for a day."""
    before = None
    for one in near:
        first = past_day(one.from_on, "The first day of a logger") if one.from_on else date.min
        last = past_day(one.until_on, "The last day of a logger") if one.until_on else date.max
        if last < first:
            raise InputError(
                "A logger's last day lies before its first",
                value=f"{one.logger}: {one.from_on} to {one.until_on}",
                remedy="Correct one of them",
            )
        if before is not None and first <= before:
            raise InputError(
                "Two loggers are named for the same days",
                value=f"{one.logger} from {one.from_on or 'the beginning'}",
                allowed="one logger for each day, the earliest first",
                remedy="Let the earlier one end on the day before",
            )
        before = last


def checked_in_air(said: ObjectInAir) -> ObjectInAir:
    """Return what is said of an object's body if it is possible and in order."""
    for name, (words, unit, least, most) in OBJECT_LIMITS.items():
        told: Told | None = getattr(said, name)
        if told is not None:
            check_told(told, words, unit, least, most)
    low, high = said.low_limit_percent, said.high_limit_percent
    if not 0 <= low < high <= 100:
        raise InputError(
            "The two humidities to count hours by are not in order",
            value=f"{low:g} and {high:g} %RH",
            allowed="0 to 100, the first below the second",
        )
    return said


def check_told(told: Told, words: str, unit: str, least: float, most: float) -> None:
    """Refuse three points that are impossible or do not rise; one point thrice is exact."""
    points = (told.low, told.typical, told.high)
    shown = f"{told.low:g}, {told.typical:g}, {told.high:g} {unit}".strip()
    if not all(least <= point <= most for point in points):
        raise InputError(
            f"{words} is outside what is possible",
            value=shown,
            allowed=f"{least:g} to {most:g} {unit}".strip(),
            remedy="Correct the number",
        )
    is_exact = told.low == told.typical == told.high
    if not (is_exact or told.low < told.typical < told.high):
        raise InputError(
            f"{words} needs three points that rise: low, typical, high",
            value=shown,
            allowed="low below typical, typical below high; or one number three times",
            remedy="Say how far off you may be",
        )
