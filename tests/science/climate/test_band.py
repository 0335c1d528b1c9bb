"""The band of the past by another library's moving window, and its refusals."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy.special import ndtri

from softmend.errors import InputError
from softmend.science.climate.band import (
    held_against,
    lived_band,
    ranges,
    seasonal_level,
    swings,
)
from tests.science.checks import expected

HOUR, DAY = 3600.0, 86400.0
LOGGERS = Path(__file__).parents[2] / "data" / "loggers"


def by_pandas(values: np.ndarray, step: str = "h") -> tuple[np.ndarray, float, float]:
    """Return level and points by pandas' centred window in time, both ends closed."""
    index = pd.date_range("2011-01-31", periods=values.size, freq=step)
    read = pd.Series(values, index=index)
    level = read.rolling("30D", center=True, closed="both").mean()
    inner = (index >= index[0] + pd.Timedelta("15D")) & (index <= index[-1] - pd.Timedelta("15D"))
    level = level.where(inner)
    apart = (read - level).dropna()
    return level.to_numpy(), apart.quantile(0.07), apart.quantile(0.93)


@pytest.fixture(scope="module")
def house() -> np.ndarray:
    path = LOGGERS / "house_eighteen_months_hourly.csv"
    return np.loadtxt(path, delimiter=",", skiprows=1, usecols=2)


def test_the_real_record_of_eighteen_months_gives_the_band_of_another_library(
    house: np.ndarray,
) -> None:
    level, low, high = by_pandas(house)
    found = lived_band(house, HOUR)
    there = np.isfinite(level)
    assert np.array_equal(there, np.isfinite(found.level))
    assert found.level[there] == pytest.approx(level[there], abs=1e-9)
    assert (found.lower, found.upper) == pytest.approx((low, high), abs=1e-9)
    assert (found.allowed_lower, found.allowed_upper) == (-10.0, 10.0)
    assert 0 < found.outside < 0.14 * found.counted


def test_missing_readings_are_left_out_as_in_another_library(house: np.ndarray) -> None:
    holed = house.copy()
    rng = np.random.default_rng(5)
    holed[rng.random(holed.size) < 0.1] = np.nan
    level, low, high = by_pandas(holed)
    found = lived_band(holed, HOUR)
    both = np.isfinite(level) & np.isfinite(found.level)
    assert both.sum() > 12_000
    assert found.level[both] == pytest.approx(level[both], abs=1e-9)
    assert (found.lower, found.upper) == pytest.approx((low, high), abs=0.05)


def test_a_record_of_nine_months_is_refused_with_the_reason() -> None:
    path = LOGGERS / "house_nine_months_hourly.csv"
    with pytest.raises(InputError) as refused:
        lived_band(np.loadtxt(path, delimiter=",", skiprows=1, usecols=2), HOUR)
    said = refused.value.sentence()
    assert said.startswith("The record is too short for a yearly band; got 264 days; allowed: 13")
    assert "so far" in said


def test_thirteen_months_are_enough_and_a_day_less_is_not() -> None:
    enough = np.full(395 * 24 + 1, 50.0)
    assert lived_band(enough, HOUR).allowed_upper == 10
    with pytest.raises(InputError, match="too short"):
        lived_band(enough[: -24 * 2], HOUR)


def test_a_year_with_a_hole_is_refused(house: np.ndarray) -> None:
    holed = house.copy()
    holed[4000:7000] = np.nan
    with pytest.raises(InputError, match="holes that leave part of the year without a level"):
        lived_band(holed, HOUR)


def test_the_ends_have_no_level_and_the_window_has_both_its_ends() -> None:
    ramp = np.arange(100.0)
    level = seasonal_level(ramp, DAY)
    assert np.isnan(level[:15]).all()
    assert np.isnan(level[-15:]).all()
    # A centred window with both ends closed leaves a straight line as it is.
    assert level[15:-15] == pytest.approx(ramp[15:-15])
    assert np.isnan(seasonal_level(ramp[:20], DAY)).all()


def test_a_normal_swing_reaches_one_and_a_half_standard_deviations() -> None:
    expected("softmend-climate")["p93"].accept(float(ndtri(0.93)))
    rng = np.random.default_rng(0)
    _, low, high = swings(50 + 2 * rng.normal(size=20_000), HOUR)
    assert float(high) == pytest.approx(2 * 1.4758, rel=0.03)
    assert float(low) == pytest.approx(-2 * 1.4758, rel=0.03)


def test_many_loggers_at_once_are_each_alone(house: np.ndarray) -> None:
    together = np.stack([house, house[::-1]])
    level, low, high = swings(together, HOUR)
    alone = swings(house, HOUR)
    assert level[0][400] == alone[0][400]
    assert (low[0], high[0]) == (alone[1], alone[2])
    assert low[1] == pytest.approx(low[0])


def test_a_wider_band_than_ten_is_kept_as_found() -> None:
    air = 50 + 20 * np.sin(np.arange(400 * 24) * np.pi / 12)
    found = lived_band(air, HOUR)
    assert found.allowed_upper == found.upper > 19


def test_limits_are_held_with_the_sensors_width() -> None:
    found = held_against([30.0, 38.0, 50.0, 61.0, np.nan], 40, 60, 3)
    assert (found.below, found.above, found.doubtful, found.counted) == (0.25, 0, 0.5, 4)
    assert held_against([80.0], None, 75, 1).above == 1
    with pytest.raises(InputError, match="Limits and readings"):
        held_against([50.0], 60, 40, 1)


def test_ranges_are_those_of_a_plain_loop() -> None:
    rng = np.random.default_rng(1)
    read = rng.normal(50, 5, 200)
    found = ranges(read, HOUR)
    plain = [np.ptp(read[i : i + 25]) for i in range(200 - 24)]
    assert found == pytest.approx(plain)
    assert ranges(read[:5], HOUR).size == 0
    with pytest.raises(InputError, match="shorter than two steps"):
        ranges(read, HOUR, HOUR)
    with pytest.raises(InputError, match="A step is out of range"):
        seasonal_level(read, 0)
