"""The demo is laid out where nothing lies yet, an empty folder included, and only once."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

from softmend.cli import serving
from softmend.house import opened_house

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


def test_an_empty_folder_is_laid_out_and_a_full_one_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    laid: list[Path] = []

    def lay_out(place: Path) -> None:
        assert not place.exists(), "a folder that is being filled takes its name when it is whole"
        with opened_house(place):
            laid.append(place)

    monkeypatch.setattr(serving, "_lay_out", lay_out)
    monkeypatch.setattr(serving, "_serve", lambda *_, **__: None)
    place = tmp_path / "demo"
    place.mkdir()
    serving.demo(place, no_browser=True)
    serving.demo(place, no_browser=True)
    assert laid == [place]
