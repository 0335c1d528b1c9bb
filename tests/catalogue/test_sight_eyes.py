"""A person's own eyes from the outside: bars found and missed give a figure with its band."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import pytest

from softmend import catalogue
from softmend.errors import InputError

GROUND = [74, 4, 17]


def bars(*, seen_from: float) -> list[dict[str, Any]]:
    """Return bars from plain to faint; those are found that differ by so much in L* or more."""
    return [
        {"width_mm": 2, "length_mm": 40, "bar": [74 - step, 4, 17], "ground": GROUND,
         "was_right": step >= seen_from}
        for step in (3, 2.5, 2, 1.5, 1.2, 1, 0.8, 0.6, 0.5, 0.4, 0.3, 0.2)
    ]  # fmt: skip


def told(**given: Any) -> dict[str, Any]:
    return catalogue.run("sight.eyes", {"distance_mm": 600, **given})


def test_a_keen_eye_and_a_dull_one_are_told_apart_with_their_bands() -> None:
    keen, dull = told(bars=bars(seen_from=0.3)), told(bars=bars(seen_from=2.0))
    assert keen["low"] < keen["noticed"] < keen["high"] < dull["noticed"]
    assert keen["text"].startswith("11 of 12 bars were found: ")
    assert "the usual is 1" in keen["text"]


def test_the_differences_are_those_of_the_bar_in_closed_form() -> None:
    seen = told(bars=bars(seen_from=1.0))["differences"]
    verdict = catalogue.run("sight.verdict", {
        "surround": {"lab": GROUND}, "fill": {"lab": [72, 4, 17]}, "width_mm": 2, "length_mm": 40,
        "far_mm": 1829, "near_mm": 600,
    })  # fmt: skip
    assert seen[2] == pytest.approx(verdict["near"]["difference"], abs=0.01)
    assert list(seen) == sorted(seen, reverse=True)


def test_a_test_that_tells_nothing_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="too few bars"):
        told(bars=bars(seen_from=1.0)[:4])
    same = [{**one, "bar": GROUND} for one in bars(seen_from=1.0)]
    with pytest.raises(InputError, match="no difference to see"):
        told(bars=same)
