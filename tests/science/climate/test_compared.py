"""A record against a computed band: theory as test."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.climate.compared import compared

HOURS = np.arange(1000) * 3600.0
WAVE = 50 + 5 * np.sin(np.arange(1000) / 20)


def test_a_record_of_its_own_band_has_no_gap_and_a_shifted_one_has_its_shift() -> None:
    at = HOURS[::10]
    band = (WAVE[::10] - 1, WAVE[::10], WAVE[::10] + 1)
    same = compared(HOURS, WAVE, 1800, at, band, (0, 0))
    assert same is not None
    assert (same.gap, same.inside_percent, same.moments) == (0, 100, 100)
    assert same.own_swing == same.swing
    moved = compared(HOURS, WAVE + 4, 1800, at, band, (0, 0))
    assert moved is not None
    assert moved.gap == pytest.approx(4)
    assert moved.inside_percent == 0
    wide = compared(HOURS, WAVE + 4, 1800, at, band, (3, 4))
    assert wide is not None
    assert (wide.sensor, wide.inside_percent) == (5, 100)


def test_only_moments_with_a_reading_near_count() -> None:
    found = compared(HOURS, WAVE, 600, HOURS[:5] + 900, ([0] * 5, [50] * 5, [99] * 5), (0, 0))
    assert found is None
    hole = WAVE.copy()
    hole[2] = np.nan
    some = compared(HOURS, hole, 1, HOURS[:5], ([0] * 5, [50] * 5, [99] * 5), (0, 0))
    assert some is not None
    assert some.moments == 4


def test_nothing_is_compared_with_nothing_and_lengths_must_agree() -> None:
    assert compared([], [], 1, [0.0], ([0], [1], [2]), (0, 0)) is None
    with pytest.raises(InputError, match="not as many"):
        compared([0.0], [1.0, 2.0], 1, [0.0], ([0], [1], [2]), (0, 0))
