"""Cases, gases, dust and light by their closed forms."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.climate.dust import dust_share
from softmend.science.climate.light import light_dose, time_to_dose, ultraviolet
from softmend.science.climate.pollutant import concentration, share_from_room
from softmend.science.climate.showcase import (
    buffer_for_season,
    drift_with,
    gel_by_formula,
    gel_exactly,
    half_time,
    half_time_by_rule,
    time_constant,
)
from tests.science.checks import expected

CHECKS = expected("softmend-climate")
DAY, HOUR = 86400.0, 3600.0


def test_the_half_time_of_a_buffered_case() -> None:
    CHECKS["thomson_rule"].accept(float(half_time_by_rule(1 / DAY, 20, 2e-3)) / DAY)
    CHECKS["thomson_exact"].accept(float(half_time(1 / DAY, 20, 2e-3)) / DAY)


@pytest.mark.parametrize("swing", [12, 15, 20])
def test_buffer_for_a_season(swing: int) -> None:
    lag, _ = buffer_for_season(swing, 5, 1 / DAY, 2e-3)
    CHECKS[f"season_lag_{swing}"].accept(lag / DAY)
    for exchange, capacity in ((1, 2), (0.2, 2), (0.1, 2), (0.2, 6)):
        _, buffer = buffer_for_season(swing, 5, exchange / DAY, capacity / 1e3)
        CHECKS[f"season_{swing}_{exchange}_{capacity}"].accept(buffer)
    assert buffer_for_season(5, 6, 1 / DAY, 2e-3) == (0.0, 0.0)


def test_buffer_for_a_season_does_what_it_promises() -> None:
    lag, buffer = buffer_for_season(15, 5, 0.4 / DAY, 4e-3)
    found = float(time_constant(0.4 / DAY, buffer, 4e-3))
    assert found == pytest.approx(lag, rel=1e-12)
    assert 15 / math.hypot(1, 2 * math.pi * found / (365 * DAY)) == pytest.approx(5)


def test_gel_by_the_formula_and_exactly() -> None:
    first = (15, 1, 1 / DAY, 90 * DAY, 2e-3)
    CHECKS["gel_1"].accept(gel_by_formula(*first, 5))
    CHECKS["gel_2"].accept(gel_by_formula(20, 0.5, 0.4 / DAY, 60 * DAY, 6e-3, 4))
    CHECKS["gel_1_exact"].accept(gel_exactly(*first, 5))
    CHECKS["gel_1_drift"].accept(drift_with(23.36, *first))
    CHECKS["gel_near"].accept(gel_by_formula(*first, 14))
    CHECKS["gel_near_exact"].accept(gel_exactly(*first, 14))


def test_no_gel_is_needed_when_the_whole_difference_may_come() -> None:
    for way in (gel_by_formula, gel_exactly):
        assert way(15, 1, 1 / DAY, 90 * DAY, 2e-3, 15) == 0
        assert way(15, 1, 1 / DAY, 90 * DAY, 2e-3, 20) == 0


def test_the_exact_mass_drifts_just_as_far_as_allowed() -> None:
    for drift in (1, 4, 9, 14):
        mass = gel_exactly(15, 0.7, 0.8 / DAY, 60 * DAY, 3e-3, drift)
        assert drift_with(mass, 15, 0.7, 0.8 / DAY, 60 * DAY, 3e-3) == pytest.approx(drift)
        assert mass <= gel_by_formula(15, 0.7, 0.8 / DAY, 60 * DAY, 3e-3, drift)


@pytest.mark.parametrize("hours", [1, 2, 3])
def test_air_changed_in_steps_and_continuously(hours: int) -> None:
    CHECKS[f"exchange_steps_{hours}"].accept(100 * (1 - 0.9**hours))
    lag = float(time_constant(0.1 / HOUR, 0, 0))
    CHECKS[f"exchange_law_{hours}"].accept(-100 * math.expm1(-hours * HOUR / lag))


@pytest.mark.parametrize("changes", [10, 1, 0.1])
def test_a_tight_case_keeps_gases_out_and_in(changes: float) -> None:
    rate, emission = changes / DAY, 10e-9 / HOUR
    CHECKS[f"gas_{changes}"].accept(1e9 * float(concentration(rate, emission, 2, 0.01 / HOUR, 6)))
    CHECKS[f"gas_alone_{changes}"].accept(1e9 * float(concentration(rate, emission, 2, 0, 6)))
    share = float(share_from_room(rate, 1.3 / HOUR, 6))
    CHECKS[f"room_gas_{changes}"].accept(100 * share)
    by_both = float(concentration(rate, 0, 0, 1.3 / HOUR, 6, 40e-9))
    assert by_both == pytest.approx(40e-9 * share)


def test_dust_halves_with_each_half_metre() -> None:
    CHECKS["dust_1.5"].accept(float(dust_share(1.5)))
    assert float(dust_share(0)) == 1


def test_light_and_ultraviolet() -> None:
    CHECKS["dose_50"].accept(float(light_dose(50, 8 * 300 * HOUR)) / HOUR)
    CHECKS["dose_200"].accept(float(light_dose(200, 8 * 300 * HOUR)) / HOUR)
    CHECKS["uv_200"].accept(1e3 * float(ultraviolet(200, 75e-6)))
    CHECKS["uv_50"].accept(1500 / 50)
    assert 1e6 * float(ultraviolet(50, CHECKS["uv_50"].value * 1e-6)) == pytest.approx(1500)
    CHECKS["daylight"].accept(float(time_to_dose(600_000 * HOUR, 500, 8 / 24)) / DAY)


@pytest.mark.parametrize(("wool", "dose"), [(1, 0.3e6), (2, 1e6), (3, 3e6), (4, 10e6)])
def test_a_fade_that_shows(wool: int, dose: float) -> None:
    years = float(time_to_dose(dose * HOUR, 50, 3000 / 8766)) / (365.25 * DAY)
    CHECKS[f"fade_{wool}"].accept(years)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: time_constant(0, 1, 1), "An air exchange is not above zero; got 0.0"),
        (lambda: time_constant(1, -1, 1), "Buffer and capacity cannot be negative"),
        (lambda: gel_by_formula(15, 0, 1, 1, 1, 1), "volume, exchange, time, capacity or drift is"),
        (lambda: gel_exactly(150, 1, 1, 1, 1, 1), "A difference of humidity is out of range"),
        (lambda: drift_with(-1, 15, 1, 1, 1, 1), "A mass of gel is negative"),
        (lambda: share_from_room(0, 0, 1), "it would rise without end"),
        (lambda: share_from_room(-1, 0, 1), "cannot be negative"),
        (lambda: concentration(1, -1, 1, 0, 0), "An emission or a concentration is negative"),
        (lambda: dust_share(-1), "A distance is negative"),
        (lambda: light_dose(-1, 1), "Light and time cannot be negative"),
        (lambda: ultraviolet(1, -1), "Light and ultraviolet cannot be negative"),
        (lambda: time_to_dose(1, np.zeros(1), 1), "Light, its share of the time and its dose"),
    ],
)
def test_what_is_out_of_range_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert words in refused.value.sentence()
