"""The table inside a logger's file: what separates its cells, where its header and readings are."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from softmend.errors import InputError
from softmend.intake.logger_columns import TIME_NAME
from softmend.intake.logger_doubts import refuse_tables_of_days, refuse_without_dates
from softmend.intake.logger_joined import Joined, joined_rows
from softmend.intake.logger_numbers import is_missing, split_unit
from softmend.intake.logger_stamps import is_clock, is_stamp, packed_stamp
from softmend.intake.logger_start import Start

DELIMITERS = {"tab": "\t", "semicolon": ";", "comma": ",", "bar": "|", "blanks": " "}
LOOKED_AT = 3000
SHEET_DAY_ZERO = dt.datetime(1899, 12, 30)
_UNITS = re.compile(
    r"[\[(]?\s*(°\s?[cf]|deg\.? ?[cf]|[cf]|k|%|% ?r\.?h\.?|%rf|ppm|lx|lux|v|hpa|mmhg|g/m3|g/m³|"
    r"celsius|fahrenheit|r\.?h\.?|utc|local|-|yyyy.*|dd.*|mm.*|hh.*)?\s*[\])]?",
    re.IGNORECASE,
)
# The line below names and units in which some loggers say how a value was made.
_HOW_MADE = re.compile(r"(?:|avg|smp|min|max|std|tot|med|ts|rn)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the file: its number, as it stands, and its cells."""

    number: int
    text: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FileTable:
    """A file cut into what stands before the header, the header's names, and the lines after."""

    delimiter: str
    before: tuple[str, ...]
    names: tuple[str, ...]
    header_lines: tuple[Line, ...]
    lines: tuple[Line, ...]
    day_zero: dt.datetime = SHEET_DAY_ZERO
    time_from: str = ""


def table_of(lines: Sequence[str], delimiter: str | None, start: Start) -> FileTable:
    """Return the table of a text; `delimiter` by name when a person stated it."""
    if delimiter is not None and delimiter not in DELIMITERS:
        raise InputError(
            "The delimiter is not known", value=delimiter, allowed=", ".join(DELIMITERS)
        )
    tried = [delimiter] if delimiter else list(DELIMITERS)
    head = [line for line in lines[:LOOKED_AT] if line.strip()]
    for name in tried:
        if joined_rows(_numbered(lines[:LOOKED_AT], name), start) is not None:
            whole = joined_rows(_numbered(lines, name), start)
            if whole is not None:
                return _joined_table(whole, name)
    scores = {name: _readings_in(head, DELIMITERS[name]) for name in tried}
    best = max(tried, key=lambda name: (scores[name][0], name != "blanks", scores[name][1]))
    fullest = DELIMITERS[_fullest(head, tried)]
    cells = [cut(one, fullest) for one in head]
    refuse_tables_of_days(cells)
    if scores[best][0] == 0:
        refuse_without_dates(cells)
        raise InputError(
            "No line of the file looks like a reading",
            allowed="lines with a date and at least one number, cells set apart by a comma, a "
            "semicolon, a tab, a bar or blanks",
            remedy="Look at the file in a text editor, and state its delimiter",
        )
    return cells_to_table(_numbered(lines, best), best)


def sheet_table(rows: Sequence[tuple[str, ...]], start: Start) -> FileTable:
    """Return the table of a workbook's sheet."""
    numbered = [(i, " | ".join(row), row) for i, row in enumerate(rows, 1)]
    with_stamps = joined_rows(numbered, start)
    if with_stamps is not None:
        return _joined_table(with_stamps, "workbook")
    return cells_to_table(numbered, "workbook")


def _numbered(lines: Sequence[str], name: str) -> list[tuple[int, str, tuple[str, ...]]]:
    return [(i, one, cut(one, DELIMITERS[name])) for i, one in enumerate(lines, 1)]


def _joined_table(found: Joined, delimiter: str) -> FileTable:
    return replace(cells_to_table(found.rows, delimiter), time_from=found.told)


def _fullest(lines: Sequence[str], names: Sequence[str]) -> str:
    """Return the delimiter that cuts most lines into the same number of cells, two or more."""

    def same(name: str) -> tuple[int, bool]:
        widths = [len(cut(line, DELIMITERS[name])) for line in lines[:200]]
        most = max(set(widths), key=widths.count)
        return (widths.count(most) if most > 1 else 0), name != "blanks"

    return max(names, key=same)


def cells_to_table(rows: Sequence[tuple[int, str, tuple[str, ...]]], delimiter: str) -> FileTable:
    """Return the table of lines that are already cut into cells."""
    filled = [Line(*row) for row in rows if any(cell.strip() for cell in row[2])]
    first = _first_reading(filled)
    if first is None:
        raise InputError(
            "No row of the file looks like a reading",
            allowed="rows with a date and at least one number",
        )
    width = _usual_width(filled[first:])
    above = filled[:first]
    if len(above) > 1 and all(_HOW_MADE.fullmatch(cell) for cell in above[-1].cells):
        above = above[:-1]
    header = _header(above, width)
    kept = filled[first:]
    if _are_halves(header, width, kept, delimiter):
        kept = [Line(one.number, one.text, _whole(one.cells)) for one in kept]
        width = (width + 1) // 2
    names = _names(header, width, kept)
    named = {line.number for line in header}
    before = tuple(line.text for line in filled[:first] if line.number not in named)
    return FileTable(delimiter, before, names, tuple(header), tuple(kept))


def _first_reading(lines: Sequence[Line]) -> int | None:
    """Return where the readings begin: a line above the header may hold a date and a number too."""
    found = [i for i, line in enumerate(lines[:LOOKED_AT]) if is_reading(line.cells)]
    for i in found:
        run = lines[i : i + 4]
        if (
            all(is_reading(one.cells) for one in run[1:])
            and len({len(o.cells) for o in run[1:]}) < 2
        ):
            return i
    return found[0] if found else None


def cut(line: str, delimiter: str) -> tuple[str, ...]:
    """Return the cells of one line, unquoted; a broken quote never swallows the next line."""
    if delimiter == " ":
        return tuple(line.split())
    if '"' not in line:
        return tuple(cell.strip().strip("'").strip() for cell in line.split(delimiter))
    try:
        cells = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        cells = line.split(delimiter)
    if len(cells) == 1 and delimiter in cells[0]:
        cells = cells[0].split(delimiter)
    return tuple(cell.strip().strip('"').strip() for cell in cells)


def is_reading(cells: Sequence[str]) -> bool:
    """Return whether cells hold a time and at least one number (or a missing one) beside it."""
    filled = [cell for cell in cells if cell]
    if len(filled) < 2:
        return False
    others = [c for c in filled if not is_stamp(c) and not (":" in c and is_clock(c))]
    numbers = sum(split_unit(cell) is not None for cell in others)
    if any(is_stamp(cell) for cell in filled):
        return numbers >= 1 or any(is_missing(cell) for cell in others)
    # Without a date: seconds since 1970, a spreadsheet's day number or packed digits come first.
    return any(_number_of_time(cell) for cell in filled[:3]) and numbers >= 2


def _number_of_time(cell: str) -> bool:
    bare = cell.replace(",", ".")
    if re.fullmatch(r"(19|20)\d{6}", cell) and packed_stamp(cell):
        return True
    if re.fullmatch(r"\d{10,16}|\d{8}T\d{4,6}Z?", cell) and (
        packed_stamp(cell) or packed_stamp(cell, 2) or packed_stamp(f"20{cell}")
    ):
        return True
    if not re.fullmatch(r"\d{5,19}(\.\d+)?", bare):
        return False
    value = float(bare)
    is_day = 20_000 < value < 80_000
    return is_day or 9.2e8 < value < 4.3e9 or 9.2e11 < value < 4.3e12 or value > 9.2e14


def _readings_in(lines: Sequence[str], delimiter: str) -> tuple[int, int]:
    rows = [cut(line, delimiter) for line in lines]
    readings = [row for row in rows if is_reading(row)]
    numbers = sum(sum(split_unit(c) is not None or is_missing(c) for c in row) for row in readings)
    return len(readings), numbers


def _usual_width(lines: Sequence[Line]) -> int:
    widths = [len(line.cells) for line in lines[:LOOKED_AT] if is_reading(line.cells)]
    return max(set(widths), key=lambda width: (widths.count(width), width))


def _header(before: Sequence[Line], width: int) -> list[Line]:
    """Return the one or two lines right above the readings that name the columns."""
    if not before:
        return []
    last = _without_sign(before[-1], width)
    if not _names_columns(last, width):
        return []
    if len(before) > 1 and all(_UNITS.fullmatch(cell) for cell in last.cells):
        above = _without_sign(before[-2], width)
        if _names_columns(above, width):
            return [above, last]
    above = _without_sign(before[-2], width) if len(before) > 1 else last
    if len(before) > 1 and _names_groups(above, last, width):
        return [last, above]
    return [last]


def _names_groups(above: Line, names: Line, width: int) -> bool:
    """Return whether a line above the header says whose columns are whose, as merged cells do."""
    doubled = [cell for cell in names.cells if cell and names.cells.count(cell) > 1]
    filled = [cell for cell in above.cells if cell]
    return (
        bool(doubled)
        and width - 1 <= len(above.cells) <= width + 1
        and 2 <= len(set(filled)) <= len(doubled)
        and not any(split_unit(cell) or is_stamp(cell) for cell in filled)
    )


def _names_columns(line: Line, width: int) -> bool:
    filled = [cell for cell in line.cells if cell]
    words = [cell for cell in filled if re.search(r"[^\W\d_]|[#%°]", cell)]
    # A header of half as many names stands above numbers cut in two by their decimal commas.
    near = width - 1 <= len(line.cells) <= width + 3 or 2 * len(line.cells) - 1 == width
    return (
        near and len(filled) >= 1 and 2 * len(words) >= len(filled) and not is_reading(line.cells)
    )


def _without_sign(line: Line, width: int) -> Line:
    """Return a header line without the sign that marks it as a comment."""
    if len(line.cells) > width and re.fullmatch(r"#+|//|%|;", line.cells[0]):
        return Line(line.number, line.text, line.cells[1:])
    first = re.sub(r"^\s*(?:#|//|%|;)+\s*(?=\S)", "", line.cells[0]) if line.cells else ""
    return Line(line.number, line.text, (first, *line.cells[1:]))


def _names(header: Sequence[Line], width: int, lines: Sequence[Line]) -> tuple[str, ...]:
    if not header:
        return tuple(f"column {i + 1}" for i in range(width))
    names = list(header[0].cells)
    if len(header) > 1 and header[1].number < header[0].number:
        names = _with_groups(names, header[1].cells)
    elif len(header) > 1:
        units = [*header[1].cells, *[""] * len(names)]
        names = [f"{name} {unit}".strip() for name, unit in zip(names, units, strict=False)]
    if _is_numbered(names, lines):
        names = ["row number", *names]
        width = max(width, len(names))
    return tuple(names[:width]) + tuple(f"column {i + 1}" for i in range(len(names), width))


def _with_groups(names: Sequence[str], groups: Sequence[str]) -> list[str]:
    """Return names behind the group that stands above them, or above one to their left."""
    found, group = [], ""
    for place, name in enumerate(names):
        group = groups[place] if place < len(groups) and groups[place] else group
        found.append(f"{group} {name}" if group and names.count(name) > 1 else name)
    return found


def _are_halves(header: Sequence[Line], width: int, lines: Sequence[Line], delimiter: str) -> bool:
    """Return whether a decimal comma has cut each number in two, the comma being the delimiter."""
    if delimiter != "comma" or not header or width != 2 * len(header[0].cells) - 1:
        return False
    readings = [one.cells[1:] for one in lines[:200] if is_reading(one.cells)]
    return all(re.fullmatch(r"-?\d{1,3}", cell) for cells in readings for cell in cells)


def _whole(cells: Sequence[str]) -> tuple[str, ...]:
    halves = list(cells[1:])
    pairs = zip(halves[::2], [*halves[1::2], ""], strict=False)
    return (*cells[:1], *(f"{whole},{part}" if part else whole for whole, part in pairs))


def _is_numbered(names: Sequence[str], lines: Sequence[Line]) -> bool:
    """Return whether the rows begin with a number that the header does not name."""
    readings = [line.cells for line in lines[:50] if is_reading(line.cells)]
    if not all(cells[0].isdigit() for cells in readings):
        return False
    stamp = next((i for i, cell in enumerate(readings[-1]) if is_stamp(cell)), None)
    named = next((i for i, name in enumerate(names) if TIME_NAME.search(name)), None)
    return stamp is not None and named is not None and stamp == named + 1
