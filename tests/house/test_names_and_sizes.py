"""Files that are read at one sitting, functions that fit a screen, names that say something."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import ast
import io
import re
import tokenize
from pathlib import Path

import pytest

from tests.house.contracts import Function
from tests.house.sources import ROOT, files_of_the_project, name_of, python_files, tree_of

CODE_LINES, LONG_LINES = 400, 600
# The goal is 40 lines of code without the docstring; above 60 a function is two functions.
FUNCTION_LINES = 60
EMPTY_NAMES = {
    "utils", "util", "helpers", "helper", "misc", "common", "base", "manager", "managers",
}  # fmt: skip
EMPTY_CLASS = re.compile(r"(Manager|Helper|Helpers|Utils|Util|Misc)$")
NOT_RUN = {"pytest.skip", "pytest.xfail", "pytest.importorskip", "pytest.mark.skip",
           "pytest.mark.skipif", "pytest.mark.xfail", "unittest.skip"}  # fmt: skip

PYTHON = [*python_files("src", "tests", "tools", "benchmarks", "examples"), ROOT / "run"]


def longest_allowed(path: Path) -> int | None:
    """Return how many lines a file may have, or None where length says nothing."""
    parts = path.relative_to(ROOT).parts
    if "vendor" in parts or parts[:2] == ("tests", "data"):
        return None
    if parts[0] == "tests" or path.suffix in {".typ", ".html", ".csv", ".toml", ".jinja"}:
        return LONG_LINES
    return CODE_LINES if path.suffix in {".py", ".js", ".mjs"} or path == ROOT / "run" else None


MEASURED = [path for path in files_of_the_project() if longest_allowed(path) is not None]


def code_lines(function: Function) -> int:
    """Return the lines of a function without its docstring."""
    first = function.body[0]
    docstring = (
        (first.end_lineno or 0) - first.lineno + 1 if ast.get_docstring(function) is not None else 0
    )
    return (function.end_lineno or 0) - function.lineno + 1 - docstring


def long_functions(tree: ast.Module) -> list[str]:
    """Return the functions above the hard limit."""
    functions = (node for node in ast.walk(tree) if isinstance(node, Function))
    return [
        f"{node.name}: {code_lines(node)} lines"
        for node in functions
        if code_lines(node) > FUNCTION_LINES
    ]


def empty_names(path: Path, tree: ast.Module) -> list[str]:
    """Return folders, modules and classes of a name that says nothing."""
    of_files = [
        part for part in path.relative_to(ROOT).with_suffix("").parts if part in EMPTY_NAMES
    ]
    classes = (node for node in ast.walk(tree) if isinstance(node, ast.ClassDef))
    return of_files + [node.name for node in classes if EMPTY_CLASS.search(node.name)]


def shortcuts(text: str) -> list[str]:
    """Return the ways out that the house does not take: silence, skips, ignored types."""
    found = []
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.ExceptHandler):
            silent = all(isinstance(line, ast.Pass) for line in node.body)
            if node.type is None or silent:
                found.append(f"line {node.lineno}: a bare or silent except")
        elif isinstance(node, ast.Attribute) and ast.unparse(node) in NOT_RUN:
            found.append(f"line {node.lineno}: {ast.unparse(node)}")
        elif isinstance(node, ast.ImportFrom) and any(alias.name == "*" for alias in node.names):
            found.append(f"line {node.lineno}: a star import")
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.COMMENT and re.search(r"type:\s*ignore", token.string):
            found.append(f"line {token.start[0]}: type: ignore")
    return found


def test_there_is_something_to_measure() -> None:
    assert len(MEASURED) > 20


@pytest.mark.parametrize("path", MEASURED, ids=name_of)
def test_a_file_is_read_at_one_sitting(path: Path) -> None:
    lines = len(path.read_text(encoding="utf-8").splitlines())
    assert lines < (longest_allowed(path) or 0)


@pytest.mark.parametrize("path", PYTHON, ids=name_of)
def test_a_function_fits_a_screen(path: Path) -> None:
    assert long_functions(tree_of(path)) == []


@pytest.mark.parametrize("path", PYTHON, ids=name_of)
def test_a_name_says_something(path: Path) -> None:
    assert empty_names(path, tree_of(path)) == []


@pytest.mark.parametrize("path", PYTHON, ids=name_of)
def test_nothing_is_silenced_or_skipped(path: Path) -> None:
    assert shortcuts(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", python_files("src"), ids=name_of)
def test_input_is_never_checked_with_assert(path: Path) -> None:
    asserts = [node.lineno for node in ast.walk(tree_of(path)) if isinstance(node, ast.Assert)]
    assert asserts == []


def test_a_planted_long_function_is_found() -> None:
    body = "".join(f"    x{number} = {number}\n" for number in range(FUNCTION_LINES))
    assert long_functions(ast.parse(f"def f():\n{body}")) == ["f: 61 lines"]
    assert long_functions(ast.parse(f'def f():\n    """Long\n\n\n    text."""\n{body[:200]}')) == []


def test_a_planted_empty_name_is_found() -> None:
    tree = ast.parse("class MarkManager: pass")
    assert empty_names(ROOT / "src" / "softmend" / "utils" / "ink.py", tree) == [
        "utils",
        "MarkManager",
    ]


def test_planted_shortcuts_are_found() -> None:
    planted = (
        "import pytest\nfrom os import *\ntry:\n    x = 1\nexcept ValueError:\n    pass\n"
        "try:\n    x = 2\nexcept:\n    x = 3\n"
        "@pytest.mark.skipif(True)\ndef test_it(): pytest.xfail('')\n"
        "y: int = 'a'  # type" + ": ignore\n"
    )
    assert len(shortcuts(planted)) == 6
