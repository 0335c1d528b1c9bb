"""Air exchange from a fading tracer: the rate, its honest interval, and what cannot be fitted."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import curve_fit

from softmend.errors import InputError
from softmend.science.climate.exchange import decay_part, tracer_decay, widening
from tests.science.checks import expected

CHECKS = expected("softmend-climate")
HOUR, DAY = 3600.0, 86400.0


def decay(hours: float, top: float = 4580, rate: float = 0.5, every: float = 900.0):
    times = np.arange(0, hours * HOUR + 1, every)
    return times, 420 + top * np.exp(-rate * times / DAY)


@pytest.mark.parametrize("correlation", [0.5, 0.8])
def test_hanging_together_widens(correlation: float) -> None:
    CHECKS[f"widened_{correlation}"].accept(widening(correlation))
    assert widening(-0.5) == 1


@pytest.mark.parametrize("hours", [6, 24, 72])
def test_the_spread_of_a_decay_with_known_background_is_the_least_there_can_be(hours: int) -> None:
    rng = np.random.default_rng(hours)
    times, true = decay(hours)
    found = [tracer_decay(times, true + rng.normal(0, 20, times.size), 420.0) for _ in range(200)]
    # The bound of Cramér and Rao for two free values, start and rate.
    fall = np.exp(-0.5 * times / DAY)
    slopes = np.stack([fall, -4580 * times / DAY * fall])
    least = 20 * np.sqrt(np.linalg.inv(slopes @ slopes.T)[1, 1])
    rates = np.array([one.rate for one in found]) * DAY
    assert rates.mean() == pytest.approx(0.5, abs=4 * least / np.sqrt(200))
    assert rates.std() == pytest.approx(least, rel=0.15)
    assert np.mean([one.half_width for one in found]) * DAY == pytest.approx(2.1 * least, rel=0.2)


def test_a_wrong_background_is_carried_into_the_interval() -> None:
    wrong = [100 * (tracer_decay(*decay(h), 470.0).rate * DAY / 0.5 - 1) for h in (6, 24, 72)]
    CHECKS["background_least"].accept(min(wrong))
    CHECKS["background_most"].accept(max(wrong))
    carried = tracer_decay(*decay(24), 470.0, 60.0)
    assert abs(carried.rate * DAY - 0.5) < carried.half_width * DAY
    assert carried.background_half_width == 60


def test_the_fit_is_that_of_another_way() -> None:
    times, true = decay(72)
    read = true + np.random.default_rng(1).normal(0, 20, times.size)
    found = tracer_decay(times, read)
    other, _ = curve_fit(
        lambda t, n, a, b: b + a * np.exp(-n * t / DAY), times, read, p0=(1, 3000, 400)
    )
    assert found.rate * DAY == pytest.approx(other[0], rel=1e-5)
    assert found.above_background == pytest.approx(other[1], rel=1e-5)
    assert found.background == pytest.approx(other[2], rel=1e-4)
    assert found.is_background_fitted
    assert found.changes == pytest.approx(1.5, abs=0.05)


def test_nine_in_ten_intervals_hold_the_truth_though_readings_hang_together() -> None:
    rng = np.random.default_rng(2)
    times, true = decay(48)
    hits, plain = 0, 0
    for _ in range(150):
        noise = np.zeros(times.size)
        for i in range(1, times.size):
            noise[i] = 0.7 * noise[i - 1] + rng.normal(0, 14)
        found = tracer_decay(times, true + noise)
        off = abs(found.rate * DAY - 0.5)
        hits += off <= found.half_width * DAY
        plain += off <= found.half_width * DAY / found.widened
    assert hits >= 0.88 * 150
    assert plain < hits


def test_a_weak_start_with_an_assumed_background_can_mislead_by_half() -> None:
    times, _ = decay(24)
    weak = 520 + 300 * np.exp(-1.0 * times / DAY)
    assumed, fitted = tracer_decay(times, weak, 420.0), tracer_decay(times, weak)
    assert assumed.rate * DAY < 0.75
    assert fitted.rate * DAY == pytest.approx(1.0, abs=0.01)


def test_the_fading_part_begins_at_the_peak_or_where_it_is_stated() -> None:
    times = np.arange(0, 20.0)
    read = np.concatenate([np.full(5, 400.0), [2000, 5000, 4000], np.linspace(3900, 900, 12)])
    assert decay_part(times, read)[0].tolist() == list(range(6, 20))
    assert decay_part(times[::-1], read[::-1], 8, 10)[1].tolist() == read[8:11].tolist()
    twice = decay_part([0, 1, 1, 2], [9, 8, 8, 7])
    assert twice[0].tolist() == [0, 1, 2]
    with pytest.raises(InputError, match="Nothing was read in the stated part"):
        decay_part(times, read, 50, 60)
    with pytest.raises(InputError, match="holds no tracer"):
        decay_part(times, np.full(20, np.nan))


def test_what_does_not_fade_is_refused() -> None:
    times, true = decay(24)
    with pytest.raises(InputError, match="The tracer does not fade"):
        tracer_decay(times, true[::-1])
    with pytest.raises(InputError, match="A decay cannot be fitted; got 3 readings"):
        tracer_decay(times[:3], true[:3])
    with pytest.raises(InputError, match="An error is negative"):
        tracer_decay(times, true, 420.0, -1)
    with pytest.raises(InputError, match="A correlation is out of range"):
        widening(1.0)
