"""Numbers as loggers write them: decimal comma or point, a unit glued on, words for "missing"."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence

MISSING = {
    "", "-", "--", "---", "----", "*", "**", "***", "?", "nan", "na", "n/a", "#n/a", "#num!",
    "#value!", "null", "none", "nil", "missing", "no data", "nodata", "error", "err", "err.", "ol",
    "inf", "invalid", "n.a.", "keine daten", "fehlt", "puuttuu", "<na>", "offline", "fault",
    "sensor error", "..", "...", "//", "///", "over", "under", "lo", "hi",
}  # fmt: skip
SENTINELS = {-999.0, -999.9, -9999.0, -9999.9, -99.9, -99.99, 999.9, 9999.0, 9999.9, 99999.0,
             -32768.0, 32767.0, 6999.0, 7999.0, -999.99, 999.99}  # fmt: skip
_THOUSANDS = re.compile(r"(?<=\d) (?=\d{3}(?!\d))")
_NUMBER = re.compile(
    r"([+\-\u2212]?(?:\d[\d.,'\u00a0\u202f]*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*([^\d\s.,;:/\-][^\d]{0,11}"
    r"|[^\d\s.,;:/\-][^\d]{0,6}[23])?"
)


def split_unit(cell: str) -> tuple[str, str] | None:
    """Return the digits and the unit of a cell such as `36.50 %`, or None for what is no number."""
    found = _NUMBER.fullmatch(_THOUSANDS.sub("", cell.strip()))
    return (found[1], (found[2] or "").strip()) if found else None


def is_missing(cell: str) -> bool:
    """Return whether a cell says that there is no value."""
    return cell.strip().lower() in MISSING


def decimal_of(cells: Iterable[str]) -> str | None:
    """Return the decimal sign that number cells use, `.` or `,`; None when none shows one."""
    commas = points = 0
    for cell in cells:
        parts = split_unit(cell)
        if not parts:
            continue
        digits = parts[0]
        last = max(digits.rfind(","), digits.rfind("."))
        if last >= 0:
            commas, points = commas + (digits[last] == ","), points + (digits[last] == ".")
    if commas == points == 0:
        return None
    return "," if commas > points else "."


def number(cell: str, decimal: str) -> float:
    """Return a cell as a number; NaN for a missing value and for what is no number."""
    try:
        # The quick way, for the cells that need nothing.
        value = float(cell.replace(",", ".")) if decimal == "," else float(cell)
    except ValueError:
        value = _slow(cell, decimal)
    return math.nan if value in SENTINELS or math.isinf(value) else value


def _slow(cell: str, decimal: str) -> float:
    parts = split_unit(cell)
    if parts is None:
        return math.nan
    thousands = "." if decimal == "," else ","
    digits = re.sub(rf"[\u00a0\u202f'{re.escape(thousands)}]", "", parts[0])
    try:
        return float(digits.replace(decimal, ".").replace("\u2212", "-"))
    except ValueError:
        return math.nan


def glued_unit(cells: Sequence[str]) -> str:
    """Return the unit that stands behind the values of a column, or nothing."""
    units = [parts[1] for cell in cells if (parts := split_unit(cell)) and parts[1]]
    return max(set(units), key=units.count) if units else ""
