"""The air at the two dates of a comparison, read from the record of the object's room.

The days before a photograph count, not its minute: an object settles to its air over days.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from softmend.errors import MissingEvidenceError
from softmend.records.comparison_of_views import ComparisonOfViews
from softmend.services.bench import Bench
from softmend.services.places.drawn import zone_named
from softmend.services.places.nearest import record_for
from softmend.services.places.record import Record
from softmend.services.places.tied import Tied, tied_in
from softmend.services.store import Reader

DAYS = 7
"""The mean of so many days up to the photograph's is taken."""

LEAST_SHARE = 0.5
"""Of their hours so many must have been logged."""

_DAY_S = 86_400.0


@dataclass(frozen=True)
class AirThen:
    """The mean air of the days up to one date; temperature None where it was not logged."""

    rh_percent: float
    expanded_percent: float
    temperature_degc: float | None


@dataclass(frozen=True)
class AirRead:
    """The air at both dates as the record tells it, None where it does not, and whose record."""

    earlier: AirThen | None
    later: AirThen | None
    said: str


def air_read(
    bench: Bench, reader: Reader, dossier_id: str, days: tuple[str, str]
) -> AirRead | None:
    """Return the air at two dates from the room's record; None while there is none for either."""
    tied = tied_in(reader, dossier_id)
    try:
        record = record_for(bench, reader, tied)
    except MissingEvidenceError:
        return None
    if record is None or tied.place is None or tied.stands is None:
        return None
    zone = tied.place.place.zone
    earlier, later = (_then(record, tied, day, zone) for day in days)
    if earlier is None and later is None:
        return None
    known = [day for day, air in zip(days, (earlier, later), strict=True) if air]
    of_case = "; the room's air, the object stands in a case" if tied.stands.showcase_id else ""
    return AirRead(
        earlier,
        later,
        f"logger {record.logger}, {tied.place.place.name}: mean of the {DAYS} days up to "
        f"{' and '.join(known)}{of_case}",
    )


def air_offered(comparison: ComparisonOfViews | None, read: AirRead | None) -> ComparisonOfViews:
    """Return the air to fill the form with: what a person said before, else what was read."""
    if comparison is not None:
        return comparison
    blank = ComparisonOfViews("", "")
    if read is None:
        return blank
    known = [one for one in (read.earlier, read.later) if one]
    return replace(
        blank,
        earlier_percent=read.earlier.rh_percent if read.earlier else None,
        later_percent=read.later.rh_percent if read.later else None,
        air_expanded_percent=max(one.expanded_percent for one in known),
        earlier_degc=read.earlier.temperature_degc if read.earlier else None,
        later_degc=read.later.temperature_degc if read.later else None,
        air_from=read.said,
    )


def _then(record: Record, tied: Tied, day: str, zone: str) -> AirThen | None:
    """Return the mean of the days up to a date, None where it was not logged or elsewhere."""
    try:
        on = date.fromisoformat(day[:10])
    except ValueError:
        return None
    if tied.stands is None or on - timedelta(days=DAYS) < date.fromisoformat(tied.stands.since_on):
        return None
    midnight = datetime.combine(on + timedelta(days=1), datetime.min.time(), zone_named(zone))
    last = midnight.timestamp()
    hours = record.hours
    inside = (hours.times_s >= last - DAYS * _DAY_S) & (hours.times_s < last)
    count = int(inside.sum())
    if count * hours.step_s < LEAST_SHARE * DAYS * _DAY_S:
        return None
    rh = hours.rh[inside]
    warm = None if hours.temperature is None else hours.temperature[inside]
    # One week is one reading of the season: its own scatter by days stands beside the sensor's.
    by_day = 2 * float(rh.std()) / math.sqrt(DAYS)
    return AirThen(
        round(float(rh.mean()), 1),
        round(math.hypot(record.sensor_percent, by_day), 1),
        None if warm is None else round(float(warm.mean()), 1),
    )
