"""Rows whose time stands in several columns, or is counted from a start, given one stamp each.

The columns are told by their names alone; a row that does not fit is left as it stands.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.intake.logger_stamps import MONTHS, full_year, is_clock, is_stamp
from softmend.intake.logger_start import Start, start_of, step_of

Row = tuple[int, str, tuple[str, ...]]
_HEAD, _FEWEST, _LONGEST_S = 200, 3, 1e8
_PARTS: Mapping[str, re.Pattern[str]] = {
    part: re.compile(rf"(?:{words})(?:\s*[\[(].*[\])])?\.?", re.IGNORECASE)
    for part, words in (
        ("year", r"y(?:ea)?r|yyyy|jahr|ann[ée]e|a[nñ]o|anno|jaar|ano|rok|vuosi|år|год|年"),
        ("month", r"month|mon|mo|mm|monat|mois|m[eê]s|mese|maand|m[åa]n(?:e|a)d|miesi[ąa]c|"
                  r"kuukausi|měsíc|месяц|月"),
        ("day", r"day|dd|tag|jour|d[ií]a|giorno|dag|dzie[ńn]|päivä|den|день|日"),
        ("day of year", r"doy|day[ _]?of[ _]?(?:the[ _]?)?year|julian(?:[ _]day)?|jday|yday|"
                        r"tag[ _]des[ _]jahres|jour[ _]julien"),
        ("hour", r"hours?|hh|h|hr|stunde|std|heure|hora|ora|uur|uhrzeit|zeit|time|hh:?mm|hhmm|tim|"
                 r"godzina|tunti|hodina|час|时|時|hour[ _]?min(?:ute)?|orario|tid"),
        ("minute", r"min(?:ute)?s?|mi|mm|mn|minuut|minuto|minut|minuutti|минута|分"),
        ("second", r"s(?:ec(?:ond)?)?s?|ss|sekunde|sek|seconde|segundo|secondo|секунда|秒"),
    )
}  # fmt: skip
_COUNTED = re.compile(
    r"elapsed|lapsed|since|running|relative|verstrich|vergang|laufzeit|seit|[ée]coul|transcurr|"
    r"trascors|verstreken|forløb|förfluten|kulunut",
    re.IGNORECASE,
)
_TIME = re.compile(
    r"(?:millis|milliseconds|time|zeit|temps|tiempo|tempo|tijd|tid|aika|t)\b", re.IGNORECASE
)
_UNITS = (
    (3600.0, r"h|hrs?|hours?|std|stunden?|heures?|horas?|ore|uur|timmar|tuntia?"),
    (60.0, r"min|mins|minutes?|minuten|minutos?|minuti"),
    (1e-3, r"ms|msecs?|millis|milli-?seconds?|millisekunden"),
    (1.0, r"s|secs?|seconds?|sek|sekunden?|secondes?|segundos?|secondi"),
    (86400.0, r"d|days?|tage?n?|jours?|d[ií]as?|giorni|dagen"),
)
_COUNTER = re.compile(
    r"#|n[ro]?\.?|n°|№|num(?:ber|mer)?|index|idx|sample|samples?\s?(?:no|nr|#)\.?|record|"
    r"reading|row|zeile|mess(?:wert|punkt|ung)(?:\s?nr\.?)?",
    re.IGNORECASE,
)
_LONG_CLOCK = re.compile(r"(?:(\d+)[ .d]\s*)?(\d+):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?")


@dataclass(frozen=True, slots=True)
class Joined:
    """The rows with one stamp each, how many were given one, and how that was done."""

    rows: tuple[Row, ...]
    count: int
    told: str


def joined_rows(rows: Sequence[Row], start: Start) -> Joined | None:
    """Return rows that have one stamp each, or None where no header asks for it."""
    for at, (_, _, cells) in enumerate(rows[:_HEAD]):
        below = [row[2] for row in rows[at + 1 : at + 6]]
        if len(cells) < 2 or any(is_stamp(cell) for each in (cells, *below) for cell in each):
            continue
        places = _places(cells)
        found = _from_parts(rows, at, places) if places else _from_start(rows, at, start)
        if found is not None and found.count >= _FEWEST:
            return found
    return None


def _places(names: Sequence[str]) -> dict[str, int]:
    """Return where year, month and day stand side by side, and the hour, minute and second after.

    Nothing is returned for a header that does not name a whole date.
    """
    bare = [name.strip() for name in names]

    def place(part: str) -> int:
        return next((i for i, name in enumerate(bare) if _PARTS[part].fullmatch(name)), -1)

    for whole in (("year", "month", "day"), ("year", "day of year"), ("year", "day")):
        found = {part: place(part) for part in whole}
        if whole == ("year", "day"):
            found = {"year": found["year"], "day of year": found["day"]}
        stand = sorted(found.values())
        if stand[0] >= 0 and stand == list(range(stand[0], stand[0] + len(stand))):
            after = stand[-1] + 1
            for part in ("hour", "minute", "second"):
                if after < len(bare) and _PARTS[part].fullmatch(bare[after]):
                    found[part] = after
                    after += 1
                else:
                    break
            return found
    return {}


def _from_parts(rows: Sequence[Row], at: int, places: Mapping[str, int]) -> Joined:
    first, last = min(places.values()), max(places.values())
    header = rows[at][2]
    joint = " ".join(header[first : last + 1])
    found, count = [], 0
    for number, text, cells in rows:
        stamp = joint if cells == header else _stamp(cells, places) if len(cells) > last else ""
        kept = (*cells[:first], stamp, *cells[last + 1 :]) if stamp else cells
        count += bool(stamp) and cells != header
        found.append((number, text, kept))
    return Joined(tuple(found), count, f"{', '.join(places)} in columns of their own")


def _stamp(cells: Sequence[str], places: Mapping[str, int]) -> str:
    """Return one stamp, year first, from the parts of a row; nothing when they make none."""
    part = {name: cells[i] for name, i in places.items()}
    if not re.fullmatch(r"\d{4}|\d{2}", part["year"]):
        return ""
    year = full_year(int(part["year"]))
    whole, point, behind = part.get("day of year", "").replace(",", ".").partition(".")
    if point:
        # A day with a fraction carries its own time of day.
        first = _day(year, {"day of year": whole})
        seconds = round(86400 * float(f"0.{behind or 0}")) if behind.isdigit() else 0
        at = first and dt.datetime.combine(first, dt.time()) + dt.timedelta(seconds=seconds)
        return f"{at:%Y-%m-%d %H:%M:%S}" if at else ""
    day = _day(year, part)
    clock = _clock(part)
    return f"{day:%Y-%m-%d} {clock}".strip() if day and clock is not None else ""


def _day(year: int, part: Mapping[str, str]) -> dt.date | None:
    try:
        if "day of year" in part:
            first = dt.date(year, 1, 1)
            found = first + dt.timedelta(days=int(part["day of year"]) - 1)
            return found if found.year == year else None
        word = part["month"].lower()
        named = MONTHS.get(word[:4]) or MONTHS.get(word[:3])
        return dt.date(year, named or int(word), int(part["day"]))
    except (ValueError, OverflowError):
        return None


def _clock(part: Mapping[str, str]) -> str | None:
    """Return the time of day as text, nothing where no column has it, None where it is none."""
    hour = part.get("hour", "")
    if "hour" not in part:
        return ""
    if ":" in hour:
        return hour if is_clock(hour) else None
    if "minute" not in part and re.fullmatch(r"\d{3,4}", hour):
        hour, minute = hour[:-2], hour[-2:]
    else:
        minute = part.get("minute", "0")
    second = part.get("second", "0")
    figures = (hour, minute, re.sub(r"[.,]\d*$", "", second))
    if not all(re.fullmatch(r"\d{1,2}", each) for each in figures):
        return None
    return ":".join(f"{int(each):02d}" for each in figures)


def _from_start(rows: Sequence[Row], at: int, start: Start) -> Joined | None:
    header = rows[at][2]
    place = next((i for i, name in enumerate(header) if _is_counted(name)), None)
    step = step_of([row[1] for row in rows[:at]]) if place is None else 0.0
    if step and _COUNTER.fullmatch(header[0]):
        return _numbered(rows, at, step, start)
    if place is None:
        return None
    unit = _unit(header[place])
    passed = [_passed(cells, place, unit) for _, _, cells in rows[at + 1 :]]
    known = [one for one in passed if one is not None]
    if len(known) < _FEWEST or len(known) < 0.6 * len(passed) or known != sorted(known):
        return None
    if known[0] > _LONGEST_S:  # seconds since 1970, or a spreadsheet's day numbers
        return None
    if not unit and not any(":" in row[2][place] for row in rows[at + 1 : at + 4] if row[2]):
        raise InputError(
            "The time counted from a start names no unit",
            value=header[place],
            allowed="hours, minutes, seconds or days in the column's name, as “Elapsed (h)”",
            remedy="Export it again with the unit named, or with a date and time in each row",
        )
    began, word = start_of([row[1] for row in rows[:at]], [row[2] for row in rows[:at]], start)
    times = [*[None] * (at + 1), *passed]
    found = [
        (number, text, _replaced(cells, place, began, seconds))
        for (number, text, cells), seconds in zip(rows, times, strict=True)
    ]
    return Joined(tuple(found), len(known), f"counted from {began:%Y-%m-%d %H:%M:%S}, {word}")


def _numbered(rows: Sequence[Row], at: int, step: float, start: Start) -> Joined | None:
    """Return rows that carry only their number, at even steps from the start; None when some lack.

    A number that is left out, or out of turn, would move all that follow it.
    """
    numbers = [int(row[2][0]) for row in rows[at + 1 :] if row[2] and row[2][0].isdigit()]
    if len(numbers) < _FEWEST or numbers != list(range(numbers[0], numbers[0] + len(numbers))):
        return None
    began, word = start_of([row[1] for row in rows[:at]], [row[2] for row in rows[:at]], start)
    found = [
        (n, text, _replaced(cells, 0, began, (int(cells[0]) - numbers[0]) * step))
        if i > at and cells and cells[0].isdigit()
        else (n, text, cells)
        for i, (n, text, cells) in enumerate(rows)
    ]
    told = f"counted from {began:%Y-%m-%d %H:%M:%S}, {word}, {step:g} s a row as it names"
    return Joined(tuple(found), len(numbers), told)


def _is_counted(name: str) -> bool:
    """Return whether a name is that of a time counted from a start: so called, or with its unit."""
    return bool(_COUNTED.search(name)) or bool(_TIME.match(name.strip()) and _unit(name))


def _unit(name: str) -> float:
    """Return the seconds of the unit that a column's name carries, or nought."""
    for seconds, words in _UNITS:
        if re.search(rf"(?:[\[(/,_]|\bin|elapsed|^)\s*(?:{words})(?:\b|_|$)", name, re.IGNORECASE):
            return seconds
    return 0.0


def _passed(cells: Sequence[str], place: int, unit: float) -> float | None:
    """Return the seconds since the start that a cell holds, or None."""
    text = cells[place].strip() if len(cells) > place else ""
    clock = _LONG_CLOCK.fullmatch(text)
    if clock:
        days, hours, minutes, seconds = (int(each or 0) for each in clock.groups())
        return days * 86400.0 + hours * 3600 + minutes * 60 + seconds
    if re.fullmatch(r"\d+(?:[.,]\d+)?", text):
        return float(text.replace(",", ".")) * (unit or 1.0)
    return None


def _replaced(
    cells: tuple[str, ...], place: int, began: dt.datetime, passed: float | None
) -> tuple[str, ...]:
    if passed is None or passed > 4e9:
        return cells
    at = began + dt.timedelta(seconds=round(passed))
    return (*cells[:place], f"{at:%Y-%m-%d %H:%M:%S}", *cells[place + 1 :])
