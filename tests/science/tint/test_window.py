"""The window between unseen and found, and the hatch where there is none."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.window import Looking, allowed_window, hatch_for
from tests.science.checks import expected

CHECKS = expected("zhang1996")
DAY = (95.047, 100.0, 108.883)


def looking(width_mm: float, **other: float) -> Looking:
    return Looking(width_mm / 1e3, 0.02, 1.829, 0.25, (80.0, 2.0, 18.0), DAY, **other)


@pytest.mark.parametrize("direction", ["darker", "redder", "yellower"])
@pytest.mark.parametrize("width", [0.5, 1, 2, 3, 5, 10])
def test_the_windows_are_those_of_the_review(width: float, direction: str) -> None:
    found = allowed_window(looking(width), direction)
    CHECKS[f"window_{width:g}_{direction}_least"].accept(found.least or 0.0)
    CHECKS[f"window_{width:g}_{direction}_most"].accept(found.most or 0.0)


def test_inside_a_window_both_rules_hold_and_outside_one_fails() -> None:
    one = looking(1)
    window = allowed_window(one, "yellower")
    assert window.step_least is not None
    for step, holds in (
        (window.step_least * 1.01, True), (window.step_most * 0.99, True),
        (window.step_least * 0.95, False), (window.step_most * 1.05, False),
    ):  # fmt: skip
        fill = np.add(one.ground, (0, 0, step))
        unseen = float(one.seen(fill, one.far)) < one.limit_far
        found = float(one.seen(fill, one.near)) >= one.limit_near
        assert (unseen and found) == holds


def test_even_where_there_is_no_window_both_limits_are_told() -> None:
    found = allowed_window(looking(6), "darker")
    assert found.least is None
    assert found.most_unseen < found.least_found


def test_texture_widens_what_is_unseen_and_a_keen_eye_narrows_it() -> None:
    plain = allowed_window(looking(1), "redder").most_unseen
    assert allowed_window(looking(1, noise_far=1.0), "redder").most_unseen > plain
    assert allowed_window(looking(1, noticed=0.6), "redder").most_unseen < plain


def test_a_six_millimetre_fill_is_hatched_at_0_8_mm() -> None:
    found = hatch_for(looking(6))
    assert found is not None
    assert 1e3 * found.period == pytest.approx(0.8)
    assert found.seen_far < 0.1
    assert found.seen_near >= 1.5


def test_a_fill_too_narrow_for_three_lines_has_no_hatch() -> None:
    assert hatch_for(looking(0.8)) is None


def test_a_dark_ground_is_hatched_lighter_and_duller_needs_a_colour() -> None:
    dark = Looking(0.006, 0.02, 1.829, 0.25, (35.0, 2.0, 8.0), DAY)
    assert hatch_for(dark) is not None
    assert allowed_window(looking(0.5), "duller").least is not None
    with pytest.raises(InputError, match="cannot get duller"):
        allowed_window(Looking(0.001, 0.02, 1.829, 0.25, (80.0, 0.1, 0.1), DAY), "duller")


def test_bad_requests_are_refused() -> None:
    with pytest.raises(InputError, match="near below far"):
        Looking(0.001, 0.02, 0.25, 1.829, (80.0, 2.0, 18.0), DAY)
    with pytest.raises(InputError, match="direction of colour is not known"):
        allowed_window(looking(1), "nicer")
