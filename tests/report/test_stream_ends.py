"""The ends of a PDF's streams: what one validator misread, by its own verdict before and after."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io

import page
import pikepdf
import pytest

from softmend.report.stream_ends import with_clear_ends
from tests.report.reading import failures

MISREAD = "PDFA3A-STREAM-LENGTH-001"


def with_stream(data: bytes) -> bytes:
    """Return a small PDF that holds one stream of these bytes, as they are."""
    made = pikepdf.new()
    made.add_blank_page()
    made.Root.Held = pikepdf.Stream(made, data)
    written = io.BytesIO()
    made.save(written, compress_streams=False, static_id=True)
    return written.getvalue()


def held_in(pdf: bytes) -> bytes:
    with pikepdf.open(io.BytesIO(pdf)) as read:
        return bytes(read.Root.Held.read_raw_bytes())


def is_misread(pdf: bytes) -> bool:
    found = failures(pdf, page.ValidationProfile.PDF_A_3A)
    return any(one.startswith(MISREAD) for one in found)


@pytest.mark.parametrize("data", [b"ends with a return\r", b"\r", b"two\r\r"])
def test_a_stream_that_ends_with_a_carriage_return_is_counted_whole(data: bytes) -> None:
    before = with_stream(data)
    assert is_misread(before)
    after = with_clear_ends(before)
    assert not is_misread(after)
    assert held_in(after) == held_in(before) == data
    assert len(after) == len(before)
    assert sum(one != other for one, other in zip(before, after, strict=True)) == 1


@pytest.mark.parametrize(
    "data",
    [b"ends with a feed\n", b"plain", b"", b"inside \r\nendstream it goes on", b"both\r\n"],
)
def test_every_other_stream_stays_as_it_is(data: bytes) -> None:
    before = with_stream(data)
    assert with_clear_ends(before) == before
    assert not is_misread(before)
    assert held_in(before) == data
