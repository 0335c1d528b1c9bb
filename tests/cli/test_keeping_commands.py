"""The commands verify, backup and restore: what they print and how they end."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text

from softmend.cli.keeping import backup, restore, verify
from softmend.errors import InputError, NotFoundError, StorageError
from softmend.house import opened_house
from softmend.storage.store import open_store
from tests.storage.making import a_mark, an_entry, an_opening, append

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def house_folder(tmp_path: Path) -> Path:
    with opened_house(tmp_path / "house") as house:
        append(house.store, an_opening("d1"), an_entry("d1", "m1", a_mark(1)))
    return tmp_path / "house"


def tamper(house_folder: Path) -> None:
    url = f"sqlite:///{(house_folder / 'softmend.sqlite').as_posix()}"
    store = open_store(url, house_folder)
    with store._engine.begin() as connection:
        connection.execute(text("UPDATE entry SET purpose = 'sale' WHERE number = 2"))
    store.close()


def test_verify_ends_with_0_when_sound_and_1_when_damaged(
    house_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert verify(str(house_folder)) == 0
    assert capsys.readouterr().out == "1 dossier, 2 entries, 0 files: sound.\n"
    tamper(house_folder)
    assert verify(str(house_folder)) == 1
    assert capsys.readouterr().out == (
        "DAMAGE  dossier INV 2026.14/3: entry 2 (mark): was changed after it was recorded\n"
        "1 dossier, 2 entries, 0 files: DAMAGED.\n"
    )


def test_verify_takes_printed_heads(house_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with opened_house(house_folder) as house, house.store.reading() as reader:
        head = reader.head("d1")
    assert verify(str(house_folder), head=(f"2:{head.hash[:12]}",)) == 0
    assert verify(str(house_folder), head=(f"3:{head.hash[:12]}",)) == 1
    assert "its end was cut off or written anew" in capsys.readouterr().out
    with pytest.raises(InputError, match="NUMBER:HASH"):
        verify(str(house_folder), head=("two",))


def test_verify_makes_nothing_where_nothing_is(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="There are no dossiers here"):
        verify(str(tmp_path / "nowhere"))
    assert not (tmp_path / "nowhere").exists()


def test_a_backup_goes_round(
    house_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert backup(tmp_path / "monday", place=str(house_folder)) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[:2] == ["1 dossier and 0 files are in", str(tmp_path / "monday")]
    assert said[2].startswith("The manifest's SHA-256 is ")
    assert restore(tmp_path / "monday", str(tmp_path / "again")) == 0
    assert capsys.readouterr().out == "1 dossier, 2 entries, 0 files: sound.\n"
    tamper(house_folder)
    backup(tmp_path / "tuesday", place=str(house_folder))
    with pytest.raises(StorageError, match=r"entry 2 \(mark\) was changed after it was recorded"):
        restore(tmp_path / "tuesday", str(tmp_path / "third"))


def test_the_command_line_reaches_them(house_folder: Path) -> None:
    head = ["--head", f"1:{'0' * 64}"]
    done = subprocess.run(
        [sys.executable, "-m", "softmend.cli", "verify", str(house_folder), *head],
        capture_output=True, text=True, env={"PYTHONPATH": "src"}, check=False,
    )  # fmt: skip
    assert done.stderr == ""
    assert done.returncode == 1
    assert done.stdout.endswith("1 dossier, 2 entries, 0 files: DAMAGED.\n")
