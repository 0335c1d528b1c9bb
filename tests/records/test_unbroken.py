"""A number, its ± and its unit stay on one line; the words round them do not change."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.records.unbroken import NO_BREAK, unbroken


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("0.120 ± 0.010 g", ["0.120~±~0.010~g"]),
        ("about 4.2 g weighed; missing 0.3 g", ["about", "4.2~g", "weighed;", "missing", "0.3~g"]),
        ("put on glue, + 1.5 ± 0.2 g", ["put", "on", "glue,", "+~1.5~±~0.2~g"]),
        ("0.4 – 1.9 ± 0.2 mm wide", ["0.4~–~1.9~±~0.2~mm", "wide"]),
        ("12 ± 3 mm²; 50 % RH", ["12~±~3~mm²;", "50~%", "RH"]),
        ("drawn to ± 3 px", ["drawn", "to", "±~3~px"]),
        ("3 fragments, 12 glues, 2 grains", ["3", "fragments,", "12", "glues,", "2", "grains"]),
        ("on 2026-03-02 – 4 more", ["on", "2026-03-02", "–", "4", "more"]),
        ("entry 3, mark 7", ["entry", "3,", "mark", "7"]),
        ("nothing", ["nothing"]),
    ],
)
def test_a_number_never_parts_from_its_spread_and_its_unit(text: str, parts: list[str]) -> None:
    assert unbroken(text).replace(NO_BREAK, "~").split(" ") == parts


@given(st.text(max_size=60))
def test_only_spaces_change_and_once_is_enough(text: str) -> None:
    held = unbroken(text)
    assert held.replace(NO_BREAK, " ") == text.replace(NO_BREAK, " ")
    assert unbroken(held) == held
