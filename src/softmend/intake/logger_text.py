"""The text of a logger's file, whatever its encoding; a workbook's first sheet becomes rows."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from dataclasses import dataclass

from softmend.errors import InputError, LimitError

MOST_BYTES = 200_000_000
_BOMS = (
    (b"\xef\xbb\xbf", "utf-8-sig", "UTF-8 with a mark"),
    (b"\xff\xfe\x00\x00", "utf-32", "UTF-32"),
    (b"\xff\xfe", "utf-16", "UTF-16"),
    (b"\xfe\xff", "utf-16", "UTF-16"),
)
_AS_TEXT = "Open it in its own program, save it as CSV, and bring that in"


@dataclass(frozen=True, slots=True)
class FileText:
    """The lines of a file and the encoding that was found."""

    lines: tuple[str, ...]
    encoding: str


def text_of(data: bytes) -> FileText:
    """Return the lines of a logger's file; InputError for what is no text."""
    if len(data) > MOST_BYTES:
        raise LimitError(
            "The logger's file is larger than Softmend reads",
            value=f"{len(data) / 1e6:.0f} MB",
            allowed=f"up to {MOST_BYTES / 1e6:.0f} MB",
            remedy="Export it in parts",
        )
    if not data.strip():
        raise InputError("The logger's file is empty", remedy="Export it again from the logger")
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise InputError(
            "The file is an old office workbook", allowed="text, or .xlsx", remedy=_AS_TEXT
        )
    text, encoding = _decoded(data)
    if "\x00" in text:
        raise InputError(
            "The file is not text", allowed="a table as text (CSV), or .xlsx", remedy=_AS_TEXT
        )
    # Only the ends of lines that files have: a text may hold other signs that Python splits at.
    return FileText(tuple(text.replace("\r\n", "\n").replace("\r", "\n").split("\n")), encoding)


def _decoded(data: bytes) -> tuple[str, str]:
    for mark, codec, name in _BOMS:
        if data.startswith(mark):
            return data.decode(codec, errors="replace"), name
    head = data[:4000]
    if len(head) >= 4 and head[1::2].count(0) > 0.4 * len(head[1::2]):
        return data.decode("utf-16-le", errors="replace"), "UTF-16 without a mark"
    if len(head) >= 4 and head[0::2].count(0) > 0.4 * len(head[0::2]):
        return data.decode("utf-16-be", errors="replace"), "UTF-16 without a mark"
    try:
        return data.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        # Bytes that cp1252 leaves undefined still stand for something in Latin-1.
        if _is_cyrillic(data):
            return data.decode("cp1251", errors="replace"), "Windows-1251"
        try:
            return data.decode("cp1252"), "Windows-1252"
        except UnicodeDecodeError:
            return data.decode("latin-1"), "Latin-1"


def _is_cyrillic(data: bytes) -> bool:
    """Return whether words are made of high bytes alone, as Cyrillic ones are and Latin never."""
    words = re.findall(rb"[A-Za-z\x80-\xff]{4,}", data[:20_000])
    high = [word for word in words if all(sign >= 0xC0 or sign in b"\xa8\xb8" for sign in word)]
    return len(high) >= 2 and 2 * len(high) >= len([w for w in words if max(w) >= 0x80])
