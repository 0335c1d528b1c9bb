"""Readings in CGATS.17 text: keywords, a data format, rows of values, in one or several tables."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
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

BAND = re.compile(
    r"^(?:SPECTRAL_?(?:NM_?|PCT_?|DEC_?)?|NM_?|R_?)(\d{3,4}(?:\.\d+)?)$", re.IGNORECASE
)
TOKEN = re.compile(r'"((?:[^"]|"")*)"|(\S+)')
NAMES = ("SAMPLE_NAME", "SAMPLE_ID", "SAMPLEID", "SAMPLE_LOC", "STRING")
LABS = (("LAB_L", "LAB_A", "LAB_B"), ("L*", "A*", "B*"))
LONGEST_LINE = 200_000


def is_cgats(text: str) -> bool:
    """Return whether a text is of the CGATS.17 kind."""
    return bool(re.search(r"^\s*BEGIN_DATA_FORMAT\s*$", text, re.MULTILINE))


def read_cgats(text: str) -> ColourFile:
    """Return the curves and colours of a CGATS.17 text; InputError says which line is wrong."""
    samples: list[ColourSample] = []
    percent: bool | None = None
    for facts, fields, rows in _tables(text):
        if any("PCT" in one.upper() for one in fields if BAND.match(one)):
            percent = True
        samples += [_sample(facts, fields, row, line) for line, row in rows]
    if samples and not any(one.wavelengths_nm or one.lab for one in samples):
        raise InputError(
            "The file holds neither spectra nor CIELAB colours",
            allowed="columns such as SPECTRAL_NM400 or LAB_L, LAB_A, LAB_B",
        )
    ordered, notes = put_in_order(samples, percent=percent)
    return ColourFile("CGATS.17", ordered, tuple(notes))


Table = tuple[dict[str, str], list[str], list[tuple[int, list[str]]]]


def _tables(text: str) -> Iterator[Table]:
    facts: dict[str, str] = {}
    fields: list[str] = []
    lines = _lines(text)
    place = 0
    while place < len(lines):
        _, words = lines[place]
        key = words[0].upper()
        if key == "BEGIN_DATA_FORMAT":
            inside, place = _until(lines, place, "END_DATA_FORMAT")
            fields = [word for _, row in inside for word in row]
        elif key == "BEGIN_DATA":
            inside, place = _until(lines, place, "END_DATA")
            yield facts, fields, _records(inside, fields)
        else:
            facts[key] = " ".join(words[1:])
        place += 1


def _lines(text: str) -> list[tuple[int, list[str]]]:
    found = []
    for line, raw in enumerate(text.splitlines(), start=1):
        if len(raw) > LONGEST_LINE:
            raise InputError(f"Line {line} is too long", value=len(raw), allowed=str(LONGEST_LINE))
        words = _words(raw)
        if words:
            found.append((line, words))
    return found


def _until(
    lines: list[tuple[int, list[str]]], start: int, end: str
) -> tuple[list[tuple[int, list[str]]], int]:
    """Return the lines after one line up to a closing word, and where that stands."""
    for place in range(start + 1, len(lines)):
        if lines[place][1][0].upper() == end:
            return lines[start + 1 : place], place
    raise InputError(f"The file ends before its {end}", remedy="Copy it again from its source")


def _records(lines: list[tuple[int, list[str]]], fields: list[str]) -> list[tuple[int, list[str]]]:
    """Return the records; one may run over several lines and is full when every field is."""
    if not fields:
        raise InputError("The data stand before their format", remedy="Export the file again")
    rows: list[tuple[int, list[str]]] = []
    held: list[str] = []
    for line, words in lines:
        held += words
        while len(held) >= len(fields):
            rows.append((line, held[: len(fields)]))
            held = held[len(fields) :]
    if held:
        raise InputError(
            f"The record before line {lines[-1][0]} lacks values",
            value=f"{len(held)} of {len(fields)}",
        )
    return rows


def _words(line: str) -> list[str]:
    words = []
    for quoted, plain in TOKEN.findall(line):
        if plain.startswith("#"):
            break
        words.append(plain or quoted.replace('""', '"'))
    return words


def _sample(facts: Mapping[str, str], fields: list[str], row: list[str], line: int) -> ColourSample:
    cells = dict(zip((one.upper() for one in fields), row, strict=True))
    at, values = [], []
    for name, cell in cells.items():
        band = BAND.match(name)
        if band:
            at.append(float(band[1]))
            values.append(number(cell, f"Line {line}, {name}"))
    named = next((cells[one] for one in NAMES if cells.get(one)), f"line {line}")
    return ColourSample(
        named[:MOST_NAME], tuple(at), tuple(values), _lab(cells, line), **_measured(facts),
        facts={key.lower(): value for key, value in facts.items() if value},
    )  # fmt: skip


def _lab(cells: Mapping[str, str], line: int) -> tuple[float, float, float] | None:
    for names in LABS:
        if all(name in cells for name in names):
            found = [number(cells[name], f"Line {line}, {name}") for name in names]
            return found[0], found[1], found[2]
    return None


def _measured(facts: Mapping[str, str]) -> dict[str, Any]:
    """Return how the readings were made, from the keywords."""
    told = " ".join(f"{key} {value}" for key, value in facts.items())
    condition = re.search(r"\bM[0-3]\b", told)
    geometry = facts.get("MEASUREMENT_GEOMETRY") or facts.get("GEOMETRY")
    observer = re.search(r"\b(2|10)\b", facts.get("OBSERVER", ""))
    lamp = re.search(r"\b(A|C|D50|D55|D65|D75|F\d+)\b", facts.get("ILLUMINANT", ""))
    return {
        "geometry": geometry or NOT_KNOWN,
        "specular": _specular(geometry or told),
        "uv": condition[0] if condition else facts.get("FILTER") or NOT_KNOWN,
        "backing": facts.get("SAMPLE_BACKING") or facts.get("BACKING") or NOT_KNOWN,
        "lamp": lamp[0] if lamp else NOT_KNOWN,
        "observer_degrees": int(observer[1]) if observer else None,
    }


def _specular(told: str) -> str:
    words = told.lower()
    if re.search(r"\bsce\b|excluded|\be:8|:8e|de:|d/8e", words):
        return "excluded"
    if re.search(r"\bsci\b|included|di:|d/8i", words):
        return "included"
    return "excluded" if re.search(r"45[/:]0|0[/:]45", words) else NOT_KNOWN
