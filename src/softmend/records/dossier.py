"""The dossier itself, the object's head, and its hazards."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

NOT_KNOWN = "not known"


class Size(Enum):
    """How much a dossier asks for; it can be changed upward, never downward."""

    NOTE = "note"
    SHORT = "short"
    FULL = "full"


class Certainty(Enum):
    """How sure an inference is, in words."""

    CERTAIN = "certain"
    LIKELY = "likely"
    POSSIBLE = "possible"
    NOT_KNOWN = "not known"


class HazardStatus(Enum):
    """What is known about a hazard; a few tested points never clear an object."""

    NOT_TESTED = "not tested"
    TESTED_CLEAR = "tested clear"
    PRESENT = "present"


@dataclass(frozen=True)
class Dossier:
    """The opening of a dossier: three facts and a size."""

    what: str
    number: str
    number_issued_by: str
    why_here: str
    size: Size = Size.SHORT
    is_invented: bool = False


@dataclass(frozen=True)
class Identifier:
    """One number the object carries, and who issued it."""

    number: str
    issued_by: str


@dataclass(frozen=True)
class Material:
    """What a part is made of, how that was identified, and how sure it is."""

    part: str
    material: str
    identified_how: str = NOT_KNOWN
    certainty: Certainty = Certainty.NOT_KNOWN


@dataclass(frozen=True)
class Measure:
    """One dimension of the object, with the half-width of its 95 % interval."""

    name: str
    value_mm: float
    expanded_mm: float | None = None
    measured_how: str = NOT_KNOWN


@dataclass(frozen=True)
class ObjectHead:
    """Who and what the object is; every field is an answer, "not known" included."""

    title: str
    owner: str = NOT_KNOWN
    identifiers: tuple[Identifier, ...] = ()
    materials: tuple[Material, ...] = ()
    measures: tuple[Measure, ...] = ()
    mass_g: float | None = None
    mass_expanded_g: float | None = None
    location: str = NOT_KNOWN
    deadline_on: str = NOT_KNOWN
    intended_use: str = NOT_KNOWN
    description_observed: str = NOT_KNOWN
    history_reported: str = NOT_KNOWN


@dataclass(frozen=True)
class Hazard:
    """One hazard of the object: its status, how that is known, and who may handle."""

    hazard: str
    status: HazardStatus = HazardStatus.NOT_TESTED
    method: str = NOT_KNOWN
    detection_limit: str = NOT_KNOWN
    tested_on: str = NOT_KNOWN
    who_may_handle: str = NOT_KNOWN
    handling: str = NOT_KNOWN
