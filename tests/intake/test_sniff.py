"""A file is what its first bytes say, whatever its name; all but four kinds are attachments."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from softmend.intake.sniff import Kind, named_otherwise, refusal, sniff, sniff_file


def saved(kind: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (4, 4)).save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize("kind", [Kind.JPEG, Kind.PNG, Kind.TIFF, Kind.WEBP])
def test_the_four_kinds_are_known_by_their_bytes(kind: Kind) -> None:
    sniffed = sniff(saved(kind.upper()))
    assert sniffed.kind is kind
    assert sniffed.is_picture
    assert sniffed.note() == ""


@pytest.mark.parametrize(
    "head", [b"II\x2b\x00\x08\x00", b"MM\x00\x2b\x00\x08", b"MM\x00\x2a\x00\x00"]
)
def test_both_byte_orders_and_big_tiff_are_tiff(head: bytes) -> None:
    assert sniff(head + bytes(20)).kind is Kind.TIFF


@pytest.mark.parametrize(
    ("head", "told"),
    [
        (b"", "an empty file"),
        (b"%PDF-1.4\n", "a PDF"),
        (b"junk before %PDF-1.4\n", "a PDF"),
        (b"GIF89a" + bytes(20), "a GIF picture"),
        (b"PK\x03\x04" + bytes(20), "a ZIP archive or an office document"),
        (b"<?xml version='1.0'?>\n<!-- x -->\n<svg width='3'>", "an SVG drawing"),
        (b"<SVG xmlns='x'>", "an SVG drawing"),
        (b"\xef\xbb\xbf\n<!doctype HTML><p>", "a web page"),
        (b"<html>", "a web page"),
        (b"<?xml version='1.0'?><list/>", "an XML text"),
        (b"\x00\x00\x00\x18ftypavif", "an AVIF picture"),
        (b"\x00\x00\x00\x18ftypmp42", "a film or sound file"),
        (b"RIFF\x00\x00\x00\x00WAVEfmt ", "a film or sound file"),
        (b"\x7fELF" + bytes(20), "a programme"),
        (b"\x00\x01\x02\x03\x04", "of a kind not known here"),
        ("Käsebrot und Öl\n".encode(), "a text"),
        ("Käse".encode("latin-1") + b"\xff\xfe\xfd\xfc\xe4", "of a kind not known here"),
    ],
)
def test_everything_else_is_an_attachment_told_for_what_it_is(head: bytes, told: str) -> None:
    sniffed = sniff(head)
    assert sniffed.kind is Kind.ATTACHMENT
    assert sniffed.told == told
    assert sniffed.note() == f"{told}; never opened by Softmend"


@pytest.mark.parametrize(
    ("head", "kind"),
    [
        (b"\x00\x00\x00\x18ftypheic", Kind.HEIC),
        (b"\x00\x00\x00\x18ftypmif1", Kind.HEIC),
        (b"\x00\x00\x00\x18ftypcrx ", Kind.RAW),
        (b"II*\x00\x10\x00\x00\x00CR\x02\x00", Kind.RAW),
        (b"FUJIFILMCCD-RAW", Kind.RAW),
    ],
)
def test_phones_and_raw_files_are_pictures(head: bytes, kind: Kind) -> None:
    assert sniff(head + bytes(20)).kind is kind


def test_only_the_first_bytes_of_a_file_are_looked_at(tmp_path: Path) -> None:
    (tmp_path / "a.bin").write_bytes(b"x" * 5000 + b"\x00" * 5000)
    assert sniff_file(tmp_path / "a.bin").told == "a text"


def test_a_name_that_promises_another_kind_is_noticed() -> None:
    assert named_otherwise(Path("a.PNG"), Kind.JPEG)
    assert not named_otherwise(Path("a.JPEG"), Kind.JPEG)
    assert not named_otherwise(Path("a.dat"), Kind.JPEG)


def test_a_disguise_is_named_in_the_sentence() -> None:
    svg = sniff(b"<svg>")
    assert str(refusal(Path("a.png"), svg)) == (
        "the file is an SVG drawing, although its name ends in .png; allowed: JPEG, PNG, TIFF, "
        "WebP, HEIC or camera raw pictures; export the picture as JPEG, PNG or TIFF, or attach "
        "the file as a paper."
    )
    assert "although" not in str(refusal(Path("a.svg"), svg))
