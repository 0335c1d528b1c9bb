"""What the tests of the house read: tracked files, modules and their syntax trees."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import ast
import functools
import os
import sys
from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from types import ModuleType

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "softmend"
MADE_BY_MACHINES = {
    ".git", ".venv", ".tools", "node_modules", "__pycache__", ".pytest_cache", ".mypy_cache",
    ".ruff_cache", ".hypothesis", "dist", "build", "tmp", "shared",
}  # fmt: skip


@functools.cache
def files_of_the_project() -> tuple[Path, ...]:
    """Return every file a person wrote here; git is not asked, since it may not be installed."""
    found: list[Path] = []
    for folder, below, names in os.walk(ROOT):
        below[:] = sorted(set(below) - MADE_BY_MACHINES)
        found += [Path(folder, name) for name in sorted(names) if not name.endswith(".pyc")]
    return tuple(found)


def python_files(*folders: str) -> list[Path]:
    """Return the project's Python files under the named folders of the root."""
    tops = [ROOT / folder for folder in folders]
    return [
        path
        for path in files_of_the_project()
        if path.suffix == ".py" and any(path.is_relative_to(top) for top in tops)
    ]


def name_of(path: Path) -> str:
    """Return a path as a person names it, from the root."""
    return path.relative_to(ROOT).as_posix()


def module_of(path: Path) -> str:
    """Return the dotted name of a module of the package."""
    parts = list(path.relative_to(PACKAGE.parent).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@functools.cache
def tree_of(path: Path) -> ast.Module:
    """Return the syntax tree of a file."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


@functools.cache
def run_script() -> ModuleType:
    """Return `run` as a module, without running it."""
    loader = SourceFileLoader("softmend_run", str(ROOT / "run"))
    spec = spec_from_loader(loader.name, loader)
    assert spec is not None
    module = module_from_spec(spec)
    keep, sys.dont_write_bytecode = sys.dont_write_bytecode, True
    loader.exec_module(module)
    sys.dont_write_bytecode = keep
    return module
