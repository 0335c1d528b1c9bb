"""A room through a case: closed forms, another integrator, water conserved, no leak too fast."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.climate.case_run import (
    Bodies,
    Cases,
    Room,
    case_humidity,
    run_cases,
    saturation_density,
)
from softmend.science.climate.case_samples import Known, kept_bands, rows_to_hours, run_samples
from softmend.science.climate.response import followed
from softmend.science.climate.showcase import time_constant
from softmend.science.moisture.diffusion import Form
from softmend.science.uncertain import Uncertain
from tests.science.checks import expected
from tools.oracles.climate import CAPACITY, CASES, DAYS, DRIFT, WARMING, case_end
from tools.oracles.climate import room as invented

ORACLE = expected("softmend-climate-oracle")
CHECKS = expected("softmend-climate")
HOUR, DAY = 3600.0, 86400.0


def cases(exchange: float, buffer: float = 0.0, warming: float = 0.0, drift: float = 0.0,
          start: float = 50.0, capacity: float = 2e-3) -> Cases:  # fmt: skip
    values = (exchange / DAY, buffer, capacity, drift, warming, start)
    return Cases(*(np.array([value]) for value in values))


def weather(days: int) -> Room:
    times = np.arange(0, days * DAY, HOUR) / DAY
    rng = np.random.default_rng(4)
    slow = np.convolve(rng.normal(0, 1, times.size + 71), np.ones(72) / 8, "valid")
    rh = 48 + 12 * np.sin(2 * np.pi * times / 365) + 3 * np.sin(2 * np.pi * times) + 4 * slow
    return Room(HOUR, np.clip(rh, 5, 95), 20 + 2 * np.sin(2 * np.pi * times / 30))


@pytest.mark.parametrize(("exchange", "buffer"), [(60, 0), (10, 0), (1, 0), (1, 4), (0.2, 8)])
def test_a_step_at_one_temperature_is_the_closed_form(exchange: float, buffer: float) -> None:
    still = Room(HOUR, np.full(2000, 60.0), np.full(2000, 20.0))
    found = case_humidity(still, cases(exchange, buffer, start=40.0))[:, 0]
    lag = float(time_constant(exchange / DAY, buffer, 2e-3))
    true = 60 - 20 * np.exp(-np.arange(2000) * HOUR / lag)
    assert np.max(np.abs(found - true)) < 1e-11


@pytest.mark.parametrize("name", CASES)
def test_cases_that_warm_are_those_of_a_general_integrator(name: str) -> None:
    exchange, buffer = CASES[name]
    made = np.array([invented(hour) for hour in range(DAYS * 24 + 1)])
    room = Room(HOUR, made[:, 0], made[:, 1])
    case = cases(exchange, buffer, WARMING, DRIFT, capacity=CAPACITY)
    ORACLE[f"case_{name}"].accept(float(case_humidity(room, case)[-1, 0]))


def test_one_case_by_a_general_integrator_live() -> None:
    import psychrolib

    psychrolib.SetUnitSystem(psychrolib.SI)
    ORACLE["case_leaky"].accept(case_end(*CASES["leaky"]))


def test_water_is_conserved() -> None:
    room, case = weather(40), cases(1.3, 3.0, 1.5, 0.2)
    rh = case_humidity(room, case)[:, 0]
    warm = room.temperature + 1.5
    air, held = saturation_density(warm), 3.0 * 2e-3
    water = air * rh + held * (rh - 0.2 * (warm - 20))
    outside = saturation_density(room.temperature) * room.rh
    # What flows in within a row, by many small steps of the leak, must be what the case gained.
    gained = np.diff(water)
    worst = 0.0
    for i in range(len(gained)):
        inside, parts = water[i], 400
        for k in range(parts):
            humid = (inside + held * 0.2 * (warm[i + 1] - 20)) / (air[i + 1] + held)
            room_now = outside[i] + (outside[i + 1] - outside[i]) * (k + 0.5) / parts
            inside += 1.3 / DAY * HOUR / parts * (room_now - air[i + 1] * humid)
        worst = max(worst, abs(inside - water[i] - gained[i]))
    assert worst < 1e-5 * np.ptp(water)


@pytest.mark.parametrize("exchange", [24, 10, 1])
def test_an_explicit_step_is_visibly_wrong_where_this_one_is_not(exchange: float) -> None:
    room = weather(120)
    room.rh[1000:1048] += 20  # somebody aired the room
    room = Room(HOUR, room.rh, np.full(room.rh.size, 20.0))
    exact = case_humidity(room, cases(exchange))[:, 0]
    euler = np.full(room.rh.size, 50.0)
    for i in range(room.rh.size - 1):
        euler[i + 1] = euler[i] + exchange / 24 * (room.rh[i] - euler[i])
    CHECKS[f"euler_{exchange}"].accept(float(np.max(np.abs(euler - exact))))


@pytest.mark.parametrize("exchange", [60.0, 600.0, 1e5])
def test_a_leak_that_blows_an_explicit_step_up_is_survived(exchange: float) -> None:
    room = weather(60)
    room = Room(HOUR, room.rh, np.full(room.rh.size, 20.0))
    euler = 50.0
    with np.errstate(over="ignore", invalid="ignore"):
        for rh in room.rh:
            euler += exchange / 24 * (rh - np.float64(euler))
    assert not abs(euler) < 1e6
    found = case_humidity(room, cases(exchange))[:, 0]
    assert found[24:] == pytest.approx(room.rh[24:], abs=24 / exchange * 15)


def test_a_sealed_case_keeps_its_water_and_a_full_one_dews() -> None:
    room = weather(20)
    sealed = case_humidity(room, cases(0.0, 2.0))[:, 0]
    assert np.ptp(sealed) < 4
    cold = Room(HOUR, np.full(300, 95.0), np.linspace(25, 5, 300))
    assert case_humidity(cold, cases(0.01, start=95.0)).max() == 100


def test_warm_cases_are_dry_cases() -> None:
    still = Room(HOUR, np.full(400, 50.0), np.full(400, 20.0))
    for warmer in (1, 2, 3):
        found = float(case_humidity(still, cases(20, warming=warmer))[-1, 0])
        # The vapour is shared by mass in the case and by pressure in the check: 0.3 % a kelvin.
        assert found == pytest.approx(CHECKS[f"lamp_{warmer}"].value, abs=0.2 * warmer)


def test_buffer_steadies_and_does_not_lift() -> None:
    still = weather(365 * 3)
    dry = Room(HOUR, np.clip(still.rh - 13, 1, 99), np.full(still.rh.size, 20.0))
    ran = run_cases(dry, cases(0.5, 8.0, start=35.0), low=40.0)
    assert ran.case.mean[0] == pytest.approx(dry.rh.mean(), abs=1.5)
    assert ran.case.sd[0] < 0.5 * dry.rh.std()
    assert ran.case.rows_below[0] > 0.5 * ran.case.rows


def test_an_object_in_a_case_is_that_of_the_long_way() -> None:
    room = weather(400)
    for biot in (None, 20.0):
        body = Bodies(Form.CYLINDER, np.array([0.03]), np.array([5e-11]), biot)
        ran = run_cases(room, cases(1.0, 1.0), body, keep_every=1)
        case = case_humidity(room, cases(1.0, 1.0))[:, 0]
        true = followed(Form.CYLINDER, case, HOUR, 0.03, 5e-11, biot)
        for place in ("surface", "mean", "core"):
            kept = np.array(ran.kept[place])[:, 0]
            assert np.max(np.abs(kept - getattr(true, place))) < 0.06
        assert ran.kept_rows == list(range(room.rh.size))


def test_the_core_has_no_false_daily_wave() -> None:
    times = np.arange(0, 60 * DAY, HOUR)
    room = Room(HOUR, 50 + 10 * np.sin(2 * np.pi * times / DAY), np.full(times.size, 20.0))
    body = Bodies(Form.CYLINDER, np.array([0.03]), np.array([5e-11]))
    ran = run_cases(room, cases(1e5), body, keep_every=1)
    core = np.array(ran.kept["core"])[:, 0]
    assert np.ptp(core[-48:]) < 0.05


def test_samples_are_each_alone_and_blocks_leave_no_seam() -> None:
    room = weather(30)
    many = Cases(*(np.repeat(v, 2000) for v in (1 / DAY, 2.0, 2e-3, 0.2, 1.0, 50.0)))
    one = case_humidity(room, cases(1, 2.0, 1.0, 0.2))[:, 0]
    body = Bodies(Form.SLAB, np.full(2000, 0.01), np.full(2000, 5e-11))
    ran = run_cases(room, many, body, keep_every=24)
    assert np.array(ran.kept["case"])[:, 1999] == pytest.approx(one[::24], abs=1e-12)
    assert ran.kept_rows == list(range(0, room.rh.size, 24))
    assert ran.case.least[0] == pytest.approx(one.min())
    assert ran.case.mean[7] == pytest.approx(one.mean())
    assert ran.case.sd[7] == pytest.approx(one.std())


def test_samples_span_what_is_not_known_and_repeat_by_seed() -> None:
    room = weather(60)
    given = (room.rh, room.temperature, room.step_s)
    exact = Uncertain.exact
    wide = Uncertain.from_low_typical_high(0.3 / DAY, 1 / DAY, 3 / DAY)
    case = Known(wide, 4.0, exact(2e-3), exact(0.2), exact(1.0))
    body = (Form.CYLINDER, exact(0.03), exact(5e-11), 150.0)
    runs = [run_samples(given, case, body, 48.0, (45.0, 65.0), 100, seed) for seed in (3, 3, 4)]
    assert np.array_equal(runs[0].ran.case.least, runs[1].ran.case.least)
    assert not np.array_equal(runs[0].ran.case.least, runs[2].ran.case.least)
    assert list(runs[0].draws) == ["air exchange"]
    # The leakiest case swings most, and each is the run of that case alone.
    leaky = int(np.argmax(runs[0].draws["air exchange"]))
    assert runs[0].ran.case.least[leaky] == runs[0].ran.case.least.min()
    alone = case_humidity(
        room, cases(runs[0].draws["air exchange"][leaky] * DAY, 4.0, 1.0, 0.2, 48)
    )
    assert runs[0].ran.case.least[leaky] == pytest.approx(alone.min())
    below = rows_to_hours(runs[0].ran.case.rows_below, runs[0].ran.case, HOUR)
    assert below[leaky] == pytest.approx(8766 * np.mean(alone < 45))
    bands = kept_bands(runs[0].ran.kept["case"])
    assert (np.diff(bands, axis=1) >= 0).all()
    assert len(bands) == len(runs[0].ran.kept_rows) <= 370
    with pytest.raises(InputError, match="The number of samples is out of range"):
        run_samples(given, case, None, 48.0, (45.0, 65.0), 5, 0)


def test_what_cannot_be_run_is_refused() -> None:
    good = weather(2)
    with pytest.raises(InputError, match="A room's record cannot be used"):
        case_humidity(Room(HOUR, good.rh, good.temperature[:3]), cases(1))
    with pytest.raises(InputError, match="A temperature is out of range"):
        case_humidity(good, cases(1, warming=90))
    with pytest.raises(InputError, match="cannot be negative"):
        case_humidity(good, cases(-1))
    with pytest.raises(InputError, match="not as many in every value"):
        run_cases(good, Cases(*(np.ones(n) for n in (1, 2, 1, 1, 1, 1))))
