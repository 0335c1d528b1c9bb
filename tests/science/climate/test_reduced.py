"""Records made shorter: hours are means, spells keep the least and the most that was read."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from softmend.errors import InputError
from softmend.science.climate.reduced import hours_of, spells_of
from softmend.science.climate.series import series

RNG = np.random.default_rng(3)
TIMES = np.arange(0, 6 * 24 * 20) * 600.0 + 1.7e9
HUMID = 50 + RNG.normal(0, 5, TIMES.size)


def test_hours_are_the_means_that_pandas_gives() -> None:
    one = series(TIMES, HUMID, None)
    found = hours_of(one)
    start = found.times_s[0] - 1800
    spells = ((TIMES - start) // 3600).astype(int)
    theirs = pd.Series(HUMID).groupby(spells).mean()
    assert np.allclose(found.rh, theirs.to_numpy(), atol=1e-9)


def test_a_record_coarser_than_an_hour_keeps_its_own_step() -> None:
    found = hours_of(series([0, 7200, 14400], [50, 51, 52], [20, 20, 20]))
    assert found.step_s == 7200
    assert found.rh.tolist() == [50, 51, 52]


def test_hours_without_a_temperature_are_left_out_and_counted() -> None:
    times = np.arange(30) * 3600.0
    warm = np.full(30, 20.0)
    warm[10:20] = np.nan
    found = hours_of(series(times, np.full(30, 50.0), warm))
    assert found.rh.size == 20
    assert found.without_temperature == 10


def test_no_extreme_is_lost_between_two_spells() -> None:
    found = spells_of(TIMES, HUMID, 86400.0, float(TIMES[0]))
    days = ((TIMES - TIMES[0]) // 86400).astype(int)
    theirs = pd.Series(HUMID).groupby(days)
    assert np.array_equal(found.least, theirs.min().to_numpy())
    assert np.array_equal(found.most, theirs.max().to_numpy())
    assert np.allclose(found.mean, theirs.mean().to_numpy())
    assert found.most.max() == HUMID.max()


def test_a_spell_that_nothing_was_read_in_is_left_out_not_filled() -> None:
    found = spells_of([0.0, 1.0, 250.0], [4.0, np.nan, 6.0], 100.0, 0.0)
    assert found.starts_s.tolist() == [0.0, 200.0]
    assert spells_of([0.0], [np.nan], 100.0, 0.0).least.size == 0


def test_a_width_of_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="cannot be cut into spells"):
        spells_of([0.0], [1.0], 0.0, 0.0)
