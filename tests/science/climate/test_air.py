"""Moist air against printed tables, two libraries and its own limits."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import CoolProp.CoolProp
import numpy as np
import psychrolib
import pytest

from softmend.errors import InputError
from softmend.science.climate import air, saturation
from softmend.science.climate.mould import mould_humidity
from softmend.science.climate.wood import wood_drift, wood_moisture
from tests.science.checks import expected

CHECKS = expected("softmend-climate")
ORACLE = expected("softmend-climate-oracle")
ASHRAE = expected("ashrae-fundamentals")
WOOD = expected("wood-handbook2010")
AIRS = ((5.0, 80.0), (10.0, 80.0), (20.0, 50.0), (25.0, 65.0), (30.0, 95.0), (40.0, 20.0))


@pytest.mark.parametrize("t", [0.01, 5, 20, 25, 50])
def test_saturation_is_that_of_both_libraries(t: float) -> None:
    found = float(saturation.saturation_pressure(t))
    ORACLE[f"saturation_{t:g}"].accept(found)
    ORACLE[f"saturation_real_{t:g}"].accept(found)


def test_saturation_at_300_kelvin_is_that_of_the_steam_tables() -> None:
    expected("iapws1997")["saturation_300_k"].accept(float(saturation.saturation_pressure(26.85)))


@pytest.mark.parametrize(("t", "rh"), AIRS)
def test_air_is_that_of_both_libraries(t: float, rh: float) -> None:
    name = f"{t:g}_{rh:g}"
    for which in ("dew", "dew_real"):
        ORACLE[f"{which}_{name}"].accept(float(air.dew_point(t, rh)))
    for which in ("ratio", "ratio_real"):
        ORACLE[f"{which}_{name}"].accept(float(air.humidity_ratio(t, rh)))
    ORACLE[f"volume_{name}"].accept(float(air.specific_volume(t, rh)))
    ORACLE[f"heat_{name}"].accept(float(air.enthalpy(t, rh)))


def test_one_air_by_both_libraries_live() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert float(saturation.saturation_pressure(17.3)) == pytest.approx(
        psychrolib.GetSatVapPres(17.3), rel=1e-12
    )
    assert float(air.dew_point(17.3, 61)) == pytest.approx(
        psychrolib.GetTDewPointFromRelHum(17.3, 0.61), abs=2e-3
    )
    real = CoolProp.CoolProp.HAPropsSI("W", "T", 290.45, "R", 0.61, "P", 101325)
    assert float(air.humidity_ratio(17.3, 61)) == pytest.approx(real, rel=5.5e-3)


def test_the_printed_example_of_a_wet_bulb() -> None:
    rh = float(air.wet_bulb_humidity(40, 20))
    ASHRAE["example_humidity"].accept(rh)
    ASHRAE["example_enthalpy"].accept(float(air.enthalpy(40, rh)) / 1e3)
    ASHRAE["example_volume"].accept(float(air.specific_volume(40, rh)))
    ASHRAE["example_dew_point"].accept(float(air.dew_point(40, rh)))
    ASHRAE["example_ratio"].accept(1e3 * float(air.humidity_ratio(40, rh)))
    ASHRAE["full_ratio_20"].accept(float(air.humidity_ratio(20, 100)))


def test_magnus_is_a_little_low() -> None:
    t = np.linspace(5, 40, 351)
    off = 100 * (saturation.saturation_pressure_magnus(t) / saturation.saturation_pressure(t) - 1)
    CHECKS["magnus_low"].accept(off.min())
    CHECKS["magnus_high"].accept(off.max())


@pytest.mark.parametrize("t", [15, 20, 25])
def test_vapour_of_full_air(t: float) -> None:
    CHECKS[f"full_density_{t}"].accept(1e3 * float(air.vapour_density(t, 100)))


def test_lamps_cold_walls_and_tight_boxes() -> None:
    CHECKS["full_density_printed"].accept(1e3 * float(air.vapour_density(20, 100)))
    CHECKS["box_21"].accept(float(air.sealed_box(50, 20, 21)))
    for warmer in (1, 2, 3):
        CHECKS[f"lamp_{warmer}"].accept(float(air.same_vapour(50, 20, 20 + warmer)))
    CHECKS["cold_wall"].accept(float(air.same_vapour(55, 20, 15)))
    CHECKS["half_kelvin"].accept(50 - float(air.same_vapour(50, 20, 20.5)))
    assert float(air.same_vapour(90, 20, 5)) == 100


def test_dew_point_and_humidity_undo_each_other() -> None:
    t, rh = np.meshgrid(np.linspace(-30, 60, 31), np.linspace(1, 100, 34))
    dew = air.dew_point(t, rh)
    again = (
        100
        * saturation.saturation_pressure(np.maximum(dew, -40))
        / saturation.saturation_pressure(t)
    )
    there = dew > -40
    assert again[there] == pytest.approx(rh[there], rel=1e-11)


def test_the_slope_is_that_of_small_steps() -> None:
    t = np.linspace(-20, 60, 9)
    steps = (saturation.log_saturation(t + 1e-4) - saturation.log_saturation(t - 1e-4)) / 2e-4
    assert saturation.saturation_slope(t) == pytest.approx(steps, rel=1e-6)


@pytest.mark.parametrize("rh", [5, 10, 25, 50, 65, 80, 90])
def test_wood_holds_what_the_handbook_prints(rh: int) -> None:
    WOOD[f"held_{rh}"].accept(float(wood_moisture(21.1, rh)))
    WOOD[f"formula_{rh}"].accept(float(wood_moisture(21.1, rh)))


def test_wood_as_a_buffer() -> None:
    WOOD["slope_50"].accept(10 * float(wood_moisture(21.1, 50.5) - wood_moisture(21.1, 49.5)))
    for rh in (35, 50, 60):
        WOOD[f"drift_{rh}"].accept(float(wood_drift(20.5, rh)))
    for q in (100, 200, 400):
        CHECKS[f"heat_{q}"].accept(50 * q * 1e3 * 0.018 / (8.314 * 293.15**2))


@pytest.mark.parametrize("t", [5, 10, 15, 20])
def test_mould(t: float) -> None:
    expected("hukka1999")[f"limit_{t}"].accept(float(mould_humidity(t)))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: saturation.saturation_pressure(150), "A temperature is out of range; got 150 °C"),
        (lambda: air.vapour_pressure(20, 120), "A relative humidity is out of range; got 120 %"),
        (lambda: air.dew_point(20, 0), "Perfectly dry air has no dew point"),
        (lambda: air.humidity_ratio(20, 50, 1000), "An air pressure is out of range"),
        (lambda: air.humidity_ratio(99, 100), "The vapour would be all of the air"),
        (lambda: air.wet_bulb_humidity(20, 25), "A wet bulb is warmer than the dry one"),
        (lambda: air.wet_bulb_humidity(60, 5), "differ more than in perfectly dry air"),
        (lambda: mould_humidity(60), "The limit of mould is not known"),
        (lambda: wood_moisture(20, 99), "The water that wood holds is not known there"),
    ],
)
def test_what_is_out_of_range_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert words in refused.value.sentence()
