"""Bench tests against finite elements, scipy, closed forms and made-up specimens."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from softmend.errors import InputError
from softmend.science.bench_test import (
    SURROGATE_CV,
    USUAL_CV,
    Bar,
    bending,
    bending_modulus,
    pull_off,
    sag_slope,
    shrinkage,
)
from softmend.science.uncertain import Uncertain
from tests.science.cantilever import middle_sag

exact = Uncertain.exact
UNITS = pint.UnitRegistry()
BAR = Bar(exact(0.05), exact(0.01), exact(0.005))


@pytest.mark.parametrize("heights", [5, 10, 20])
def test_the_modulus_of_a_stubby_bar_against_finite_elements(heights: int) -> None:
    height, force, modulus = 0.01, 100.0, 1e9
    sag = middle_sag(height, heights * height, force, modulus)
    found = float(bending_modulus(force / sag, heights * height, 1.0, height, 0.3))
    assert found == pytest.approx(modulus, rel=0.01)
    # Without the shear the 10 mm bar of 50 mm span would read a tenth too soft.
    plain = force / sag * (heights * height) ** 3 / (4 * height**3)
    assert plain == pytest.approx(modulus * (1 - 2.6 / heights**2), rel=0.02)


def test_a_slim_bar_is_the_plain_formula_by_pint() -> None:
    slope = UNITS.Quantity(2, "N/mm")
    span, breadth, height = (UNITS.Quantity(x, "mm") for x in (2000, 10, 5))
    plain = (slope * span**3 / (4 * breadth * height**3)).to("Pa").magnitude
    assert float(bending_modulus(2000, 2.0, 0.01, 0.005, 0.3)) == pytest.approx(plain, rel=1e-4)


@given(
    st.lists(st.floats(-1e-5, 1e-5), min_size=3, max_size=12),
    st.floats(100, 1e5),
)
def test_the_slope_is_that_of_another_program(noise: list[float], stiff: float) -> None:
    forces = np.arange(len(noise), dtype=float)
    sags = forces / stiff + np.asarray(noise) / stiff
    line = stats.linregress(forces, sags)
    slope, sd = sag_slope(forces, sags)
    assert slope == pytest.approx(1 / line.slope)
    assert sd == pytest.approx(slope * line.stderr / line.slope, abs=1e-6 * slope)


def test_thickness_counts_three_times() -> None:
    thick = Bar(exact(0.05), exact(0.01), Uncertain.normal(0.005, 0.005 * 0.05))
    readings = ([0.0, 1.0, 2.0], [0.0, 5e-5, 10e-5])
    sure = bending([(BAR, *readings)], exact(0.3), usual_cv=0.01).value
    unsure = bending([(thick, *readings)], exact(0.3), usual_cv=0.01).value
    assert unsure.parameters[1] == pytest.approx(math.hypot(0.15, sure.parameters[1]), rel=0.05)


def test_one_specimen_scatters_as_such_materials_do_and_twenty_as_they_did() -> None:
    rng = np.random.default_rng(1)
    moduli = 500e6 * np.exp(0.1 * rng.normal(size=20))
    bars = [(BAR, [0.0, 1.0, 2.0], [0.0, s, 2 * s]) for s in 5.14e8 / moduli * 5e-5]
    one = bending(bars[:1], exact(0.3))
    many = bending(bars, exact(0.3))
    assert one.measured_cv is None
    assert one.value.parameters[1] > USUAL_CV
    spread = float(np.std(np.log(moduli), ddof=1))
    assert many.measured_cv == pytest.approx(spread, rel=0.01)
    assert spread < many.value.parameters[1] < 0.5 * USUAL_CV
    assert many.value.typical == pytest.approx(500e6, rel=0.05)


def test_the_band_holds_the_next_specimen_nine_times_in_ten() -> None:
    rng = np.random.default_rng(2)
    inside = 0
    for _ in range(400):
        strengths = 2e6 * np.exp(0.35 * rng.normal(size=5))
        forces = [exact(s * math.pi / 4 * 0.02**2) for s in strengths[:4]]
        band = pull_off(forces, exact(0.02), [True] * 4).value.band
        inside += band.low <= strengths[4] <= band.high
    assert 0.87 <= inside / 400 <= 0.97


def test_shrinkage_along_a_line_and_in_volume() -> None:
    line, volume = shrinkage([(exact(0.06), exact(0.054))])
    assert line.value.typical == pytest.approx(0.1)
    wet, dry = UNITS.Quantity(6, "cm") ** 3, UNITS.Quantity(54, "mm") ** 3
    assert volume.value.typical == pytest.approx((1 - dry / wet).to("").magnitude)


@given(st.floats(0.5, 0.99))
def test_volume_shrinks_at_most_three_times_as_far(left: float) -> None:
    line, volume = shrinkage([(exact(0.06), exact(0.06 * left))])
    assert line.value.typical < volume.value.typical <= 3 * line.value.typical


def test_a_stud_that_came_off_elsewhere_is_a_lower_bound() -> None:
    forces = [exact(f) for f in (400.0, 600.0, 900.0)]
    seen = pull_off(forces, exact(0.02), [True, True, True])
    none = pull_off(forces, exact(0.02), [False, False, False])
    mixed = pull_off(forces, exact(0.02), [True, True, False])
    weak = pull_off(forces, exact(0.02), [False, True, True])
    area = math.pi / 4 * 0.02**2
    assert none.at_least
    assert none.value.typical == pytest.approx(900 / area)
    assert not seen.at_least
    assert mixed.value.typical == pytest.approx(seen.value.typical)
    # A weak stud that came off in its own glue says nothing against the bond.
    assert weak.value.typical == pytest.approx(math.sqrt(600 * 900) / area)


def test_a_stand_in_widens_the_band() -> None:
    plain = pull_off([exact(600.0)], exact(0.02), [True]).value
    wider = pull_off([exact(600.0)], exact(0.02), [True], SURROGATE_CV).value
    assert wider.typical == plain.typical
    assert wider.parameters[1] > plain.parameters[1]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: bending_modulus(1e4, 0.03, 0.01, 0.01, 0.3),
            "The bar is too stubby to bend; got a span of 3 heights; allowed: a span of 4 heights "
            "or more; Move the supports apart, or make a thinner bar.",
        ),
        (
            lambda: bending_modulus(0.0, 0.05, 0.01, 0.005, 0.3),
            "A bar has no stiffness or no size; allowed: above 0.",
        ),
        (
            lambda: bending_modulus(1e4, 0.05, 0.01, 0.005, 0.7),
            "A Poisson's ratio is impossible; allowed: 0 to 0.5.",
        ),
        (
            lambda: sag_slope([1.0], [1e-4]),
            "The readings of a bar are too few; got 1 forces, 1 sags; allowed: 2 or more pairs at "
            "different forces.",
        ),
        (
            lambda: sag_slope([0.0, 1.0], [1e-4, 0.0]),
            "The bar rises under more force; got -0.0001 m/N; allowed: more sag.",
        ),
        (
            lambda: bending([(BAR, [0.0, 1.0], [0.0, 0.006])], exact(0.3)),
            "The bar sags too far for the formula; got 6 mm; allowed: a tenth of the span at most.",
        ),
        (
            lambda: bending([(BAR, [0.0, 1.0], [0.0, 0.0])], exact(0.3)),
            "The bar does not sag; got 0 mm; allowed: a sag that can be read.",
        ),
        (
            lambda: bending([], exact(0.3)),
            "A specimen may give no value above zero; got no specimen; allowed: one specimen or "
            "more, each above 0.",
        ),
        (
            lambda: shrinkage([(exact(0.06), exact(0.061))]),
            "A bar did not shrink by more than its lengths are uncertain; got -1.67%; allowed: a "
            "dry length below the wet one; Use a longer bar, or measure both ends with a gauge.",
        ),
        (
            lambda: pull_off([exact(1.0)], exact(0.02), []),
            "Each stud needs a force and a place where it came off; got 1 forces, 0 places; "
            "allowed: one of each, at least one stud.",
        ),
        (
            lambda: pull_off([exact(-1.0)], exact(0.02), [True]),
            "The force at stud 1 may be out of range; got -1 N; allowed: 1e-06 to 1e+07 N.",
        ),
    ],
)
def test_what_cannot_be_read_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
