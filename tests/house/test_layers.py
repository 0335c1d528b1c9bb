"""Who may import whom: the table of the house, held against every import in the package."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import ast
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from tests.house.sources import PACKAGE, module_of, name_of, python_files, tree_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

PURE = ("errors", "science", "tables", "catalogue", "records", "pictures")
OURS: dict[str, set[str]] = {
    "errors": set(),
    "science": {"errors"},
    "tables": {"errors"},
    "catalogue": {"science", "tables", "errors"},
    "records": {"science", "errors"},
    "pictures": {"records", "science", "tables", "errors"},
    "intake": {"errors"},
    "exchange": {"records", "catalogue", "pictures", "tables", "errors"},
    "report": {"records", "catalogue", "pictures", "tables", "errors"},
    "storage": {"records", "errors"},
    "services": {*PURE, "intake", "exchange", "report"},
    "house": {*PURE, "intake", "exchange", "report", "storage", "services"},
    "web": {"house", "services", "records", "catalogue", "pictures", "errors"},
    "cli": {"house", "services", "records", "catalogue", "pictures", "errors", "web"},
}
# The command line starts the web server, so cli -> web is the one arrow between the two doors.
THIRD_PARTY: dict[str, set[str]] = {
    "errors": set(),
    "science": {"numpy", "scipy"},
    "science.photo": {"numpy", "scipy", "cv2", "skimage", "shapely", "onnxruntime"},
    "science.solid": {
        "numpy", "scipy", "trimesh", "manifold3d", "potpourri3d", "igl", "embreex",
        "fast_simplification",
    },
    "tables": set(),
    "catalogue": {"pydantic"},
    "records": set(),
    "pictures": {"altair", "numpy"},
    "intake": {"PIL", "numpy", "tifffile", "pi_heif", "rawpy", "trimesh", "DracoPy"},
    "exchange": {"typst", "docx", "vl_convert"},
    "report": {"typst", "docx", "segno", "vl_convert"},
    "storage": {"sqlalchemy", "alembic"},
    "services": set(),
    "house": {"platformdirs"},
    "web": {"fastapi", "starlette", "jinja2", "markupsafe", "pydantic"},
    "cli": {"cyclopts", "rich", "platformdirs", "uvicorn"},
}  # fmt: skip
# Science gets arrays and numbers: no files, clock, chance without a seed, database or log.
NOT_IN_SCIENCE = {
    "datetime", "io", "logging", "os", "pathlib", "random", "secrets", "shutil", "socket",
    "sqlite3", "subprocess", "tempfile", "time", "urllib", "uuid", "warnings",
}  # fmt: skip
CLOCK_AND_CHANCE = {
    "datetime.now", "datetime.utcnow", "datetime.today", "date.today", "time.time", "time.time_ns",
    "uuid.uuid1", "uuid.uuid4", "uuid.uuid7", "uuid4", "uuid7",
}  # fmt: skip
# Loaded by the function that needs them, so that `softmend --help` stays quick.
HEAVY = {
    "alembic", "altair", "cv2", "docx", "fastapi", "jinja2", "PIL", "scipy", "segno", "shapely",
    "skimage", "sqlalchemy", "trimesh", "typst", "uvicorn", "vl_convert",
}  # fmt: skip

MODULES = python_files("src/softmend")


def imports_of(tree: ast.Module, module: str, *, package: bool) -> Iterator[tuple[int, str]]:
    """Yield every import of a tree, indented or relative, as line and full dotted name."""
    home = module.split(".") if package else module.split(".")[:-1]
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = home[: len(home) - node.level + 1] if node.level else []
            source = ".".join([*above, *([node.module] if node.module else [])])
            # The names may be modules themselves: `from softmend import storage`.
            yield from ((node.lineno, f"{source}.{alias.name}") for alias in node.names)
        elif isinstance(node, ast.Call) and ast.unparse(node.func) in {
            "__import__", "import_module", "importlib.import_module",
        }:  # fmt: skip
            name = node.args[0] if node.args else None
            yield node.lineno, str(name.value) if isinstance(name, ast.Constant) else "?"


def layer_of(module: str) -> str:
    """Return the layer of one of our modules; the root package itself has none."""
    _, _, below = module.partition(".")
    return below.split(".")[0]


def wrong_imports(source: ast.Module, module: str, *, package: bool = False) -> list[str]:
    """Return one sentence for every import that the table does not allow."""
    layer = layer_of(module)
    room = ".".join(module.split(".")[1:3])
    outside = THIRD_PARTY.get(room, THIRD_PARTY.get(layer, set()))
    found = []
    for line, name in imports_of(source, module, package=package):
        top, other = name.split(".")[0], layer_of(name)
        if top == "softmend":
            if other in OURS and other != layer and other not in OURS.get(layer, set()):
                found.append(f"line {line}: {layer or 'softmend'} may not import {other}")
        elif top in sys.stdlib_module_names:
            if layer == "science" and top in NOT_IN_SCIENCE:
                found.append(f"line {line}: science is pure and may not import {top}")
        elif top not in outside:
            found.append(f"line {line}: {room or 'softmend'} may not import {top}")
    return found


def clock_and_chance(tree: ast.Module) -> list[str]:
    """Return every call that reads the clock or draws an id."""
    calls = (node for node in ast.walk(tree) if isinstance(node, ast.Call))
    named = ((node.lineno, ast.unparse(node.func)) for node in calls)
    return [
        f"line {line}: {name}()"
        for line, name in named
        if name in CLOCK_AND_CHANCE or ".".join(name.split(".")[-2:]) in CLOCK_AND_CHANCE
    ]


def test_there_are_modules_to_look_at() -> None:
    assert len(MODULES) > 10


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_every_arrow_is_in_the_table(path: Path) -> None:
    package = path.name == "__init__.py"
    assert wrong_imports(tree_of(path), module_of(path), package=package) == []


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_every_module_belongs_to_a_layer(path: Path) -> None:
    layer = layer_of(module_of(path))
    assert layer in {"", "__main__", *OURS}


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_clock_and_chance_enter_through_services_only(path: Path) -> None:
    if layer_of(module_of(path)) not in {"services", "house"}:
        assert clock_and_chance(tree_of(path)) == []


def test_the_command_line_starts_without_heavy_imports() -> None:
    assert (PACKAGE / "cli" / "main.py").exists()
    script = "import sys, softmend.cli.main; print(*sys.modules, sep='\\n')"
    loaded = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    ).stdout.split()
    assert HEAVY & {name.split(".")[0] for name in loaded} == set()


@pytest.mark.parametrize(
    ("module", "source", "complaint"),
    [
        ("softmend.science.joint", "import softmend.tables", "science may not import tables"),
        ("softmend.records.mark", "from softmend import storage", "records may not import storage"),
        ("softmend.web.pages", "def f():\n    from ..storage import db", "web may not import"),
        ("softmend.science.photo.trace", "from ... import web", "science may not import web"),
        ("softmend.services.jobs", "if True:\n    import numpy", "jobs may not import numpy"),
        ("softmend.science.joint", "import cv2", "science.joint may not import cv2"),
        ("softmend.science.film", "from time import time", "may not import time"),
        ("softmend.report.pdf", "__import__('sqlite_utils')", "may not import sqlite_utils"),
        ("softmend.intake.sniff", "import importlib\nimportlib.import_module('softmend.house')",
         "intake may not import house"),
    ],
)  # fmt: skip
def test_a_planted_import_is_found(module: str, source: str, complaint: str) -> None:
    found = wrong_imports(ast.parse(source), module)
    assert len(found) == 1
    assert complaint in found[0]


@pytest.mark.parametrize(
    ("module", "source"),
    [
        (
            "softmend.science.photo.trace",
            "import cv2, numpy as np\nfrom ...errors import InputError",
        ),
        (
            "softmend.services.examine.marks",
            "from softmend.records import mark\nfrom . import store",
        ),
        ("softmend.web.pages", "from __future__ import annotations\nimport fastapi"),
    ],
)
def test_an_allowed_import_is_let_through(module: str, source: str) -> None:
    assert wrong_imports(ast.parse(source), module) == []


def test_a_planted_look_at_the_clock_is_found() -> None:
    planted = "import datetime\nnow = datetime.datetime.now(datetime.UTC)\nday = date.today()"
    assert len(clock_and_chance(ast.parse(planted))) == 2
