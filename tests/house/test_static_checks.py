"""The checks of `./run lint`, each as a test: ruff, its formatter, mypy, the JavaScript types."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import subprocess

import pytest

from tests.house.sources import ROOT, run_script


@pytest.mark.parametrize("name", run_script().checks())
def test_the_check_passes(name: str) -> None:
    command = run_script().checks()[name]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
