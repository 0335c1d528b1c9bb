"""The loader of tables, and what the tables of the ground say."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import hashlib
from pathlib import Path

import pytest

from softmend import tables
from softmend.errors import NotFoundError

FOLDER = Path(tables.__file__).parent


@pytest.mark.parametrize("name", tables.table_names())
def test_rows_units_and_version_are_those_of_the_files(name: str) -> None:
    found = tables.table(name)
    text = (FOLDER / f"{name}.csv").read_bytes()
    lines = list(csv.DictReader(text.decode("utf-8").splitlines()))
    assert len(found.rows) == len(lines) > 0
    assert found.version == hashlib.sha256(text).hexdigest()[:12]
    assert set(found.rows[0]) == set(lines[0]) == set(found.units)
    for row in found.rows:
        assert row["kind"] in tables.KINDS


def test_numbers_are_numbers_and_words_are_words() -> None:
    row = tables.table("condition_grades").rows[3]
    assert row["grade"] == 4.0
    assert row["wording"] == "Active loss: act now"


def test_a_table_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(NotFoundError) as refused:
        tables.table("prices")
    assert str(refused.value).startswith("There is no table of that name; got prices; allowed: ")


def test_every_term_has_a_code_of_the_legend_a_shape_and_its_own_id() -> None:
    codes = {row["code"] for row in tables.table("legend").rows}
    terms = tables.table("vocabulary").rows
    assert len({row["term_id"] for row in terms}) == len(terms)
    for row in terms:
        assert row["code"] in codes, row["term_id"]
        assert row["definition"], row["term_id"]
        assert set(str(row["shapes"]).replace(";", " ").split()) <= {
            "Point", "LineString", "Polygon",
        }  # fmt: skip


def test_no_two_classes_of_the_legend_look_the_same_without_colour() -> None:
    rows = tables.table("legend").rows
    assert len({row["code"] for row in rows}) == len(rows)


def test_every_part_hangs_on_a_part_of_the_same_object() -> None:
    rows = tables.table("parts").rows
    known = {(row["object"], row["part"]) for row in rows}
    for row in rows:
        assert not row["within"] or (row["object"], row["within"]) in known, row
