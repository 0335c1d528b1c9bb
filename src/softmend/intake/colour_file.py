"""A colour file from a stranger: told by its content, read within limits, never run or followed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path

from softmend.errors import InputError, LimitError
from softmend.intake.colour_cgats import is_cgats, read_cgats
from softmend.intake.colour_cxf import read_colour_xml
from softmend.intake.colour_sample import ColourFile
from softmend.intake.colour_table import read_table

MOST_BYTES = 20_000_000


def read_colour_file(path: Path) -> ColourFile:
    """Return the readings of a colour file: CSV or any text table, CGATS.17, CxF3, or TM-27."""
    try:
        if path.stat().st_size > MOST_BYTES:
            raise LimitError("The colour file is too large", value=path.name, allowed="20 MB")
        data = path.read_bytes()
    except OSError as fault:
        raise InputError(
            "The colour file cannot be read", value=path.name, remedy="Check its name"
        ) from fault
    return read_colour_bytes(data)


def read_colour_bytes(data: bytes) -> ColourFile:
    """Return the readings in the bytes of a colour file."""
    if len(data) > MOST_BYTES:
        raise LimitError("The colour file is too large", allowed="20 MB")
    if not data.strip():
        raise InputError("The colour file is empty", remedy="Export the readings again")
    head = data.lstrip(b"\xef\xbb\xbf \t\r\n")[:5].lower()
    if head.startswith(b"<") or (data[:2] in {b"\xff\xfe", b"\xfe\xff"} and b"<" in data[:8]):
        return read_colour_xml(data)
    text = _text(data)
    return read_cgats(text) if is_cgats(text) else read_table(text)


def _text(data: bytes) -> str:
    if data[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        return data.decode("utf-16", errors="replace")
    if b"\x00" in data[:4096]:
        raise InputError(
            "The file is no text and no XML",
            allowed="CSV, CGATS.17, CxF3 or TM-27",
            remedy="Export the readings from the measuring program in one of these forms",
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")
