"""White points, CIELAB both ways, the join between wavelengths, lamps' colour temperatures."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.colorimetry import (
    EVERY_NM,
    colour_temperature,
    interpolation,
    lab,
    lab_slopes,
    weights,
    xyz_of_lab,
)
from tests.science.checks import expected
from tests.science.tint import invented
from tests.science.tint.library import colour

CHECKS = expected("softmend-colour")
LAMPS = sorted({name.split("_")[1] for name in CHECKS if name.startswith("white_")})


@pytest.mark.parametrize("name", LAMPS)
def test_the_white_of_every_lamp_is_the_table(name: str) -> None:
    for degrees in (2, 10):
        x, y, z = invented.lamp(name, degrees).white
        assert y == pytest.approx(100, abs=1e-9)
        CHECKS[f"white_{name}_X{degrees}"].accept(x)
        CHECKS[f"white_{name}_Z{degrees}"].accept(z)


def test_the_printed_and_the_recalled_whites_are_met() -> None:
    day, bulb = invented.lamp("D65", 10).white, invented.lamp("A").white
    CHECKS["white_D65_X10_printed"].accept(day[0])
    CHECKS["white_D65_Z10_printed"].accept(day[2])
    CHECKS["white_A_X2_formula"].accept(bulb[0])
    CHECKS["white_A_Z2_formula"].accept(bulb[2])


@pytest.mark.parametrize("name", [one for one in LAMPS if f"cct_{one}" in CHECKS])
def test_the_colour_temperature_of_every_lamp_is_the_table(name: str) -> None:
    kelvin, _ = colour_temperature(invented.power_of(name), invented.observer(2))
    CHECKS[f"cct_{name}"].accept(kelvin)


def test_a_green_lamp_has_no_colour_temperature() -> None:
    green = np.exp(-(((EVERY_NM - 530) / 15) ** 2))
    assert np.isnan(colour_temperature(green, invented.observer(2))[0])


@pytest.mark.parametrize("name", ["D65", "LED-B2", "FL11"])
def test_colours_of_real_curves_agree_with_an_open_library(name: str) -> None:
    curves = invented.targets(6)
    ours = invented.lamp(name)
    for curve in curves:
        fine = interpolation(invented.GRID, EVERY_NM) @ curve
        sd = colour.SpectralDistribution(fine, EVERY_NM)
        power = colour.SpectralDistribution(invented.power_of(name), EVERY_NM)
        eye = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy()
        xyz = colour.sd_to_XYZ(sd, eye.align(colour.SpectralShape(360, 780, 1)), power,
                               method="Integration")  # fmt: skip
        theirs = colour.XYZ_to_Lab(xyz / 100, colour.XYZ_to_xy(ours.white))
        assert ours.lab(curve) == pytest.approx(theirs, abs=2e-3)


def test_cielab_goes_both_ways_dark_colours_too() -> None:
    white = invented.lamp("D50").white
    colours = np.array([[50, 20, -30], [2, 0.5, -0.5], [100, 0, 0], [0, 0, 0], [7.9, 3, 2]])
    assert lab(xyz_of_lab(colours, white), white) == pytest.approx(colours, abs=1e-9)


def test_the_slopes_of_cielab_are_those_of_cielab() -> None:
    white, at = np.array([95.0, 100, 109]), np.array([40.0, 45, 0.3])
    slopes = lab_slopes(at, white)
    for axis in range(3):
        step = np.eye(3)[axis] * 1e-6
        rise = (lab(at + step, white) - lab(at - step, white)) / 2e-6
        assert slopes[:, axis] == pytest.approx(rise, rel=1e-5, abs=1e-6)


def test_the_join_passes_through_the_readings_and_holds_the_ends() -> None:
    at = np.array([400.0, 420, 450, 500, 600, 700])
    matrix = interpolation(at, np.array([380.0, 400, 450, 700, 730]))
    values = np.array([0.2, 0.3, 0.25, 0.6, 0.7, 0.71])
    assert matrix @ values == pytest.approx([0.2, 0.2, 0.25, 0.71, 0.71])
    assert matrix.sum(axis=1) == pytest.approx(np.ones(5))
    smooth = np.sin(EVERY_NM / 90)
    joined = interpolation(EVERY_NM[::10], EVERY_NM) @ smooth[::10]
    assert joined[30:-30] == pytest.approx(smooth[30:-30], abs=1e-4)


def test_bad_wavelengths_and_dark_lamps_are_refused() -> None:
    with pytest.raises(InputError, match="Wavelengths do not rise"):
        interpolation([400, 400, 500], [450])
    with pytest.raises(InputError, match="no light that is seen"):
        weights("cellar", invented.GRID, np.zeros(421), invented.observer(2))
    with pytest.raises(InputError, match="every nanometre"):
        weights("short", invented.GRID, np.ones(10), invented.observer(2))
