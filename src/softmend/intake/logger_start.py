"""The moment from which a logger counts its time: named above its readings, or by a person."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.intake.logger_stamps import Order, is_clock, is_stamp, read_stamps

_BEGINS = re.compile(
    r"start|begin|began|launch|deploy|d[ée]but|inicio|inizio|avvio|aanvang|alku|początek|začátek|"
    r"first (?:reading|sample|record)|erste",
    re.IGNORECASE,
)
_STEP = re.compile(
    r"(?:interval|intervall|intervalle|intervalo|intervallo|sampl\w* (?:rate|period|step)|"
    r"log(?:ging)? (?:rate|period|step)|period|takt)\w*\W*(?:\(?(?P<before>[a-z]+)\)?\W+)?"
    r"(?:(?P<clock>\d+:\d\d(?::\d\d)?)|(?P<count>\d+(?:[.,]\d+)?)\s*(?P<unit>[a-z]+)?)",
    re.IGNORECASE,
)
_SECONDS = {"s": 1.0, "m": 60.0, "h": 3600.0}
_ALLOWED = "a line above such as “Start: 2024-03-15 22:00”"


@dataclass(frozen=True, slots=True)
class Start:
    """What a person states of the start, and of the order of day and month in it."""

    stated: str = ""
    order: Order | None = None


def start_of(
    texts: Sequence[str], cells: Sequence[Sequence[str]], start: Start
) -> tuple[dt.datetime, str]:
    """Return the start by the logger's clock and who names it; InputError when nobody does."""
    if start.stated:
        if not is_stamp(start.stated):
            raise InputError(
                "The start cannot be read", value=start.stated, allowed="as 2024-03-15 22:00"
            )
        return _moment(start.stated, start.order), "as you stated"
    lines = [(text, row) for text, row in zip(texts, cells, strict=True) if _BEGINS.search(text)]
    found = [list(_said(text, row)) for text, row in lines]
    day = next((one for each in found for one in each if is_stamp(one)), "")
    clock = next((one for each in found for one in each if is_clock(one)), "")
    if not day:
        raise InputError(
            "The rows count their time from a start that the file does not name",
            allowed=_ALLOWED,
            remedy="State the start (counted_from)",
        )
    whole = f"{day} {clock}" if clock and is_stamp(f"{day} {clock}") else day
    return _moment(whole, start.order), "which the file names"


def step_of(texts: Sequence[str]) -> float:
    """Return the seconds from row to row that a line names with their unit, or nought."""
    for text in texts:
        found = _STEP.search(text)
        if found is None:
            continue
        if found["clock"]:
            hours, minutes, *seconds = (int(part) for part in found["clock"].split(":"))
            return hours * 3600.0 + minutes * 60 + (seconds[0] if seconds else 0)
        unit = (found["unit"] or found["before"] or "?").lower()
        if unit in {
            "s",
            "sec",
            "secs",
            "second",
            "seconds",
            "sek",
            "sekunden",
            "min",
            "mins",
            "m",
            "minute",
            "minutes",
            "minuten",
            "h",
            "hr",
            "hour",
            "hours",
            "std",
            "stunden",
        }:
            first = "h" if unit.startswith("st") else unit[0]
            return float(found["count"].replace(",", ".")) * _SECONDS[first]
    return 0.0


def _said(text: str, cells: Sequence[str]) -> Iterator[str]:
    """Yield what a line may say: its cells, and what stands behind the first colon or equals."""
    for one in (*cells, text):
        yield one.strip()
        behind = re.split(r"[:=]\s*", one, maxsplit=1)
        if len(behind) == 2:
            yield behind[1].strip(" ,;\t\"'")
    joint = re.sub(r"[,;\t|]+", " ", text)
    at = _BEGINS.search(joint)
    for word in range(1, 4):
        rest = joint[at.start() :].split(maxsplit=word) if at else []
        if len(rest) == word + 1:
            yield rest[-1].strip(" :=\"'")


def _moment(text: str, order: Order | None) -> dt.datetime:
    stamps = read_stamps([text])
    first, second, third = (int(part) for part in stamps.parts[0])
    known = stamps.order or order
    if known is None and first > 31:
        known = Order.YEAR_FIRST
    elif known is None and (first > 12) != (second > 12):
        known = Order.DAY_FIRST if first > 12 else Order.MONTH_FIRST
    if known is None and first != second:
        raise InputError(
            "Whether day or month comes first cannot be known in the start",
            value=text,
            allowed="day first, month first",
            remedy="State the order (day_order)",
        )
    year, month, day = {
        Order.YEAR_FIRST: (first, second, third),
        Order.MONTH_FIRST: (third, first, second),
    }.get(known or Order.DAY_FIRST, (third, second, first))
    try:
        midnight = dt.datetime(year if year > 99 else 2000 + year, month, day)
    except ValueError as fault:
        raise InputError(
            "The start is an impossible date when read so", value=f"{text}, {known}"
        ) from fault
    return midnight + dt.timedelta(seconds=float(stamps.seconds[0]))
