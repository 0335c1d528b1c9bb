"""Every source that is named exists, and every source that is kept is named somewhere."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import ast
import csv
import re
import tomllib
from typing import TYPE_CHECKING

import pytest

from tests.house.contracts import KEY, Function, sections, source_keys
from tests.house.sources import PACKAGE, ROOT, files_of_the_project, name_of, python_files, tree_of
from tests.house.test_tables import TABLES, bibliography

if TYPE_CHECKING:
    from pathlib import Path

CHECKS = sorted((ROOT / "tests" / "checks").glob("*.csv"))
CHECK_COLUMNS = ["name", "inputs", "expected", "tolerance", "kind", "where"]
CHECK_KINDS = {"printed", "recomputed", "recalled", "pinned"}
CODE = python_files("src/softmend")
PAGES = [path for path in files_of_the_project() if path.suffix == ".md"]
# In prose a source is cited as [@key].
CITED = re.compile(r"\[@([\w-]+)\]")


def keys_in_code(tree: ast.Module) -> set[str]:
    """Return the keys named after Source: in docstrings and in arguments called source."""
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | Function):
            found.update(source_keys(sections(ast.get_docstring(node) or "").get("Source", "")))
        elif isinstance(node, ast.keyword) and node.arg in {"source", "sources"}:
            texts = [part.value for part in ast.walk(node.value) if isinstance(part, ast.Constant)]
            found.update(
                key for text in texts if isinstance(text, str) for key in source_keys(text)
            )
    return found


def keys_in_tables() -> set[str]:
    """Return the keys named in the rows and companions of the tables."""
    found: set[str] = set()
    for path in TABLES:
        with path.open(encoding="utf-8", newline="") as rows:
            cells = {row.get("source") or "" for row in csv.DictReader(rows)}
        companion = path.with_suffix(".toml")
        if companion.exists():
            source = tomllib.loads(companion.read_text(encoding="utf-8")).get("source", "")
            cells.update(source if isinstance(source, list) else [source])
        found.update(key.strip() for cell in cells for key in cell.split(";") if key.strip())
    return found


def names_of_a_check_file(path: Path) -> set[str]:
    """Return the keys that a file of check values may belong to; an underscore is a hyphen."""
    return {path.stem, path.stem.replace("_", "-")}


def test_there_are_check_values() -> None:
    assert CHECKS


def test_a_key_is_kept_only_once() -> None:
    text = (PACKAGE / "tables" / "references.bib").read_text(encoding="utf-8")
    keys = re.findall(r"^@\w+\{([^,\s]+),", text, re.MULTILINE)
    assert keys
    assert len(keys) == len(set(keys))
    assert [key for key in keys if not KEY.fullmatch(key)] == []


@pytest.mark.parametrize("path", CODE, ids=name_of)
def test_every_source_named_in_code_exists(path: Path) -> None:
    assert keys_in_code(tree_of(path)) - bibliography() == set()


@pytest.mark.parametrize("path", PAGES, ids=name_of)
def test_every_source_cited_in_prose_exists(path: Path) -> None:
    assert set(CITED.findall(path.read_text(encoding="utf-8"))) - bibliography() == set()


@pytest.mark.parametrize("path", CHECKS, ids=name_of)
def test_check_values_are_named_after_a_source_and_marked(path: Path) -> None:
    assert names_of_a_check_file(path) & bibliography()
    with path.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert rows
    assert list(rows[0]) == CHECK_COLUMNS
    for row in rows:
        assert row["kind"] in CHECK_KINDS, row
        assert row["where"], row
        assert float(row["tolerance"]) >= 0, row


def test_every_source_that_is_kept_is_used() -> None:
    used = keys_in_tables() | {key for path in CHECKS for key in names_of_a_check_file(path)}
    used.update(*(keys_in_code(tree_of(path)) for path in CODE))
    used.update(*(CITED.findall(path.read_text(encoding="utf-8")) for path in PAGES))
    assert bibliography() - used == set()


@pytest.mark.parametrize("path", [*CODE, *PAGES], ids=name_of)
def test_no_file_points_to_a_page_that_a_reader_cannot_open(path: Path) -> None:
    assert re.findall(r"\breference/\w+|\bdesign\.md", path.read_text(encoding="utf-8")) == []


def test_planted_sources_are_read() -> None:
    planted = (
        'def f():\n    """Return it.\n\n    Source: smith2001, eq 2; doe-1999 (a; b); slopes.\n'
        '    """\nentry = Entry(source="roe1950, page 4")\n'
        'def g():\n    """Return it.\n\n    Source: common practice, no source.\n    """\n'
    )
    assert keys_in_code(ast.parse(planted)) == {"smith2001", "doe-1999", "roe1950"}
