"""Free strains, slits and rings against printed values, exact limits and pint."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from softmend.errors import InputError
from softmend.science.moisture.strain import (
    Slopes,
    free_strain,
    ring_stresses,
    slab_gap,
    slit_gap,
)
from tests.science.checks import expected

CHECKS = expected("softmend-mechanics-moisture")
UNITS = pint.UnitRegistry()
humidity = st.floats(0, 100)
RISING = Slopes((40.0, 60.0, 70.0), (0.02, 0.06, 0.07))


def test_slits_open_as_printed() -> None:
    CHECKS["slit_50_mm"].accept(float(slit_gap(0.01, 0.05)) * 1e3)
    CHECKS["slit_40_mm"].accept(float(slit_gap(0.002, 0.04)) * 1e3)
    assert float(slit_gap(-0.01, 0.05)) == -float(slit_gap(0.01, 0.05))


def test_an_uncracked_disc_is_stressed_as_printed() -> None:
    CHECKS["rim_hoop_mpa"].accept(float(ring_stresses(0.002, 8e9, 1.0)[0]) / 1e6)
    CHECKS["ring_radial_mpa"].accept(float(ring_stresses(-0.0015, 8e9, 0.5)[1]) / 1e6)
    at = CHECKS["hoop_zero"].value
    hoop = ring_stresses(0.002, 8e9, at)[0]
    assert abs(float(hoop)) < 8e9 * 0.001 * CHECKS["hoop_zero"].tolerance / at
    CHECKS["held_skin_mpa"].accept(8e9 / (1 - 0.3) * 10 * 0.02 / 100 / 1e6)


@given(st.floats(0.05, 0.95))
def test_a_disc_is_in_equilibrium(at: float) -> None:
    near = np.array([at - 1e-5, at, at + 1e-5])
    hoop, radial = ring_stresses(0.003, 1e10, near)
    slope = (radial[2] - radial[0]) / 2e-5
    assert at * slope + radial[1] - hoop[1] == pytest.approx(0, abs=1e-3 * 1e7)


def test_one_coefficient_is_a_product() -> None:
    found = free_strain(50, 40, Slopes((50.0,), (0.015,)))
    assert found == pytest.approx((-10 * 0.015 * UNITS.percent).to(UNITS.dimensionless).magnitude)


@given(st.floats(40, 70), st.floats(40, 70))
def test_a_changing_coefficient_is_integrated(before: float, after: float) -> None:
    truth, _ = integrate.quad(
        lambda rh: np.interp(rh, RISING.at_percent, RISING.per_percent) / 100, before, after,
        points=[60.0], limit=200,
    )  # fmt: skip
    assert free_strain(before, after, RISING) == pytest.approx(truth, abs=1e-9)


@given(humidity, humidity, humidity)
def test_strains_add_up_and_return(a: float, b: float, c: float) -> None:
    one = Slopes((50.0,), (0.03,))
    assert free_strain(a, b, one) == -free_strain(b, a, one)
    both = free_strain(a, b, one) + free_strain(b, c, one)
    assert both == pytest.approx(free_strain(a, c, one), abs=1e-12)


def test_the_volume_of_ivory_changes_three_times_as_fast_above_60_percent() -> None:
    # Quoted: 0.35 % of volume for 40 to 45 %RH, 1 % for 60 to 65 %RH.
    volume = Slopes((42.5, 62.5), (0.07, 0.2))
    found = free_strain(60, 62.5, volume) / free_strain(42.5, 45, volume)
    assert 2 < found < 3


def test_a_held_slab_opens_by_what_it_wanted_to_shrink() -> None:
    assert float(slab_gap(-0.002, 0.15)) == pytest.approx(0.0003)
    assert float(slab_gap(0.002, 0.15)) == pytest.approx(-0.0003)
    assert float(slit_gap(0.001, 0.1)) == pytest.approx(2 * math.pi * 1e-4)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: free_strain(50, 80, RISING),
            "A humidity lies outside the range for which the movement is known; got 50 to 80 %; "
            "allowed: 40 to 70 %; Give coefficients for that range, or a measured opening.",
        ),
        (
            lambda: Slopes((50.0, 40.0), (0.01, 0.02)),
            "The coefficients of movement do not fit their humidities; got (50.0, 40.0); allowed: "
            "one coefficient a humidity, humidities rising.",
        ),
        (lambda: slit_gap(0.1, -1.0), "A radius is negative; got -1.0; allowed: 0 m or more."),
        (lambda: slab_gap(0.1, 0.0), "A spacing of cracks is not above zero; got 0.0."),
        (
            lambda: ring_stresses(0.1, 1e9, 0.0),
            "A place lies outside the disc; allowed: above 0 to the outer radius.",
        ),
    ],
)
def test_what_is_out_of_range_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
