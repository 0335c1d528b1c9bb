"""Reads a docstring of science or tables into its sections and says what it lacks."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import ast
import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

SECTIONS = ("Parameters", "Returns", "Raises", "Source", "Checked against", "Example")
HEADER = re.compile(rf"^({'|'.join(SECTIONS)})(?::\s*(.*))?$")
# An annotation with one of these carries a quantity, and a quantity has a unit.
QUANTITY = re.compile(r"\b(float|int|Array|ArrayLike|NDArray|Uncertain|Band)\b")
UNIT = re.compile(r"\[[^\]]+\]")
# A key has a year, a number or a hyphen in it; prose after a semicolon has not.
KEY = re.compile(r"[a-z]+(?:-[a-z0-9]+)+|[a-z]{2,}[0-9]{3,}[a-z]?")
NO_KEY = ("own", "derived", "common practice")

Function = ast.FunctionDef | ast.AsyncFunctionDef


def sections(docstring: str) -> dict[str, str]:
    """Return the text under each heading; what stands before the first is under ''."""
    found: dict[str, list[str]] = {"": []}
    current = ""
    for line in docstring.splitlines():
        header = HEADER.match(line)
        if header:
            current = header[1]
            found[current] = [header[2] or ""]
        elif not re.fullmatch(r"-+", line):
            found[current].append(line)
    return {name: "\n".join(lines).strip() for name, lines in found.items()}


def source_keys(text: str) -> list[str]:
    """Return the keys of 'key, where; key, where'; what is derived or common practice has none."""
    if text.startswith(NO_KEY):
        return []
    parts = re.sub(r"\([^)]*\)", "", text).split(";")
    words = [re.split(r"[,\s]", part.strip())[0].rstrip(".") for part in parts]
    return [word for word in words if KEY.fullmatch(word)]


def public_functions(tree: ast.Module) -> Iterator[Function]:
    """Yield the functions of a module that others may call."""
    for node in tree.body:
        if isinstance(node, Function) and not node.name.startswith("_"):
            yield node


def _arguments(function: Function) -> list[ast.arg]:
    given = function.args
    return [*given.posonlyargs, *given.args, *given.kwonlyargs]


def _raised(function: Function) -> set[str]:
    raises = (node for node in ast.walk(function) if isinstance(node, ast.Raise) and node.exc)
    named = (ast.unparse(node.exc).split("(")[0] for node in raises if node.exc)
    return {name.split(".")[-1] for name in named}


def lacks(function: Function, root: Path) -> list[str]:
    """Return one sentence for every part of the contract that a function does not keep."""
    found = sections(ast.get_docstring(function) or "")
    missing = [
        f"no {name}" for name in ("Source", "Checked against", "Example") if not found.get(name)
    ]
    if not found[""].startswith("Return"):
        missing.append("the first line does not say what is returned")
    missing += _lacks_units(function, found)
    missing += [
        f"{name} is raised and not named"
        for name in _raised(function)
        if name not in found.get("Raises", "")
    ]
    source = found.get("Source", "")
    if source and not source_keys(source) and not source.startswith(NO_KEY):
        missing.append(f"Source names no key, nor {', '.join(NO_KEY)}")
    if ">>>" not in found.get("Example", ""):
        missing.append("the example does not run")
    checked = found.get("Checked against", "")
    paths = re.findall(r"tests/[\w./-]+\w", checked)
    if checked and not paths:
        missing.append("Checked against names no file")
    missing += [f"Checked against names no file: {p}" for p in paths if not (root / p).is_file()]
    return missing


def _lacks_units(function: Function, found: dict[str, str]) -> Iterator[str]:
    parameters = found.get("Parameters", "")
    for argument in _arguments(function):
        # Several arguments of one kind may share a line: "low, high : float, ... [m]".
        entry = re.search(
            rf"^(?:\w+, )*{argument.arg}(?:, \w+)* : (.*(?:\n\s+.*)*)", parameters, re.M
        )
        kind = ast.unparse(argument.annotation) if argument.annotation else ""
        if entry is None:
            yield f"argument {argument.arg} is not described"
        elif QUANTITY.search(kind) and not UNIT.search(entry[1]):
            yield f"argument {argument.arg} has no [unit]"
    returned = ast.unparse(function.returns) if function.returns else ""
    if not found.get("Returns"):
        yield "no Returns"
    elif QUANTITY.search(returned) and not UNIT.search(found["Returns"]):
        yield "what is returned has no [unit]"
