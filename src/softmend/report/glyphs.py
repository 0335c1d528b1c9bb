"""Which characters the print face has, and what is printed for the others."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
import struct
import unicodedata
from functools import lru_cache
from pathlib import Path
from typing import Any

from softmend.errors import StorageError
from softmend.records.unbroken import unbroken

MISSING = "□"
# Signs that only choose between forms of the character before them; a PDF/UA writer refuses them.
_DROPPED = frozenset({0x200B, 0x200C, 0x200D, 0x2060, 0xFEFF, 0x00AD, *range(0xFE00, 0xFE10)})
_LONG_RUN = re.compile(r"\S{25,}")
_HASH = re.compile(r"[0-9a-f]{64}")
_PIECE = 10


@lru_cache(maxsize=8)
def font_characters(font: Path) -> frozenset[int]:
    """Return the code points of a TrueType font's character map (formats 4 and 12)."""
    try:
        data = font.read_bytes()
        table = _table(data, b"cmap")
        count = struct.unpack_from(">H", table, 2)[0]
        starts = {struct.unpack_from(">HHI", table, 4 + 8 * index)[2] for index in range(count)}
        characters: set[int] = set()
        for start in starts:
            characters |= _subtable(table[start:])
    except (OSError, struct.error, IndexError) as unread:
        raise StorageError("The print face cannot be read", value=font.name) from unread
    return frozenset(characters)


def printable(value: Any, characters: frozenset[int], lacking: set[str]) -> Any:
    """Return plain data fit for the face; what it lacks stands as □ and is added to `lacking`.

    Long words get invisible places to break, except a SHA-256, which must stay copyable. A number
    stays on one line with its ± and its unit.
    """
    if isinstance(value, str):
        return _breakable(unbroken(_shown(value, characters, lacking)))
    if isinstance(value, list | tuple):
        return [printable(item, characters, lacking) for item in value]
    if isinstance(value, dict):
        return {name: printable(item, characters, lacking) for name, item in value.items()}
    return value


def shown(value: str, characters: frozenset[int], lacking: set[str]) -> str:
    """Return a text, such as SVG, with □ for what the face lacks, and nothing else changed."""
    return _shown(value, characters, lacking)


def character_name(character: str) -> str:
    """Return how a missing character is named in the warning: "U+4E2D"."""
    return f"U+{ord(character):04X}"


def _shown(value: str, characters: frozenset[int], lacking: set[str]) -> str:
    pieces = []
    for character in unicodedata.normalize("NFC", value.replace("\r\n", "\n")):
        code = ord(character)
        if code in _DROPPED:
            continue
        if character in "\n\t":
            pieces.append("\n" if character == "\n" else " ")
        elif code in characters and unicodedata.category(character) != "Cc":
            pieces.append(character)
        else:
            lacking.add(character)
            pieces.append(MISSING)
    return "".join(pieces)


def _breakable(value: str) -> str:
    if _HASH.fullmatch(value):
        return value
    return _LONG_RUN.sub(lambda run: "\u200b".join(_pieces(run[0])), value)


def _pieces(run: str) -> list[str]:
    return [run[start : start + _PIECE] for start in range(0, len(run), _PIECE)]


def _table(data: bytes, tag: bytes) -> bytes:
    count = struct.unpack_from(">H", data, 4)[0]
    for index in range(count):
        name, _, offset, length = struct.unpack_from(">4sIII", data, 12 + 16 * index)
        if name == tag:
            return data[offset : offset + length]
    raise IndexError(tag)


def _subtable(table: bytes) -> set[int]:
    kind = struct.unpack_from(">H", table)[0]
    if kind == 12:
        groups = struct.unpack_from(">I", table, 12)[0]
        found: set[int] = set()
        for index in range(groups):
            first, last, _ = struct.unpack_from(">III", table, 16 + 12 * index)
            found.update(range(first, last + 1))
        return found
    return _segments(table) if kind == 4 else set()


def _segments(table: bytes) -> set[int]:
    count = struct.unpack_from(">H", table, 6)[0] // 2
    ends = struct.unpack_from(f">{count}H", table, 14)
    starts = struct.unpack_from(f">{count}H", table, 16 + 2 * count)
    deltas = struct.unpack_from(f">{count}h", table, 16 + 4 * count)
    ranges_at = 16 + 6 * count
    offsets = struct.unpack_from(f">{count}H", table, ranges_at)
    found: set[int] = set()
    for index, (first, last) in enumerate(zip(starts, ends, strict=True)):
        for code in range(first, min(last, 0xFFFE) + 1):
            glyph = code
            if offsets[index]:
                at = ranges_at + 2 * index + offsets[index] + 2 * (code - first)
                glyph = struct.unpack_from(">H", table, at)[0]
                if glyph == 0:
                    continue
            if (glyph + deltas[index]) & 0xFFFF:
                found.add(code)
    return found
