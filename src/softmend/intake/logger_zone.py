"""Local clock time to UTC, by an offset or a named zone; doubled and missing hours are said."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.intake.logger_stamps import NOT_STATED, offset_minutes

_IN_TEXT = re.compile(r"(?<![A-Za-z])(?:UTC|GMT)\s?([+\-\u2212]\s?\d{1,2}(?::?\d{2})?)?(?![\w/])")
_NAMED = re.compile(r"\b(?:Africa|America|Antarctica|Asia|Atlantic|Australia|Europe|Indian|Pacific)"
                    r"/[A-Z][A-Za-z_/+-]+")  # fmt: skip
_HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class Zoned:
    """Seconds since 1970 in UTC, and what was noticed on the way."""

    times_s: NDArray[np.float64]
    notes: tuple[str, ...]


def zone_in(texts: Iterable[str]) -> str | None:
    """Return the zone that a header or the lines above it name, as `UTC+02:00` or `Area/City`."""
    for text in texts:
        named = _NAMED.search(text)
        if named and _known(named[0]):
            return named[0]
        found = _IN_TEXT.search(text)
        if found:
            return fixed_name(offset_minutes((found[1] or "+0").replace(" ", "")))
    return None


def fixed_name(minutes: int) -> str:
    """Return the name of a fixed offset, such as `UTC+02:00`."""
    if minutes == 0:
        return "UTC"
    return f"UTC{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def check_zone(zone: str) -> str:
    """Return a stated zone in its plain form; InputError when there is no such zone."""
    minutes = offset_minutes(zone)
    if minutes != NOT_STATED:
        return fixed_name(minutes)
    if _known(zone):
        return zone
    raise InputError(
        "The time zone is not known",
        value=zone,
        allowed="UTC, an offset such as UTC+02:00, or a name such as Europe/Helsinki",
    )


def to_utc(clock_s: NDArray[np.float64], zone: str) -> Zoned:
    """Return readings of a wall clock as UTC; rows in the order of the file.

    Of an hour that the clock shows twice, the readings before it jumps back are summer time.
    """
    minutes = offset_minutes(zone)
    if minutes != NOT_STATED:
        return Zoned(clock_s - 60.0 * minutes, ())
    hours, place = np.unique(np.floor(clock_s / _HOUR), return_inverse=True)
    early, late, missing = (np.array(part) for part in zip(*_offsets(hours, zone), strict=True))
    first, second = early[place], late[place]
    twice = (first != second) & ~missing[place]
    utc = clock_s - np.where(twice & _after_jump(clock_s, twice), second, first)
    notes = []
    if twice.any():
        days = sorted({_day(t) for t in clock_s[twice]})
        notes.append(
            f"The clock went back on {', '.join(days[:4])}: of the doubled hour, what the file "
            "gives first was taken as summer time."
        )
    if missing[place].any():
        days = sorted({_day(t) for t in clock_s[missing[place]]})
        notes.append(
            f"{int(missing[place].sum())} readings stand in an hour that {zone} did not have "
            f"({', '.join(days[:4])}): the logger may not keep summer time; look at the zone again."
        )
    return Zoned(utc, tuple(notes))


def _after_jump(clock_s: NDArray[np.float64], twice: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return which readings of a doubled hour come after the clock went back."""
    steps = np.diff(clock_s)
    falling = steps.size > 0 and np.count_nonzero(steps < 0) > np.count_nonzero(steps > 0)
    order = np.arange(clock_s.size)[::-1] if falling else np.arange(clock_s.size)
    later = np.zeros(clock_s.size, dtype=bool)
    jumped, highest, day = False, -np.inf, ""
    for row in order[twice[order]]:
        if _day(clock_s[row]) != day:
            jumped, highest, day = False, -np.inf, _day(clock_s[row])
        jumped = jumped or clock_s[row] < highest or clock_s[row] == highest
        highest = max(highest, clock_s[row])
        later[row] = jumped
    return later


def summer_time_seen(clock_s: NDArray[np.float64]) -> tuple[str, ...]:
    """Return what a clock without a zone shows of summer time: an hour twice, an hour left out."""
    if clock_s.size < 48:
        return ()
    steps = np.diff(clock_s)
    usual = float(np.median(np.abs(steps)))
    if not 0 < usual <= _HOUR:
        return ()
    back = [_day(t) for t in clock_s[:-1][np.abs(steps + _HOUR - usual) < 1] if _turns(t, 10)]
    on = [_day(t) for t in clock_s[:-1][np.abs(steps - _HOUR - usual) < 1] if _turns(t, 3)]
    notes = []
    if back:
        notes.append(f"An hour stands twice on {', '.join(back[:4])}: the clock kept summer time.")
    if on:
        notes.append(f"An hour is left out on {', '.join(on[:4])}: the clock kept summer time.")
    return tuple(notes)


def _turns(clock_s: float, month: int) -> bool:
    """Return whether a moment lies near the turn of summer time: last days of March or October."""
    at = _at(clock_s)
    return at.weekday() == 6 and (at.month in {month, 11 if month == 10 else month}) and at.hour < 4


def _offsets(hours: NDArray[np.float64], zone: str) -> list[tuple[float, float, bool]]:
    info, found = ZoneInfo(zone), []
    for hour in hours:
        local = _at(hour * _HOUR).replace(tzinfo=info)
        early, late = local, local.replace(fold=1)
        first, second = (
            (one.utcoffset() or dt.timedelta()).total_seconds() for one in (early, late)
        )
        back = early.astimezone(dt.UTC).astimezone(info).replace(tzinfo=None)
        found.append((first, second, back != local.replace(tzinfo=None)))
    return found


def _known(zone: str) -> bool:
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def _at(clock_s: float) -> dt.datetime:
    return dt.datetime(1970, 1, 1) + dt.timedelta(seconds=float(clock_s))


def _day(clock_s: float) -> str:
    return f"{_at(clock_s):%Y-%m-%d}"
