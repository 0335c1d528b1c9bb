"""Kill -9 at random moments: nothing promised is lost, and verify is clean afterwards.

The long run by hand is tests/kills/long_run.py.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.kills.killing import ORDER, kill_and_check, place, prepare

if TYPE_CHECKING:
    from pathlib import Path

KILLS = 6
POSTGRES_KILLS = 4


@pytest.mark.parametrize("what", ORDER)
def test_a_killed_program_loses_nothing_it_had_promised(what: str, tmp_path: Path) -> None:
    folder = tmp_path / "house"
    folder.mkdir()
    prepare(what, folder, place(folder))
    promised = [kill_and_check(what, folder, place(folder), seed) for seed in range(KILLS)]
    # At least one kill fell after something had been promised; else nothing was shown.
    assert sum(promised) > 0


@pytest.mark.parametrize("what", ["save", "import"])
def test_a_killed_program_loses_nothing_on_postgresql(
    what: str, tmp_path: Path, postgres_database_url: str
) -> None:
    folder = tmp_path / "house"
    prepare(what, folder, postgres_database_url)
    seeds = range(100, 100 + POSTGRES_KILLS)
    assert sum(kill_and_check(what, folder, postgres_database_url, seed) for seed in seeds) > 0
