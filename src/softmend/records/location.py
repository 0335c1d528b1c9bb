"""Where the object, its bags and its samples are; only the registrar's copy tells."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from softmend.errors import InputError
from softmend.records.custody import past_day
from softmend.records.dossier import NOT_KNOWN

OBJECT = "object"


@dataclass(frozen=True)
class Location:
    """Where one thing is since when, who moved it and why; earlier places stay in the journal.

    `thing` is "object", "bag 2" or "sample 5". `usual_place` is where it belongs when it is not
    being worked on.
    """

    thing: str
    place: str
    since_on: str
    moved_by: str = NOT_KNOWN
    because: str = NOT_KNOWN
    usual_place: str = NOT_KNOWN


def checked_location(location: Location, today: date) -> Location:
    """Return the location if it says what, where and since when; "not known" is a place."""
    if not location.thing.strip():
        raise InputError("A location is of something", remedy="The object, a bag or a sample")
    if not location.place.strip():
        raise InputError(
            f"The place of {location.thing} is missing", remedy="Say where, or “not known”"
        )
    if past_day(location.since_on, "The day of the move") > today:
        raise InputError(
            "This move has not happened yet",
            value=location.since_on,
            allowed=f"up to {today.isoformat()}",
            remedy="Record a move when it is done",
        )
    return location
