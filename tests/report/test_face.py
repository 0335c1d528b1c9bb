"""The print face: what it has, read by us and by fonttools, and that our own words need no more."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from softmend.errors import StorageError
from softmend.pictures.drawing import STATE_SIGNS
from softmend.report.glyphs import MISSING, font_characters, printable

SOURCE = Path(__file__).parents[2] / "src" / "softmend"
OURS = [
    *sorted((SOURCE / "report").rglob("*.typ")),
    *sorted((SOURCE / "report").glob("*.py")),
    *sorted((SOURCE / "pictures").glob("*.py")),
    *sorted((SOURCE / "records").glob("*.py")),
    SOURCE / "tables" / "legend.csv",
    SOURCE / "tables" / "condition_grades.csv",
    SOURCE / "tables" / "vocabulary.csv",
    SOURCE / "tables" / "parts.csv",
    SOURCE / "tables" / "sides.csv",
]


@pytest.fixture(scope="module")
def face(fonts: Path) -> Path:
    return next(fonts.glob("*.ttf"))


def test_our_reading_of_the_face_agrees_with_fonttools(face: Path) -> None:
    with TTFont(face) as read:
        assert font_characters(face) == set(read.getBestCmap())


def test_a_character_map_of_either_format_is_read(face: Path, tmp_path: Path) -> None:
    for kind in (4, 12):
        with TTFont(face) as read:
            read["cmap"].tables = [one for one in read["cmap"].tables if one.format == kind]
            read.save(tmp_path / f"{kind}.ttf")
            expected = set(read.getBestCmap())
        assert font_characters(tmp_path / f"{kind}.ttf") == expected


@pytest.mark.parametrize("file", OURS, ids=lambda file: file.name)
def test_every_character_that_we_write_is_in_the_face(file: Path, face: Path) -> None:
    written = {ord(character) for character in file.read_text("utf-8")} - {0x0A}
    assert written - font_characters(face) == set()


def test_every_sign_and_the_mark_for_a_missing_one_are_in_the_face(face: Path) -> None:
    signs = "".join(STATE_SIGNS.values()) + MISSING + "±²³·–≤≥×°µ√Δ"
    assert {ord(sign) for sign in signs} <= font_characters(face)


def test_a_file_that_is_no_face_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "face.ttf").write_bytes(b"not a face")
    with pytest.raises(StorageError, match=r"The print face cannot be read; got face\.ttf"):
        font_characters(tmp_path / "face.ttf")


def test_what_is_printable_stays_as_it_is_and_a_quantity_in_one_piece(face: Path) -> None:
    lacking: set[str] = set()
    said = {"a": ["Größe 1,5 mm", 3, None], "b": "two\nlines"}
    held = {"a": ["Größe 1,5\u00a0mm", 3, None], "b": "two\nlines"}
    assert printable(said, font_characters(face), lacking) == held
    assert lacking == set()


def test_a_hash_is_never_broken_and_a_long_word_can_be(face: Path) -> None:
    characters = font_characters(face)
    assert printable("0f" * 32, characters, set()) == "0f" * 32
    assert printable("x" * 25, characters, set()).split("\u200b") == ["x" * 10, "x" * 10, "x" * 5]


def test_the_legend_table_is_the_one_that_is_printed() -> None:
    from softmend.pictures.legend import legend

    with (SOURCE / "tables" / "legend.csv").open(encoding="utf-8") as rows:
        codes = [row["code"] for row in csv.DictReader(rows)]
    assert list(legend()) == codes
