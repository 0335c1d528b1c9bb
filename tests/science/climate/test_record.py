"""A record is looked over before use: everything that stands out is pointed at, nothing changed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.climate.record import (
    bridged,
    evened,
    longest_whole,
    looked_over,
    ordered,
    usual_step,
)
from softmend.science.climate.series import even_humidity, series, summary, unbroken

HOUR, DAY = 3600.0, 86400.0


def air(days: int = 60, step: float = HOUR) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(3)
    times = np.arange(0, days * DAY, step)
    read = 50 + 5 * np.sin(times / DAY / 3) + 2 * np.sin(2 * np.pi * times / DAY)
    return times, np.round(read + rng.normal(0, 0.2, times.size), 2)


def test_newest_first_swapped_and_repeated_rows_are_found_and_kept() -> None:
    newest = ordered([30.0, 20.0, 10.0, 0.0])
    assert newest.is_newest_first
    assert newest.rows.tolist() == [3, 2, 1, 0]
    mixed = ordered([0.0, 20.0, 10.0, 30.0, 30.0, 40.0])
    assert (mixed.is_newest_first, mixed.swapped, mixed.repeated) == (False, 1, 1)
    assert mixed.times_s.size == 6


def test_a_spell_of_minutes_does_not_outvote_the_hours() -> None:
    hours = np.arange(0, 100 * HOUR, HOUR)
    minutes = np.arange(50 * HOUR, 53 * HOUR, 60.0)
    times = np.unique(np.concatenate([hours, minutes]))
    assert usual_step(times) == HOUR
    assert 60.0 in looked_over(times, np.full(times.size, 50.0) + times % 7, "rh").other_steps_s


def test_a_steady_record_has_nothing_to_point_at() -> None:
    found = looked_over(*air(), "rh")
    assert (found.coverage, found.missing, found.gaps, found.spikes_s, found.flat) == (
        1.0, 0, (), (), (),
    )  # fmt: skip
    assert found.handled_first is None
    assert found.handled_last is None


def test_gaps_spikes_flat_lines_and_handling_are_pointed_at() -> None:
    times, read = air()
    read[700] = 100.0
    read[900:940] = 55.5
    read[:4] = [20, 80, 30, 70]
    keep = np.ones(times.size, dtype=bool)
    keep[300:372] = False
    found = looked_over(times[keep], read[keep], "rh")
    assert found.coverage == pytest.approx(1 - 72 / times.size, abs=1e-3)
    assert [(g.end_s - g.start_s) / HOUR for g in found.gaps] == [73]
    assert times[700] in found.spikes_s
    assert [(s.start_s, s.end_s) for s in found.flat] == [(times[900], times[939])]
    assert found.handled_first is not None
    assert found.handled_first.end_s == times[4]


def test_handling_at_the_end_is_pointed_at() -> None:
    times, read = air()
    read[-2:] = [30, 75]
    found = looked_over(times, read, "rh")
    assert found.handled_last is not None
    assert found.handled_last.start_s == times[-3]


def test_even_steps_average_and_fill_nothing() -> None:
    found = evened([0, 600, 1200, 3600, 3900, 14400], [50, 51, 52, 60, 62, 70], HOUR)
    assert found.values[:2].tolist() == [51.0, 61.0]
    assert np.isnan(found.values[2:4]).all()
    assert found.values[4] == 70
    assert found.times_s.tolist() == [0, 3600, 7200, 10800, 14400]


def test_three_missing_steps_are_crossed_and_four_are_not() -> None:
    nothing = float("nan")
    assert bridged([1.0, nothing, nothing, nothing, 5.0]).tolist() == [1, 2, 3, 4, 5]
    four = bridged([1.0, *[nothing] * 4, 6.0])
    assert np.isnan(four[1:5]).all()
    assert np.isnan(bridged([nothing, 1.0, nothing])[[0, 2]]).all()
    assert np.isnan(bridged([nothing])).all()
    assert longest_whole([nothing]) == slice(0, 0)


def test_readings_that_cannot_be_count_as_missing_and_calibration_is_added() -> None:
    found = series([0, HOUR, 2 * HOUR], [50, 130, 99.8], [20, -300, 21], 1.0, -0.5)
    assert found.impossible_rh == found.impossible_temperature == 1
    assert found.rh.tolist()[0] == 51
    assert found.rh[2] == 100
    assert found.temperature.tolist()[0] == 19.5
    assert np.isnan(found.rh[1])
    assert found.seen is not None
    assert found.seen.missing == 1


def test_only_the_longest_part_without_a_long_gap_is_run() -> None:
    times, read = air(10)
    keep = np.ones(times.size, dtype=bool)
    keep[60:80] = False
    warm = np.full(times.size, 20.0)
    part = unbroken(series(times[keep], read[keep], warm[keep]))
    assert part.start_s == times[80]
    assert part.end_s == times[-1]
    assert part.rh.tolist() == read[80:].tolist()
    assert part.share == pytest.approx(160 / 240)


def test_what_cannot_be_used_is_refused() -> None:
    with pytest.raises(InputError, match="no moment that can be used"):
        ordered([])
    with pytest.raises(InputError, match="readings at two moments"):
        usual_step([1.0, 1.0])
    with pytest.raises(InputError, match="The quantity is not known"):
        looked_over([0, 1], [1, 2], "wind")
    with pytest.raises(InputError, match="not as many"):
        looked_over([0, 1], [1], "rh")
    with pytest.raises(InputError, match="not as many"):
        series([0, 1], [1], None)
    with pytest.raises(InputError, match="holds no relative humidity"):
        even_humidity(series([0, 1], None, [20, 20]))
    with pytest.raises(InputError, match="cannot be set to even steps"):
        evened([0, 1], [np.nan, np.nan], HOUR)
    with pytest.raises(InputError, match="too long for its step"):
        evened([0, 1e9], [1, 2], 1.0)
    with pytest.raises(InputError, match="no two readings in a row"):
        unbroken(series([0, HOUR, 10 * HOUR, 20 * HOUR], [1, np.nan, 2, 3], None), HOUR)
    with pytest.raises(InputError, match="Nothing was read"):
        summary([np.nan])
