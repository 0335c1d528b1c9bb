"""Spectra in a table of text: wavelengths in the header or down the first column, any separator."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from typing import Any

from softmend.errors import InputError
from softmend.intake.colour_sample import (
    MOST_NAME,
    NOT_KNOWN,
    ColourFile,
    ColourSample,
    number,
    put_in_order,
)

WAVELENGTH = re.compile(
    r"^\s*(?:spectral[_ ]?)?(?:nm|r|λ|lambda|wl)?[_ ]?(\d{3,4}(?:[.,]\d+)?)"
    r"\s*(?:nm)?\s*(?:%|\(%\))?\s*$",
    re.IGNORECASE,
)
SPACED = re.compile(r"^\s*[-+\d]+(?:[.,]\d+)?(?:\s+[-+\d]+(?:[.,]\d+)?)+\s*$")
FIRST_COLUMN = re.compile(r"wave|nm\b|lambda|λ|^\s*wl\b", re.IGNORECASE)
PERCENT = re.compile(r"%|percent|prozent|pour ?cent", re.IGNORECASE)
POWER = re.compile(r"power|irradiance|radiance|spd|w/m|energy", re.IGNORECASE)
# The words of a column that says how a reading was made, and the field it goes into.
FACTS = {
    "geometry": "geometry", "specular": "specular", "gloss": "specular", "uv": "uv",
    "condition": "uv", "backing": "backing", "aperture_mm": "aperture_mm",
    "aperture": "aperture_mm", "readings": "readings",
}  # fmt: skip
NAMES = ("name", "sample", "sample_name", "sample name", "id", "sample_id", "paint")


def read_table(text: str) -> ColourFile:
    """Return the curves of a table of text; InputError says which cell is wrong."""
    facts, lines = _comments(text)
    separator = _separator(lines)
    if separator == " ":
        rows = [line.split() for line in lines]
    else:
        rows = [row for row in csv.reader(io.StringIO("\n".join(lines)), delimiter=separator)]
    rows = [row for row in rows if any(cell.strip() for cell in row)]
    if not rows:
        raise InputError("The file holds no table", remedy="Export the readings as CSV")
    head = rows[0]
    across = [place for place, cell in enumerate(head) if WAVELENGTH.match(cell)]
    is_wide = len(across) >= 3 and not _is_numbers(head)
    if not is_wide and len(across) >= 3 and len(across) >= len(head) - 1 and len(rows) <= len(head):
        is_wide = not all(WAVELENGTH.match(row[0]) for row in rows[1:] if row)
    samples = _wide(rows, across, facts) if is_wide else _long(rows, facts)
    said = " ".join([*(str(v) for v in facts.values()), *head])
    percent = True if PERCENT.search(said) else None
    quantity = "power" if POWER.search(said) else "reflectance"
    ordered, notes = put_in_order(samples, percent=percent, quantity=quantity)
    return ColourFile("table", ordered, tuple([*notes, *_gaps(samples)]))


def _comments(text: str) -> tuple[dict[str, str], list[str]]:
    """Return what the comment lines say, and the other lines."""
    facts: dict[str, str] = {}
    lines = []
    for line in text.splitlines():
        if line.lstrip().startswith("#"):
            word, _, value = line.lstrip("# \t").partition(":")
            if value:
                facts[word.strip().lower().replace(" ", "_")] = value.strip()
        elif line.strip():
            lines.append(line)
    return facts, lines


def _separator(lines: Sequence[str]) -> str:
    """Return what stands between the cells; a comma between digits may be a decimal point."""
    some = lines[: min(len(lines), 20)]
    for separator in ("\t", ";"):
        if some and all(separator in line for line in some):
            return separator
    if some and all(SPACED.match(line) for line in some[1:] or some):
        return " "
    if some and all("," in line for line in some):
        return ","
    return " "


def _is_numbers(row: Sequence[str]) -> bool:
    try:
        for cell in row:
            float(cell.strip().replace(",", "."))
    except ValueError:
        return False
    return True


def _wide(
    rows: Sequence[Sequence[str]], across: Sequence[int], facts: dict[str, str]
) -> list[ColourSample]:
    """Return one curve a row, the wavelengths in the first row."""
    head = [cell.strip() for cell in rows[0]]
    at = {place: _nanometres(head[place]) for place in across}
    words = {place: head[place].lower() for place in range(len(head)) if place not in at}
    named = [place for place, word in words.items() if word in NAMES or word == ""]
    if not named:
        named = [place for place, word in words.items() if word not in FACTS][:1]
    samples = []
    for line, row in enumerate(rows[1:], start=2):
        cells = {place: row[place] for place in at if place < len(row) and row[place].strip()}
        name = next((row[p].strip() for p in named if p < len(row) and row[p].strip()), "")
        own = {FACTS[w]: row[p].strip() for p, w in words.items() if w in FACTS and p < len(row)}
        samples.append(
            _sample(
                name or f"row {line}",
                [at[place] for place in cells],
                [number(cell, f"Row {line}, {head[p]}") for p, cell in cells.items()],
                {**facts, **{key: value for key, value in own.items() if value}},
            )
        )
    return samples


def _long(rows: Sequence[Sequence[str]], facts: dict[str, str]) -> list[ColourSample]:
    """Return one curve a column, the wavelengths down the first."""
    head = [cell.strip() for cell in rows[0]]
    has_head = not _is_numbers(head)
    if has_head and not FIRST_COLUMN.search(head[0]) and not _is_numbers(rows[-1][:1]):
        raise InputError(
            "The table has no wavelengths",
            value=", ".join(head)[:80],
            allowed="wavelengths in nm in the first row or in the first column",
        )
    body = rows[1:] if has_head else rows
    width = max(len(row) for row in rows)
    names = [
        (head[place] if has_head and place < len(head) else "") or f"column {place + 1}"
        for place in range(width)
    ]
    samples = []
    for place in range(1, width):
        at, values = [], []
        for line, row in enumerate(body, start=2 if has_head else 1):
            if place < len(row) and row[place].strip():
                at.append(_nanometres(row[0], f"Row {line}, column 1"))
                values.append(number(row[place], f"Row {line}, “{names[place]}”"))
        if values:
            name = PERCENT.sub("", names[place]).strip(" ()[]") or names[place]
            samples.append(_sample(name, at, values, facts))
    return samples


def _nanometres(cell: str, where: str = "A wavelength") -> float:
    found = WAVELENGTH.match(cell)
    return number(found[1] if found else cell, where)


def _sample(
    name: str, at: Sequence[float], values: Sequence[float], facts: dict[str, str]
) -> ColourSample:
    said: dict[str, Any] = {}
    for word, value in facts.items():
        place = FACTS.get(word)
        if place == "aperture_mm":
            said[place] = number(value.lower().replace("mm", ""), f"The aperture of “{name}”")
        elif place == "readings":
            said[place] = round(number(value, f"The number of readings of “{name}”"))
        elif place is not None:
            said[place] = value or NOT_KNOWN
    other = {word: value for word, value in facts.items() if word not in FACTS}
    return ColourSample(name[:MOST_NAME], tuple(at), tuple(values), facts=other, **said)


def _gaps(samples: Sequence[ColourSample]) -> list[str]:
    most = max((len(one.values) for one in samples), default=0)
    return [
        f"“{one.name}” lacks {most - len(one.values)} of {most} wavelengths."
        for one in samples
        if len(one.values) < most
    ][:20]
