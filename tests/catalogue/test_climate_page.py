"""Every example of the page on climate is run as it stands there."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from softmend import catalogue
from softmend.intake.logger import open_logger

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "src" / "softmend" / "demo"
PAGE = (ROOT / "docs" / "climate.md").read_text(encoding="utf-8")
EXAMPLES = dict(re.findall(r"^`([a-z_]+\.[a-z_]+)`:[^{]*?\n\n((?:    .+\n)+)", PAGE, re.MULTILINE))
NAMES = {
    "climate.air", "climate.read", "climate.band", "climate.response", "showcase.simulate",
    "showcase.buffer", "showcase.air_exchange", "coating.worth", "light.budget",
}  # fmt: skip


def test_the_page_has_an_example_of_each() -> None:
    assert EXAMPLES.keys() == NAMES


@pytest.mark.parametrize("name", sorted(NAMES))
def test_an_example_of_the_page_answers(name: str) -> None:
    payload = json.loads(EXAMPLES[name])
    files = {key: open_logger(DEMO / payload[key]) for key in payload if key.endswith("_file")}
    found = catalogue.run(name, payload, files=files)
    assert found["answer"] == "answer"
    assert found["working"]
