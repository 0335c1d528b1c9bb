"""The commands pack and unpack: what they print and how they end."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from softmend.cli.deposit import pack, unpack
from softmend.errors import ConflictError, InputError, NotFoundError
from softmend.house import opened_house
from tests.services.deposit_sample import author_at, worked_dossier

if TYPE_CHECKING:
    from pathlib import Path

NUMBER = "INV 12/α"


@pytest.fixture
def house_folder(tmp_path: Path) -> Path:
    with opened_house(tmp_path / "house") as house:
        worked_dossier(house.bench, author_at(house.bench), tmp_path / "letter.pdf")
    return tmp_path / "house"


def test_pack_says_what_to_note_down_and_what_is_withheld(
    house_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "package.zip"
    pack(NUMBER, out=out, place=str(house_folder))
    said = capsys.readouterr()
    sha256 = hashlib.sha256(out.read_bytes()).hexdigest()
    assert f"Its SHA-256 is {sha256}\n" in said.out
    assert "Its journal ends with 17:" in said.out
    assert said.out.endswith("are withheld. Read the report before you share it.\n")
    assert "photograph 2 of 2" in said.err
    with pytest.raises(ConflictError, match="This file is there already; Name a new file"):
        pack(NUMBER, out=out, place=str(house_folder))


def test_a_custodians_package_comes_back_once(
    house_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, other = tmp_path / "package.zip", str(tmp_path / "other")
    pack(NUMBER, out=out, custodian="An  archive", names=True, place=str(house_folder))
    assert "withheld" not in capsys.readouterr().out
    unpack(out, place=other)
    assert capsys.readouterr().out == "17 entries and 5 files are here.\n"
    unpack(out, place=other)
    assert capsys.readouterr().out.startswith("This dossier is here already, entry for entry.")


def test_only_check_looks_and_brings_nothing_in(
    house_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, other = tmp_path / "package.zip", tmp_path / "other"
    pack(NUMBER, out=out, place=str(house_folder))
    capsys.readouterr()
    unpack(out, place=str(other), only_check=True)
    said = capsys.readouterr().out
    assert "note    entry 1 (dossier): withheld\n" in said
    assert said.endswith("17 entries and 2 files: sound.\n")
    assert not other.exists()


def test_a_package_that_is_refused_leaves_no_folder(house_folder: Path, tmp_path: Path) -> None:
    out, other = tmp_path / "package.zip", tmp_path / "other"
    pack(NUMBER, out=out, place=str(house_folder))
    with pytest.raises(InputError, match="made for the public and cannot be brought in"):
        unpack(out, place=str(other))
    assert not other.exists()


def test_a_number_that_nothing_has_is_said_so(house_folder: Path, tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="There is no dossier of that number; got 99"):
        pack("99", out=tmp_path / "package.zip", place=str(house_folder))


def test_a_refusal_is_one_sentence_and_status_2(tmp_path: Path) -> None:
    (tmp_path / "no.zip").write_bytes(b"no")
    done = subprocess.run(
        [sys.executable, "-m", "softmend.cli", "unpack", str(tmp_path / "no.zip"), "--only-check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == (
        "This is not a package; got no.zip; allowed: a ZIP file that softmend packed.\n"
    )
