"""Curves on rasters: what goes in comes out where it stood, and noise is as large as it is said."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.science.tint.colorimetry import EVERY_NM
from softmend.science.tint.curve import (
    every_nanometre,
    on_raster,
    raster_within,
    read_again,
    rising,
    spread_over,
)


def test_a_curve_on_its_own_raster_is_itself_whatever_the_order() -> None:
    at, values = rising([700, 500, 400, 600], [0.7, 0.5, 0.4, 0.6])
    assert at.tolist() == [400, 500, 600, 700]
    assert on_raster(at, values, at) == pytest.approx(values)
    assert on_raster(np.array([550.0]), np.array([2.0]), at).tolist() == [2.0] * 4


def test_the_raster_lies_within_the_reach() -> None:
    assert raster_within(380, 730, 10)[[0, -1]].tolist() == [380, 730]
    assert raster_within(380.5, 729.5, 10)[[0, -1]].tolist() == [390, 720]


def test_a_lamp_is_joined_by_straight_lines() -> None:
    power = every_nanometre([380, 545, 550, 780], [0, 0, 10, 0])
    assert power[EVERY_NM == 547.5].size == 0
    assert power[EVERY_NM == 548][0] == pytest.approx(6)
    assert power.min() == 0


def test_noise_has_the_size_that_is_asked_and_the_same_seed_the_same() -> None:
    one = read_again(np.full(31, 0.5), 0.003, 2000, 1)
    assert one.std() == pytest.approx(0.003, rel=0.05)
    assert np.array_equal(one, read_again(np.full(31, 0.5), 0.003, 2000, 1))


def test_spread_leaves_out_what_is_not_known() -> None:
    draws = [np.array([1.0, np.nan, 3.0]), np.array([1.2, 5.0, 3.0])]
    assert spread_over(draws, np.array([1.1, 5.0, 3.0])) == pytest.approx((0.1 / 1.1 + 0) / 2)
    assert np.isnan(spread_over(draws, np.full(3, np.nan)))
