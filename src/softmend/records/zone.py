"""Zones of surface in two levels: the body, exactly one per place, and what lies on it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from softmend.records.dossier import NOT_KNOWN
from softmend.records.mark import Position


class Body(Enum):
    """What a place is made of: exactly one holds anywhere."""

    ORIGINAL = "original"
    OLD_KEPT = "old restoration kept"
    TO_BE_REMOVED = "to be removed"
    REMOVED = "removed"
    NEW_FILL = "new fill"
    UNCERTAIN = "uncertain"


class OnIt(Enum):
    """What lies on the body: any number of these may hold at one place."""

    COATING = "coating"
    OLD_TONE = "old tone"
    NEW_TONE = "new tone"
    FACING = "facing"
    PROTECTED_EVIDENCE = "protected evidence"
    UNTREATED_RESERVE = "untreated reserve"


@dataclass(frozen=True)
class BodyZone:
    """A zone of the body on one view: a ring and its holes, cut against its neighbours."""

    number: int
    view_id: str
    body: Body
    rings: tuple[tuple[Position, ...], ...]
    accuracy_px: float
    part: str = NOT_KNOWN
    side: str = NOT_KNOWN
    grounds_observed: str = NOT_KNOWN
    checked_how: str = "not checked"

    @property
    def name(self) -> str:
        """Return the zone as it is printed and shown: "Z1"."""
        return body_zone_name(self.number)


@dataclass(frozen=True)
class OnZone:
    """A zone of something on the body, on one view."""

    number: int
    view_id: str
    on_it: OnIt
    rings: tuple[tuple[Position, ...], ...]
    accuracy_px: float
    part: str = NOT_KNOWN
    side: str = NOT_KNOWN
    grounds_observed: str = NOT_KNOWN
    checked_how: str = "not checked"

    @property
    def name(self) -> str:
        """Return the zone as it is printed and shown: "SZ1"."""
        return on_zone_name(self.number)


def body_zone_name(number: int) -> str:
    """Return a zone of the body as it is printed: Z and its number."""
    return f"Z{number}"


def on_zone_name(number: int) -> str:
    """Return a zone of what lies on the body as it is printed: SZ, surface zone, and its number."""
    return f"SZ{number}"
