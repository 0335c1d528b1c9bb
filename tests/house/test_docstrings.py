"""Every public name says what it is; science and tables keep the full contract, and it is true."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import ast
import doctest
import importlib
from typing import TYPE_CHECKING

import numpy as np
import pytest

from tests.house.contracts import Function, lacks, public_functions, sections
from tests.house.sources import ROOT, module_of, name_of, python_files, tree_of

if TYPE_CHECKING:
    from pathlib import Path

EVERYWHERE = [*python_files("src", "tools", "benchmarks"), ROOT / "run"]
CONTRACTED = python_files("src/softmend/science", "src/softmend/tables")
FUNCTIONS = [
    pytest.param(function, id=f"{module_of(path)}.{function.name}")
    for path in CONTRACTED
    for function in public_functions(tree_of(path))
]

KEPT = '''
def strain(stretch: float, length: float) -> float:
    """Return the stretch of a length, relative to it.

    Parameters
    ----------
    stretch, length : float, as measured [m], above 0

    Returns
    -------
    float, strain [1]

    Raises
    ------
    InputError, if the length is not above 0

    Source: hooke1678, page 1.
    Checked against: tests/house/test_docstrings.py
    Example
    -------
    >>> strain(1.0, 2.0)
    0.5
    """
    if length <= 0:
        raise InputError("no length")
    return stretch / length
'''


def one_sentence(node: ast.Module | ast.ClassDef | Function) -> bool:
    """Say whether a docstring opens with a sentence."""
    opening = (ast.get_docstring(node) or "").split("\n\n")[0].rstrip()
    return opening.endswith((".", "?", ":")) and len(opening.split()) >= 2


def without_a_sentence(tree: ast.Module) -> list[str]:
    """Return the public names that do not say in a sentence what they are."""
    named = [("the module", tree)] + [
        (node.name, node)
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef | Function) and not node.name.startswith("_")
    ]
    inner = {
        child
        for node in ast.walk(tree)
        if isinstance(node, Function)
        for child in ast.walk(node)
        if child is not node
    }
    return [name for name, node in named if node not in inner and not one_sentence(node)]


def test_there_is_something_to_look_at() -> None:
    assert len(EVERYWHERE) > 10
    assert FUNCTIONS


@pytest.mark.parametrize("path", EVERYWHERE, ids=name_of)
def test_every_public_name_says_in_a_sentence_what_it_is(path: Path) -> None:
    assert without_a_sentence(tree_of(path)) == []


@pytest.mark.parametrize("path", [*EVERYWHERE, *python_files("tests")], ids=name_of)
def test_every_file_names_its_licence_in_one_line(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    named = [line for line in lines[:80] if line.startswith("# SPDX-License-Identifier:")]
    assert named == ["# SPDX-License-Identifier: Apache-2.0"]


@pytest.mark.parametrize("function", FUNCTIONS)
def test_the_full_contract_is_kept(function: Function) -> None:
    assert lacks(function, ROOT) == []


@pytest.mark.parametrize("path", CONTRACTED, ids=name_of)
def test_the_examples_give_what_they_print(path: Path) -> None:
    module = importlib.import_module(module_of(path))
    # A library that another test loads may have changed how numbers print.
    with np.printoptions(legacy=False):
        result = doctest.testmod(module, optionflags=doctest.NORMALIZE_WHITESPACE)
    assert result.failed == 0


def planted(text: str) -> Function:
    """Return the function of a planted source text."""
    return next(public_functions(ast.parse(text)))


def test_a_kept_contract_passes() -> None:
    assert lacks(planted(KEPT), ROOT) == []
    assert set(sections(ast.get_docstring(planted(KEPT)) or "")) == {
        "", "Parameters", "Returns", "Raises", "Source", "Checked against", "Example",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "complaint"),
    [
        (" [m]", "", "argument stretch has no [unit]"),
        ("stretch, length :", "length :", "argument stretch is not described"),
        ("strain [1]", "strain", "what is returned has no [unit]"),
        ("InputError, if", "if", "InputError is raised and not named"),
        ("Source: hooke1678, page 1.", "", "no Source"),
        ("hooke1678, page", "a book, page", "Source names no key"),
        ("test_docstrings.py", "nowhere.csv", "Checked against names no file"),
        (">>> ", "", "the example does not run"),
        ("Return the stretch", "The stretch", "the first line does not say what is returned"),
    ],
)
def test_a_broken_contract_is_found(old: str, new: str, complaint: str) -> None:
    found = lacks(planted(KEPT.replace(old, new)), ROOT)
    assert any(line.startswith(complaint) for line in found), found


def test_a_name_without_a_sentence_is_found() -> None:
    source = '"""A module."""\ndef f():\n    """does things"""\nclass Mark:\n    pass\n'
    assert without_a_sentence(ast.parse(source)) == ["f", "Mark"]
