"""A tracer's readings as people have them: typed as hours and ppm, or the logger's own lines."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re

from softmend.errors import InputError

MOST_LINES = 20_000
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")
_FIGURE = re.compile(r"[+-]?\d{1,9}(?:[.,]\d{1,9})?")
_DAY_HOURS = 24.0


def looks_like_a_file(text: str) -> bool:
    """Say whether pasted lines carry dates, so that a logger's reader has to read them."""
    return any(re.search(r"\d[-/.]\w{1,3}[-/.]\d", line) for line in text.splitlines()[:40])


def typed_readings(text: str) -> tuple[list[float], list[float]]:
    """Return hours and ppm from lines such as "0.5 4820" or "09:30 4820"; past midnight goes on.

    A first line of words is a heading.
    """
    lines = [(at, line.strip()) for at, line in enumerate(text.splitlines(), 1) if line.strip()]
    if lines and not any(sign.isdigit() for sign in lines[0][1]):
        lines = lines[1:]
    if not lines:
        raise InputError(
            "No reading was given",
            allowed="a line for each reading: hours and ppm",
            remedy="Type or paste the readings, or choose the logger's file",
        )
    if len(lines) > MOST_LINES:
        raise InputError(
            "These are more lines than can be typed",
            value=str(len(lines)),
            allowed=f"{MOST_LINES} lines",
            remedy="Bring the logger's file in instead",
        )
    hours: list[float] = []
    read: list[float] = []
    for at, line in lines:
        hour, ppm = _pair(at, line)
        clocked = ":" in line
        while clocked and hours and hour < hours[-1]:
            hour += _DAY_HOURS
        hours.append(hour)
        read.append(ppm)
    return hours, read


def _pair(at: int, line: str) -> tuple[float, float]:
    cells = [cell for cell in re.split(r"[\t; ]+|,\s+", line) if cell]
    if len(cells) == 1:
        cells = line.split(",")
    clock = _CLOCK.fullmatch(cells[0]) if len(cells) == 2 else None
    figures = cells[1:] if clock else cells
    if len(cells) != 2 or not all(_FIGURE.fullmatch(cell) for cell in figures):
        raise InputError(
            f"Line {at} is not a time and a reading",
            value=line[:60],
            allowed="hours and ppm, as “0.5 4820”, or a clock time and ppm, as “09:30 4820”",
            remedy="Correct the line, or bring the logger's file in",
        )
    numbers = [float(cell.replace(",", ".")) for cell in figures]
    if clock:
        return int(clock[1]) + int(clock[2]) / 60, numbers[0]
    return numbers[0], numbers[1]
