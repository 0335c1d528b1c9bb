"""A tracer's readings as people type them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.errors import InputError
from softmend.services.places.tracer import looks_like_a_file, typed_readings


@pytest.mark.parametrize(
    "text",
    ["0 5000\n0.5 4800", "h\tppm\n0\t5000\n0,5\t4800", "0;5000\n0,5;4800", "0,5000\n0.5,4800"],
)
def test_hours_and_ppm_are_read_however_they_are_parted(text: str) -> None:
    assert typed_readings(text) == ([0.0, 0.5], [5000.0, 4800.0])


def test_clock_times_go_on_past_midnight() -> None:
    assert typed_readings("22:30 5000\n23:30 4800\n00:30 4700")[0] == [22.5, 23.5, 24.5]


def test_lines_with_dates_are_a_file() -> None:
    assert looks_like_a_file("05.03.2024 22:30;5000")
    assert not looks_like_a_file("22:30 5000")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "No reading was given"),
        ("0 4 820\n", "Line 1 is not a time and a reading"),
        ("hours\n\n1 low", "Line 3 is not a time"),
    ],
)
def test_what_is_no_reading_is_named(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        typed_readings(text)
