"""Cracking, peeling and flaking of a film against handbook values, limits and finite elements."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.film.energy import (
    CHANNEL_TABLE,
    PATTERN_FACTOR,
    Pattern,
    channel_factor,
    crack_intensities,
    plane_strain_modulus,
    released,
    safe_thickness,
    spall,
    stiffness_contrast,
)
from tests.science.checks import expected
from tests.science.film.finite_elements import channelling

CHECKS = expected("hutchinson1992")
FEM = expected("film-channelling")
UNITS = pint.UnitRegistry()
STRESS, THICKNESS, MODULUS = 10e6, 0.2e-3, 2e9
NAMES = {
    "surface": Pattern.SURFACE_CRACK,
    "channel": Pattern.CHANNEL,
    "spall": Pattern.SPALL,
    "peel_start": Pattern.PEEL_START,
    "peel": Pattern.PEEL,
}
positive = st.floats(1e-3, 1e3)


@pytest.mark.parametrize(("name", "pattern"), NAMES.items())
def test_energy_and_safe_thickness_of_the_printed_example(name: str, pattern: Pattern) -> None:
    factor = PATTERN_FACTOR[pattern]
    CHECKS[f"energy_{name}"].accept(float(released(factor, STRESS, THICKNESS, MODULUS)))
    found = float(safe_thickness(10.0, factor, STRESS, MODULUS))
    CHECKS[f"thickness_{name}"].accept(found * 1e3)


def test_the_factors_are_those_of_the_review() -> None:
    for pattern, name in (
        (Pattern.SURFACE_CRACK, "surface_crack"), (Pattern.CHANNEL, "channel"),
        (Pattern.INTO_THE_BODY, "into_the_body"), (Pattern.SPALL, "spall"),
        (Pattern.PEEL_START, "peel_start"), (Pattern.PEEL, "peel"),
    ):  # fmt: skip
        CHECKS[f"{name}_factor"].accept(PATTERN_FACTOR[pattern])


def test_the_flake_runs_where_nothing_turns_it() -> None:
    found = spall()
    CHECKS["spall_depth"].accept(found.depth_over_thickness)
    CHECKS["spall_depth_share"].accept(
        found.depth_over_thickness / (1 + found.depth_over_thickness)
    )
    CHECKS["spall_intensity"].accept(found.intensity)
    CHECKS["spall_z"].accept(found.factor)
    _, sliding = crack_intensities(STRESS, THICKNESS, found.depth_over_thickness * THICKNESS)
    assert float(sliding) == pytest.approx(0.0, abs=1e-6 * STRESS)


def test_a_crack_right_below_the_film_gives_up_what_peeling_does() -> None:
    opening, sliding = crack_intensities(STRESS, THICKNESS, 0.0)
    assert float(opening**2 + sliding**2) == pytest.approx(STRESS**2 * THICKNESS / 2)


@pytest.mark.parametrize("name", FEM)
def test_the_factors_for_a_mismatch_are_those_of_the_finite_elements(name: str) -> None:
    alpha = float(name.removeprefix("alpha_").replace("minus_", "-"))
    FEM[name].accept(float(channel_factor(alpha)))


def test_one_case_of_the_finite_elements_live() -> None:
    # An acrylic on ivory has alpha near -0.7.
    assert channelling(-0.667) == pytest.approx(float(channel_factor(-0.667)), rel=2e-3)


def test_the_elements_know_the_even_half_plane() -> None:
    # Tada, Paris and Irwin: half of 1.1215 squared times pi.
    assert channelling(0.0) == pytest.approx(1.1215**2 * np.pi / 2, rel=2e-3)


def test_a_coating_without_stiffness_spreads_its_crack_less_than_any_other() -> None:
    assert np.all(np.diff(CHANNEL_TABLE[:, 0]) > 0)
    assert np.all(np.diff(CHANNEL_TABLE[:, 1]) > 0)
    with pytest.raises(InputError) as refused:
        channel_factor(0.95)
    assert str(refused.value) == (
        "The coating is too much stiffer than what it lies on; got 0.95; allowed: alpha -1 to 0.9."
    )


@given(positive, positive, positive)
def test_a_coating_of_the_safe_thickness_gives_up_just_the_toughness(
    toughness: float, stress: float, film: float
) -> None:
    thickness = safe_thickness(toughness, 0.5, stress, film)
    assert float(released(0.5, stress, thickness, film)) == pytest.approx(toughness)


@given(positive, positive)
def test_the_contrast_is_odd_and_bounded(film: float, body: float) -> None:
    there, back = stiffness_contrast(film, body), stiffness_contrast(body, film)
    assert float(there) == pytest.approx(-float(back), abs=1e-12)
    assert -1 <= float(there) <= 1


def test_energy_by_pint() -> None:
    stress, thickness = UNITS.Quantity(10, "MPa"), UNITS.Quantity(0.2, "mm")
    energy = (0.343 * stress**2 * thickness / UNITS.Quantity(2, "GPa")).to("J/m^2")
    assert float(released(0.343, 10e6, 0.2e-3, 2e9)) == pytest.approx(energy.magnitude)


def test_without_tension_any_thickness_is_safe() -> None:
    assert float(safe_thickness(10.0, 0.5, 0.0, 2e9)) == np.inf
    assert float(released(0.5, 0.0, 1e-3, 2e9)) == 0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: released(0.5, -1e6, 1e-4, 2e9),
            "The coating presses instead of pulling; got -1e+06; allowed: a tension, 0 or more.",
        ),
        (
            lambda: released(0.5, 1e6, -1e-4, 2e9),
            "A thickness is negative; got -0.0001; allowed: 0 or more.",
        ),
        (
            lambda: plane_strain_modulus(0.0, 0.3),
            "A modulus is not above zero; got 0; allowed: above 0.",
        ),
        (
            lambda: plane_strain_modulus(1e9, [0.3, 0.5]),
            "A Poisson's ratio is impossible; got 0.5; allowed: above -1 and below 0.5.",
        ),
    ],
)
def test_what_is_no_coating_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
