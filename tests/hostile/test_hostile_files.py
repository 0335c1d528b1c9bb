"""Every hostile file gets one clear sentence, in 5 s and 1 GB, and leaves nothing behind."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.hostile.files import REFUSED, write_refused

ROOT = Path(__file__).parents[2]
MOST_S = 5.0
MOST_BYTES = 1_000_000_000
TO_DO = ("copy it again", "export", "save it anew", "attach", "bring in")


@pytest.fixture(scope="module")
def ends(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """Import all of them once, in a process whose only children are the decoders."""
    paths = write_refused(tmp_path_factory.mktemp("hostile"))
    command = [sys.executable, "-m", "tests.hostile.measured", *map(str, paths)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    return {end["name"]: end for end in map(json.loads, done.stdout.splitlines())}


@pytest.mark.parametrize("name", REFUSED)
def test_a_hostile_file_gets_one_sentence_that_says_what_to_do(
    ends: dict[str, dict[str, Any]], name: str
) -> None:
    end = ends[name]
    assert end["error"] in {"InputError", "LimitError"}
    sentence = end["sentence"]
    assert REFUSED[name][1] in sentence
    assert sentence.endswith(".")
    assert ". " not in sentence
    assert "\n" not in sentence
    assert any(words in sentence for words in TO_DO)


@pytest.mark.parametrize("name", REFUSED)
def test_a_refusal_costs_under_5_s_and_1_gb_and_leaves_nothing(
    ends: dict[str, dict[str, Any]], name: str
) -> None:
    end = ends[name]
    assert end["left"] == []
    # Processor time: the clock on the wall also counts what neighbours do on this machine.
    assert end["cpu_s"] < MOST_S
    # The largest child up to this file, so the first to break the limit is the one named.
    assert end["largest_child_bytes"] < MOST_BYTES
