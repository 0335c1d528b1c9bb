"""The examples of docs/scans.md: each is taken as it stands, and prints what the page says."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from softmend import catalogue
from softmend.catalogue.solid_scan import CheckedScan
from softmend.intake.scan import read_scan
from softmend.science.solid.check import checked_shape
from tests.house.sources import ROOT

PAGE = (ROOT / "docs" / "scans.md").read_text("utf-8").partition("## From the command line")[2]
EXAMPLE = re.compile(
    r"^`(solid\.\w+)`(?:[^\n]+\n)+\n((?: {4}[^\n]*\n)+)\n((?: {4}[^\n]*\n)+)", re.MULTILINE
)
EXAMPLES = {
    name: (json.loads(asked), told.split("\n")) for name, asked, told in EXAMPLE.findall(PAGE)
}
QUICK = ("solid.check", "solid.volume", "solid.void", "solid.filled_mass")


@pytest.fixture(scope="module")
def scan() -> CheckedScan:
    read = read_scan(ROOT / "src" / "softmend" / "demo" / "antler-scan.glb")
    return CheckedScan(checked_shape(read.points, read.faces), read.notes)


def printed(answer: dict[str, Any]) -> set[str]:
    """Return the lines of an answer as the command line prints them, commas left out."""
    text = json.dumps(answer, indent=2, ensure_ascii=False)
    return {line.strip().rstrip(",") for line in text.split("\n")}


def test_every_computation_on_a_scan_has_an_example_that_its_model_takes() -> None:
    # Marks are laid along a scan by picks on a photograph: the page tells it by hand.
    on_scans = {name for name in catalogue.names() if name.startswith("solid.")}
    assert on_scans - set(EXAMPLES) == {"solid.marks_along"}
    for name, (asked, told) in EXAMPLES.items():
        catalogue.entry(name).input_model.model_validate(asked)
        assert any(line.strip() for line in told)


@pytest.mark.parametrize("name", QUICK)
def test_an_example_prints_what_the_page_says(name: str, scan: CheckedScan) -> None:
    asked, told = EXAMPLES[name]
    files = {"scan_file": scan} if "scan_file" in asked else {}
    lines = printed(catalogue.run(name, asked, files=files))
    assert [line for line in told if line.strip() and line.strip() not in lines] == []
