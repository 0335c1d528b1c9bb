"""What the pages of prose promise exists: commands, files and links."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from tests.house.sources import ROOT, files_of_the_project, name_of, run_script

if TYPE_CHECKING:
    from pathlib import Path

PAGES = [
    path
    for path in files_of_the_project()
    if path.suffix == ".md" and (path.parent in {ROOT, ROOT / "docs", ROOT / "changes"})
]
OURS = re.compile(r"(?:\./run|python run)[ \t]+(?:softmend[ \t]+)?([a-z][a-z-]*)")
PROGRAM = re.compile(r"(?:^|[`$])\s*softmend[ \t]+([a-z][a-z-]*)", re.MULTILINE)
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[\w-]+)?\)")


def commands_named(text: str) -> set[str]:
    """Return the words that a page tells its reader to type after ./run or softmend."""
    return {*OURS.findall(text), *PROGRAM.findall(text)}


def commands_of_the_program() -> set[str]:
    """Return the words that `softmend --help` offers."""
    script = "from softmend.cli.main import main; main()"
    shown = subprocess.run(
        [sys.executable, "-c", script, "--help"], capture_output=True, text=True, check=True
    ).stdout
    return set(re.findall(r"^\s+([a-z][a-z-]*):?\s", shown, re.MULTILINE))


@pytest.fixture(scope="module")
def known_commands() -> set[str]:
    return set(run_script().COMMANDS) | commands_of_the_program()


def test_there_are_pages() -> None:
    assert {"README.md", "CONTRIBUTING.md", "docs/setup.md"} <= {name_of(path) for path in PAGES}


@pytest.mark.parametrize("path", PAGES, ids=name_of)
def test_every_command_named_exists(path: Path, known_commands: set[str]) -> None:
    assert commands_named(path.read_text(encoding="utf-8")) - known_commands == set()


@pytest.mark.parametrize("path", PAGES, ids=name_of)
def test_every_link_leads_somewhere(path: Path) -> None:
    targets = LINK.findall(path.read_text(encoding="utf-8"))
    inside = [target for target in targets if not target.startswith(("http:", "https:", "mailto:"))]
    assert [target for target in inside if not (path.parent / target).exists()] == []


def test_planted_commands_are_read() -> None:
    planted = (
        "Type `./run demo`, or\n\n    softmend verify FILE\n    python run wheel\n`./run --help`"
    )
    assert commands_named(planted) == {"demo", "verify", "wheel"}
