"""The ends of a PDF's streams, so that every reader counts the same bytes in each.

A stream's data may by chance end with a carriage return, which the line feed before "endstream"
then follows. Taken together the two read as one line end, and a validator that takes that line
end off finds the stream one byte shorter than its dictionary says. A carriage return alone is a
line end as well; with it in place of the line feed nothing can be taken for anything else.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Iterator

_START = re.compile(rb"/Length (\d+)\b[^\x00]{0,2000}?>>\s{0,2}stream\r?\n")
_END = b"\nendstream"
_RETURN = 0x0D


def with_clear_ends(pdf: bytes) -> bytes:
    """Return a PDF whose streams end where their dictionaries say, however a reader looks.

    The same length and the same places of everything: one byte changes per such stream.
    """
    made = bytearray(pdf)
    for end in _stream_ends(pdf):
        if pdf.startswith(_END, end) and pdf[end - 1] == _RETURN:
            made[end] = _RETURN
    return bytes(made)


def _stream_ends(pdf: bytes) -> Iterator[int]:
    """Yield where the data of each stream ends, by the length that its dictionary gives."""
    place = 0
    while found := _START.search(pdf, place):
        place = found.end() + int(found[1])
        yield place
