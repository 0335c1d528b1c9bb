"""A place's record for the eye: least and most of each spell, months as a table, days of a year."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from softmend.records.dossier import NOT_KNOWN
from softmend.science.climate.record import DAY, HOUR
from softmend.science.climate.reduced import spells_of
from softmend.services.places.record import Record

MOST_SPELLS = 700
LEAST_WIDTH_S = HOUR


@dataclass(frozen=True)
class Month:
    """One month of a record: what was read, and how much of it."""

    name: str
    mean_percent: float
    least_percent: float
    most_percent: float
    mean_degc: float | None
    coverage_percent: float


@dataclass(frozen=True)
class Day:
    """One day of a record: least, mean and most humidity."""

    at_s: float
    least_percent: float
    mean_percent: float
    most_percent: float


def drawn(record: Record, from_s: float | None = None, to_s: float | None = None) -> dict[str, Any]:
    """Return the record as columns for a plot between two moments; a hole is a null."""
    hours = record.hours
    start = float(hours.times_s[0]) if from_s is None else max(from_s, float(hours.times_s[0]))
    end = float(hours.times_s[-1]) if to_s is None else min(to_s, float(hours.times_s[-1]))
    width = max(record.step_hours * HOUR, LEAST_WIDTH_S, (end - start) / MOST_SPELLS)
    inside = (hours.times_s >= start) & (hours.times_s <= end)
    humid = spells_of(hours.times_s[inside], hours.rh[inside], width, start)
    found: dict[str, Any] = {"at_s": [], "rh_low": [], "rh_high": []}
    warm = None
    if hours.temperature is not None:
        warm = spells_of(hours.times_s[inside], hours.temperature[inside], width, start)
        found |= {"degc_low": [], "degc_high": []}
    last = None
    for at in range(humid.starts_s.size):
        moment = float(humid.starts_s[at])
        if last is not None and moment - last > 1.5 * width:
            _row(found, last + width, None)
        _row(found, moment, (humid, warm, at))
        last = moment
    return found | {"sensor": record.sensor_percent, "width_s": width, "start_s": start,
                    "end_s": end, "whole": from_s is None and to_s is None}  # fmt: skip


def _row(found: dict[str, Any], at_s: float, read: Any) -> None:
    found["at_s"].append(round(at_s))
    columns = ("rh", "degc") if "degc_low" in found else ("rh",)
    for place, name in enumerate(columns):
        spells = None if read is None else read[place]
        at = None if read is None else read[2]
        found[f"{name}_low"].append(None if spells is None else round(float(spells.least[at]), 2))
        found[f"{name}_high"].append(None if spells is None else round(float(spells.most[at]), 2))


def months_of(record: Record, zone: str) -> list[Month]:
    """Return the months of a record by the clock on the wall of its place."""
    there = zone_named(zone)
    hours = record.hours
    rows: dict[str, list[int]] = {}
    for at, moment in enumerate(hours.times_s.tolist()):
        rows.setdefault(f"{datetime.fromtimestamp(moment, there):%Y-%m}", []).append(at)
    return [_month(record, name, places) for name, places in rows.items()]


def _month(record: Record, name: str, places: Sequence[int]) -> Month:
    first, last = places[0], places[-1] + 1
    humid = record.hours.rh[first:last]
    warm = record.hours.temperature
    year, month = (int(part) for part in name.split("-"))
    days = (datetime(year + month // 12, month % 12 + 1, 1, tzinfo=UTC)
            - datetime(year, month, 1, tzinfo=UTC)).days  # fmt: skip
    return Month(
        name=name,
        mean_percent=float(humid.mean()),
        least_percent=float(humid.min()),
        most_percent=float(humid.max()),
        mean_degc=None if warm is None else float(warm[first:last].mean()),
        coverage_percent=min(100.0, 100 * len(places) * record.step_hours / (24 * days)),
    )


def days_of(record: Record) -> list[Day]:
    """Return the last year of a record, day by day."""
    hours = record.hours
    start = max(float(hours.times_s[0]), float(hours.times_s[-1]) - 365 * DAY)
    start -= start % DAY
    found = spells_of(hours.times_s, hours.rh, DAY, start)
    columns = (found.starts_s, found.least, found.mean, found.most)
    return [Day(*row) for row in zip(*(column.tolist() for column in columns), strict=True)]


def season_swing(record: Record) -> float | None:
    """Return half the span of the monthly means [%RH]; None before a whole year was seen."""
    whole = [one.mean_percent for one in months_of(record, "UTC") if one.coverage_percent > 50]
    return round(max(1.0, (max(whole) - min(whole)) / 2), 1) if len(whole) >= 12 else None


def zone_named(zone: str) -> Any:
    """Return a named zone, or UTC for one that is not known."""
    if zone == NOT_KNOWN:
        return UTC
    try:
        return ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError):
        return UTC
