"""Dates and times as loggers write them, read into years, days and seconds by the clock shown."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

MONTHS = {
    "jan": 1, "ene": 1, "gen": 1, "jän": 1, "feb": 2, "fév": 2, "fev": 2, "mar": 3, "mär": 3,
    "mrz": 3, "maa": 3, "mrt": 3, "apr": 4, "avr": 4, "abr": 4, "may": 5, "mai": 5, "mei": 5,
    "maj": 5, "mag": 5, "jun": 6, "juin": 6, "giu": 6, "jul": 7, "juil": 7, "lug": 7, "aug": 8,
    "aoû": 8, "aou": 8, "ago": 8, "sep": 9, "set": 9, "oct": 10, "okt": 10, "ott": 10, "out": 10,
    "nov": 11, "dec": 12, "dez": 12, "déc": 12, "dic": 12, "des": 12,
}  # fmt: skip
ABBREVIATIONS = {
    "z": 0, "utc": 0, "gmt": 0, "wet": 0, "west": 60, "cet": 60, "cest": 120, "mez": 60,
    "mesz": 120, "eet": 120, "eest": 180,
}  # fmt: skip
_WEEKDAY = r"(?:[^\W\d_]{2,9}\.?,?\s+)?"
_DATES = (
    r"(?P<y>\d{4})[-/.:年]\s?(?P<m>\d{1,2})[-/.:月]\s?(?P<d>\d{1,2})[.日]?",
    r"(?P<a>\d{1,2})[-/.](?P<b>\d{1,2})[-/.](?P<c>\d{4}|\d{2})",
    r"(?P<nd>\d{1,2})\.?[-/. ]?\s*(?P<mon>[^\W\d_]{3,10})\.?,?[-/. ]?\s*(?P<ny>\d{4}|\d{2})",
    r"(?P<yy>\d{4})[-/. ](?P<ymon>[^\W\d_]{3,10})\.?[-/. ](?P<yd>\d{1,2})",
    r"(?P<mon2>[^\W\d_]{3,10})\.?[-/ ]\s*(?P<nd2>\d{1,2})(?:st|nd|rd|th)?,?[-/ ]\s*(?P<ny2>\d{4})",
)
_CLOCK = (
    r"(?:(?P<half>上午|下午|오전|오후|AM|PM|am|pm)\s*)?"
    r"(?P<H>\d{1,2})[:.h](?P<M>\d{2})(?:[:.](?P<S>\d{2})(?:[.,](?P<f>\d{1,9}))?)?"
    r"(?:\s*(?P<ap>[AaPpπμ])\.?(?:\s?[Mmμ]\.?)?)?(?:\s*(?:Uhr|uur|hrs?|h|klo))?"
)
_AFTER_NOON = {"P", "p", "μ", "下午", "오후", "PM", "pm"}
_ZONE = (
    r"(?:\s*(?P<z>(?:UTC|GMT)?\s?[+\-\u2212]\d{1,2}(?::?\d{2})?|Z|UTC|GMT|WEST|WET|CEST|CET|MESZ|MEZ|"
    r"EEST|EET))?"
)
_PATTERNS = tuple(
    re.compile(rf"{_WEEKDAY}{date}(?:(?:[T,_:]\s*|\s+|-)(?:{_CLOCK})?{_ZONE}(?:\[[\w/]+\])?)?")
    for date in _DATES
)
_PATTERNS += (
    re.compile(
        rf"{_WEEKDAY}(?P<mon2>[^\W\d_]{{3,10}})\s+(?P<nd2>\d{{1,2}})\s+{_CLOCK}{_ZONE}\s+(?P<ny2>\d{{4}})"
    ),
)
_CLOCK_ONLY = re.compile(_CLOCK)
_PACKED = re.compile(r"(\d{4})(\d{2})(\d{2})[T_ -]?(\d{2})?:?(\d{2})?:?(\d{2})?Z?")
NOT_STATED = -99999


class Order(StrEnum):
    """Which comes first in a date of three small numbers."""

    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"
    YEAR_FIRST = "year first"


@dataclass(frozen=True, slots=True)
class Stamps:
    """What a column of dates says: three parts in `order` (None: not known), seconds of the day.

    `offset_min` is NOT_STATED where the stamp names no zone. Rows that are no stamp are not `ok`.
    """

    parts: NDArray[np.int64]
    seconds: NDArray[np.float64]
    offset_min: NDArray[np.int64]
    ok: NDArray[np.bool_]
    order: Order | None
    has_clock: bool


def is_stamp(cell: str) -> bool:
    """Return whether a cell is a date, in figures or with a month's name, with a time or not."""
    text = cell.strip()
    return len(text) < 60 and any(p.fullmatch(text) for p in _PATTERNS)


def is_clock(cell: str) -> bool:
    """Return whether a cell is a time of day and nothing else."""
    return _CLOCK_ONLY.fullmatch(cell.strip()) is not None


def read_stamps(cells: Sequence[str]) -> Stamps:
    """Return the parts of a column of dates; the order of day and month is left open if it is."""
    rows = len(cells)
    parts = np.zeros((rows, 3), dtype=np.int64)
    seconds, ok = np.zeros(rows), np.zeros(rows, dtype=bool)
    offset = np.full(rows, NOT_STATED, dtype=np.int64)
    free, has_clock, best = np.zeros(rows, dtype=bool), False, 0
    for row, cell in enumerate(cells):
        text = cell.strip()
        found = _PATTERNS[best].fullmatch(text)
        if found is None:
            tried = ((i, p.fullmatch(text)) for i, p in enumerate(_PATTERNS) if i != best)
            hit = next(((i, m) for i, m in tried if m), None)
            if hit is None:
                continue
            best, found = hit
        three = _three(found)
        if three is None:
            continue
        parts[row], free[row], ok[row] = three, best == 1, True
        has_clock = has_clock or found["H"] is not None
        seconds[row] = _seconds(found)
        if found["z"]:
            offset[row] = offset_minutes(found["z"])
    # Small numbers in an open order are told apart once all are seen; the rest are year first.
    mixed = free[ok]
    order = Order.YEAR_FIRST if not mixed.any() else None
    if order is None and not mixed.all():
        ok &= free
    return Stamps(parts, seconds, offset, ok & (seconds >= 0), order, has_clock)


def _three(found: re.Match[str]) -> tuple[int, int, int] | None:
    named = found.groupdict()
    if named.get("y"):
        return int(named["y"]), int(named["m"]), int(named["d"])
    if named.get("a"):
        return int(named["a"]), int(named["b"]), int(named["c"])
    year = named.get("ny") or named.get("yy") or named.get("ny2")
    word = named.get("mon") or named.get("ymon") or named.get("mon2") or ""
    day = named.get("nd") or named.get("yd") or named.get("nd2")
    month = MONTHS.get(word[:4].lower()) or MONTHS.get(word[:3].lower())
    if not (year and day and month):
        return None
    return full_year(int(year)), month, int(day)


def full_year(year: int) -> int:
    """Return the year that two figures stand for: 1970 to 2069."""
    return year if year > 99 else year + (2000 if year < 70 else 1900)


def _seconds(found: re.Match[str]) -> float:
    if found["H"] is None:
        return 0.0
    hour, minute, second = int(found["H"]), int(found["M"]), int(found["S"] or 0)
    half = found["ap"] or found["half"]
    if half:
        if not 1 <= hour <= 12:
            return -1.0
        hour = hour % 12 + (12 if half in _AFTER_NOON else 0)
    if hour > 24 or minute > 59 or second > 60 or (hour == 24 and minute + second):
        return -1.0
    return hour * 3600 + minute * 60 + second + (float(f"0.{found['f']}") if found["f"] else 0.0)


def offset_minutes(text: str) -> int:
    """Return the minutes east of UTC that `+02:00`, `UTC+2`, `Z` or `CET` stand for."""
    bare = text.strip().lower().replace("\u2212", "-")
    if bare in ABBREVIATIONS:
        return ABBREVIATIONS[bare]
    found = re.fullmatch(r"(?:utc|gmt)?\s*([+-])(\d{1,2}):?(\d{2})?", bare)
    if not found:
        return NOT_STATED
    minutes = int(found[2]) * 60 + int(found[3] or 0)
    return (-minutes if found[1] == "-" else minutes) if minutes <= 14 * 60 else NOT_STATED


def packed_stamp(cell: str, skipped: int = 0) -> tuple[int, int, int, float] | None:
    """Return year, month, day and seconds from packed digits, the first `skipped` left out."""
    found = _PACKED.fullmatch(cell.strip()[skipped:])
    if not found:
        return None
    year, month, day = int(found[1]), int(found[2]), int(found[3])
    hour, minute, second = (int(part or 0) for part in found.groups()[3:])
    if not (1970 <= year <= 2099 and 1 <= month <= 12 and 1 <= day <= 31):
        return None
    if hour > 24 or minute > 59 or second > 59:
        return None
    return year, month, day, hour * 3600.0 + minute * 60 + second


def days_from_civil(
    year: NDArray[np.int64], month: NDArray[np.int64], day: NDArray[np.int64]
) -> NDArray[np.int64]:
    """Return days since 1970-01-01; impossible dates give the least integer."""
    months = (year - 1970) * 12 + month - 1
    first = months.astype("datetime64[M]").astype("datetime64[D]").astype(np.int64)
    after = (months + 1).astype("datetime64[M]").astype("datetime64[D]").astype(np.int64)
    possible = (month >= 1) & (month <= 12) & (day >= 1) & (first + day - 1 < after)
    return np.where(possible, first + day - 1, np.iinfo(np.int64).min)
