"""Every change that a user notices is told in a fragment, in words a user would say."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.house.sources import ROOT, name_of

if TYPE_CHECKING:
    from pathlib import Path

FRAGMENTS = sorted(
    path for path in (ROOT / "changes").iterdir() if path.name != "README.md" and path.is_file()
)
SENTENCES = 3


def faults(name: str, text: str) -> list[str]:
    """Return what is wrong with a fragment."""
    words = text.strip()
    found = []
    if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*\.md", name):
        found.append("the name is not short-words-with-hyphens.md")
    if not words.endswith("."):
        found.append("it does not end as a sentence")
    if not 1 <= len(re.findall(r"[.?!](?:\s|$)", words)) <= SENTENCES:
        found.append("it is not one to three sentences")
    if words.startswith(("#", "-", "*")):
        found.append("it is a heading or a list, not a sentence")
    return found


def test_there_are_fragments() -> None:
    assert FRAGMENTS


@pytest.mark.parametrize("path", FRAGMENTS, ids=name_of)
def test_a_fragment_is_a_sentence_or_two(path: Path) -> None:
    assert faults(path.name, path.read_text(encoding="utf-8")) == []


def test_the_changelog_says_that_it_is_put_together_from_fragments() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    assert text.startswith("# Changelog\n")
    assert "changes/" in text
    assert "## [Unreleased]" in text


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("Fix.md", "A crack is drawn."),
        ("fix.md", "# Fixed"),
        ("fix.md", "A crack is drawn"),
        ("fix.md", "One. Two. Three. Four."),
    ],
)
def test_a_planted_fault_is_found(name: str, text: str) -> None:
    assert faults(name, text)
