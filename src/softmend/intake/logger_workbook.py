"""The sheets of an .xlsx workbook as rows of text, dates written year first."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from dataclasses import dataclass
from xml.etree import ElementTree

from softmend.errors import InputError, LimitError
from softmend.intake.logger_table import SHEET_DAY_ZERO

MOST_UNPACKED = 300_000_000
MOST_SHEETS = 40
_NS = {"m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}
_DATE_FORMATS = {*range(14, 23), *range(45, 48)}
DAY_ZERO_1904 = dt.datetime(1904, 1, 1)
_DATE_SIGNS = re.compile(r"(?<![\\\"])[ymdhs]", re.IGNORECASE)
_SAVE = "Open it in its own program, save the sheet as CSV, and bring that in"


@dataclass(frozen=True, slots=True)
class Workbook:
    """The cells of each sheet as text, and the day from which the book counts its dates."""

    sheets: tuple[list[list[str]], ...]
    day_zero: dt.datetime


def is_workbook(data: bytes) -> bool:
    """Return whether the bytes are a packed office workbook."""
    return data.startswith(b"PK\x03\x04")


def workbook_of(data: bytes) -> Workbook:
    """Return the sheets of a workbook; InputError for any other archive."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if sum(one.file_size for one in archive.infolist()) > MOST_UNPACKED:
                raise LimitError("The workbook is larger than Softmend reads", remedy=_SAVE)
            names = set(archive.namelist())
            sheets = sorted(
                (n for n in names if re.fullmatch(r"xl/worksheets/sheet\d+\.xml", n)), key=_number
            )
            if not sheets:
                raise InputError(
                    "The file is an archive, not a table", allowed="text, or .xlsx", remedy=_SAVE
                )
            shared = _shared(_tree(archive, "xl/sharedStrings.xml", names))
            dates = _date_styles(_tree(archive, "xl/styles.xml", names))
            zero = _day_zero(_tree(archive, "xl/workbook.xml", names))
            trees = [_tree(archive, name, names) for name in sheets[:MOST_SHEETS]]
    except (zipfile.BadZipFile, ElementTree.ParseError, KeyError, RuntimeError, OSError) as fault:
        raise InputError("The workbook cannot be read", remedy=_SAVE) from fault
    read = (
        [_row(row, shared, dates, zero) for row in one.iterfind(".//m:sheetData/m:row", _NS)]
        for one in trees
        if one is not None
    )
    return Workbook(tuple(read), zero)


def _number(name: str) -> int:
    return int(re.findall(r"\d+", name)[-1])


def _tree(archive: zipfile.ZipFile, name: str, names: set[str]) -> ElementTree.Element | None:
    if name not in names:
        return None
    text = archive.read(name)
    if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
        raise InputError("The workbook holds declarations that a table has not", remedy=_SAVE)
    return ElementTree.fromstring(text)  # noqa: S314


def _shared(tree: ElementTree.Element | None) -> list[str]:
    if tree is None:
        return []
    return ["".join(t.text or "" for t in one.iterfind(".//m:t", _NS)) for one in tree]


def _date_styles(tree: ElementTree.Element | None) -> set[int]:
    """Return the numbers of the cell styles that show a number as a date or a time."""
    if tree is None:
        return set()
    own = {
        int(one.get("numFmtId", "0"))
        for one in tree.iterfind(".//m:numFmts/m:numFmt", _NS)
        if _DATE_SIGNS.search(re.sub(r"\[[^\]]*\]|\"[^\"]*\"", "", one.get("formatCode", "")))
    }
    styles = tree.iterfind("m:cellXfs/m:xf", _NS)
    return {
        index
        for index, style in enumerate(styles)
        if int(style.get("numFmtId", "0")) in own | _DATE_FORMATS
    }


def _day_zero(tree: ElementTree.Element | None) -> dt.datetime:
    """Return the day that the book counts as nought: some books say that they count from 1904."""
    facts = None if tree is None else tree.find("m:workbookPr", _NS)
    told = "" if facts is None else facts.get("date1904", "")
    return DAY_ZERO_1904 if told in {"1", "true"} else SHEET_DAY_ZERO


def _row(
    row: ElementTree.Element, shared: list[str], dates: set[int], zero: dt.datetime
) -> list[str]:
    cells: list[str] = []
    for cell in row.iterfind("m:c", _NS):
        place = re.match(r"[A-Z]+", cell.get("r", ""))
        if place:
            column = 0
            for letter in place[0]:
                column = 26 * column + ord(letter) - 64
            cells += [""] * (min(column, 500) - 1 - len(cells))
        cells.append(_cell(cell, shared, dates, zero))
    return cells


def _cell(cell: ElementTree.Element, shared: list[str], dates: set[int], zero: dt.datetime) -> str:
    value = cell.findtext("m:v", default="", namespaces=_NS)
    kind = cell.get("t", "n")
    if kind == "s":
        index = int(value) if value.isdigit() else -1
        return shared[index] if 0 <= index < len(shared) else ""
    if kind == "inlineStr":
        return "".join(t.text or "" for t in cell.iterfind(".//m:t", _NS))
    if kind == "n" and value and int(cell.get("s", "0")) in dates:
        return _stamp(float(value), zero)
    return value


def _stamp(serial: float, zero: dt.datetime) -> str:
    """Return a spreadsheet's day number as a stamp, year first; below one it is a time of day."""
    if not 0 <= serial < 2_900_000:
        return ""
    at = zero + dt.timedelta(milliseconds=round(serial * 86_400_000))
    at = at + dt.timedelta(microseconds=500_000) if at.microsecond > 500_000 else at
    shown = at.replace(microsecond=0)
    return f"{shown:%H:%M:%S}" if serial < 1 else f"{shown:%Y-%m-%d %H:%M:%S}"
