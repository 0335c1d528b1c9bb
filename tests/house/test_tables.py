"""Every table says where each row is from, of which kind it is, and the unit of every column."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import io
import re
import tomllib
from typing import Any

import pytest

from tests.house.sources import PACKAGE

TABLES = sorted((PACKAGE / "tables").rglob("*.csv"))
KINDS = {
    "measured", "reviewed", "handbook", "maker's sheet", "quoted", "recalled", "estimated",
    "derived", "library",
}  # fmt: skip
ROW = ("source", "where", "kind")
ABOUT = ("title", "source", "licence", "kind")
BOOKKEEPING = {*ROW, "date_seen", "note"}


def bibliography() -> set[str]:
    """Return the keys of the references file."""
    text = (PACKAGE / "tables" / "references.bib").read_text(encoding="utf-8")
    return set(re.findall(r"^@\w+\{([^,\s]+),", text, re.MULTILINE))


def faults(rows_text: str, about: dict[str, Any], keys: set[str]) -> list[str]:
    """Return what a table and its companion lack."""
    rows = list(csv.DictReader(io.StringIO(rows_text)))
    columns = set(rows[0]) if rows else set()
    found = [f"the companion has no {name}" for name in ABOUT if not about.get(name)]
    found += [f"there is no column {name}" for name in ROW if name not in columns]
    units = about.get("units", {})
    found += [f"{name} has no unit" for name in sorted(columns - BOOKKEEPING - set(units))]
    found += [f"{name} has a unit and no column" for name in sorted(set(units) - columns)]
    found += [f"{key} is not in references.bib" for key in _keys(about) - keys]
    found += [f"{kind} is not a kind" for kind in _kinds(about) - KINDS]
    for line, row in enumerate(rows, start=2):
        if None in row or None in row.values():
            found.append(f"line {line} has too many or too few cells")
            continue
        found += [f"line {line} has no {name}" for name in ROW if not (row.get(name) or "").strip()]
        found += [f"line {line}: {key} is not in references.bib" for key in _keys(row) - keys]
        found += [f"line {line}: {kind} is not a kind" for kind in _kinds(row) - KINDS]
    return found if rows else ["there is no row"]


def _keys(holder: dict[str, Any]) -> set[str]:
    return {key.strip() for key in _words(holder.get("source")) if key.strip()}


def _kinds(holder: dict[str, Any]) -> set[str]:
    return {kind.strip() for kind in _words(holder.get("kind")) if kind.strip()}


def _words(value: object) -> list[str]:
    return [str(part) for part in value] if isinstance(value, list) else str(value or "").split(";")


def test_there_are_tables() -> None:
    assert TABLES


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_a_table_is_complete(path: Any) -> None:
    companion = path.with_suffix(".toml")
    assert companion.exists(), f"{companion.name} is missing"
    about = tomllib.loads(companion.read_text(encoding="utf-8"))
    assert faults(path.read_text(encoding="utf-8"), about, bibliography()) == []


GOOD_ROWS = "term,width_mm,source,where,kind\ncrack,2,smith2001,table 3,measured\n"
GOOD_ABOUT: dict[str, Any] = {
    "title": "Cracks", "source": "smith2001", "licence": "CC0-1.0", "kind": "measured",
    "units": {"term": "text", "width_mm": "mm"},
}  # fmt: skip


def test_a_complete_table_passes() -> None:
    assert faults(GOOD_ROWS, GOOD_ABOUT, {"smith2001"}) == []


@pytest.mark.parametrize(
    ("rows", "about", "complaint"),
    [
        (GOOD_ROWS.replace("smith2001", "doe1999"), {}, "doe1999 is not in references.bib"),
        (GOOD_ROWS.replace("measured", "guessed"), {}, "guessed is not a kind"),
        (GOOD_ROWS.replace("table 3", ""), {}, "line 2 has no where"),
        (GOOD_ROWS.replace(",kind", ",sort"), {}, "there is no column kind"),
        (GOOD_ROWS.replace("measured", "measured,9"), {}, "too many or too few cells"),
        (GOOD_ROWS, {"units": {"term": "text"}}, "width_mm has no unit"),
        (GOOD_ROWS, {"licence": ""}, "the companion has no licence"),
        (GOOD_ROWS.split("\n")[0] + "\n", {}, "there is no row"),
    ],
)
def test_a_planted_fault_is_found(rows: str, about: dict[str, Any], complaint: str) -> None:
    found = faults(rows, GOOD_ABOUT | about, {"smith2001"})
    assert any(complaint in line for line in found), found
