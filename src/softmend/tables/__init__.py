"""Tables of facts with their sources: one .csv and one .toml each, read when asked for."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import hashlib
import io
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from softmend.errors import NotFoundError, StorageError

KINDS = (
    "measured",
    "reviewed",
    "handbook",
    "maker's sheet",
    "quoted",
    "recalled",
    "estimated",
    "derived",
    "library",
)

Row = Mapping[str, str | float | None]


@dataclass(frozen=True)
class Table:
    """One table: its rows, the unit of each column, where it comes from, and its version.

    `version` is the first 12 digits of the SHA-256 of the .csv: a changed row is a new version.
    """

    name: str
    title: str
    licence: str
    units: Mapping[str, str]
    rows: tuple[Row, ...]
    version: str


def table_names() -> list[str]:
    """Return the names of every table that ships with the program, sorted.

    Returns
    -------
    list of str, table names [1]

    Source: softmend-practice, design of the tables.
    Checked against: tests/tables/test_loader.py.

    Example
    -------
    >>> "legend" in table_names()
    True
    """
    return list(_names())


@lru_cache(maxsize=1)
def _names() -> tuple[str, ...]:
    folder = files(__package__)
    return tuple(sorted(one.name[:-4] for one in folder.iterdir() if one.name.endswith(".csv")))


@lru_cache(maxsize=64)
def table(name: str) -> Table:
    """Return a table by name, its numbers read as numbers.

    Parameters
    ----------
    name : str, one of table_names() [1]

    Returns
    -------
    Table, whose columns carry the units stated beside it

    Raises
    ------
    NotFoundError
        When there is no table of that name.
    StorageError
        When the table and its description disagree.

    Source: softmend-practice, design of the tables.
    Checked against: tests/tables/test_loader.py.

    Example
    -------
    >>> table("condition_grades").rows[0]["grade"]
    1.0
    """
    if name not in table_names():
        raise NotFoundError(
            "There is no table of that name", value=name, allowed=", ".join(table_names())
        )
    folder = files(__package__)
    text = folder.joinpath(f"{name}.csv").read_bytes()
    about = tomllib.loads(folder.joinpath(f"{name}.toml").read_text("utf-8"))
    units: dict[str, str] = about["units"]
    lines = list(csv.DictReader(io.StringIO(text.decode("utf-8"))))
    for line in lines:
        if set(line) != set(units):
            raise StorageError(f"The columns of the table {name} are not those described beside it")
    return Table(
        name=name,
        title=about["title"],
        licence=about["licence"],
        units=units,
        rows=tuple(
            {column: _cell(units[column], cell) for column, cell in line.items()} for line in lines
        ),
        version=hashlib.sha256(text).hexdigest()[:12],
    )


def _cell(unit: str, cell: str) -> str | float | None:
    # "text" marks a column of words; every other unit is that of a number.
    if unit == "text":
        return cell
    return float(cell) if cell.strip() else None
