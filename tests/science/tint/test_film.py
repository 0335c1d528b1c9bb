"""Films over grounds: recomputed values, a differential equation, limits, identities."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.tint.film import (
    Surface,
    absorption_ratio,
    film,
    film_slopes,
    hiding,
    seen_from_outside,
    surface_of_index,
    under_the_surface,
)
from tests.science.checks import expected
from tools.oracles import tint as oracle

CHECKS = expected("softmend-colour")
ORACLE = expected("softmend-tint-oracle")
TABLE = [
    (0.1, 1, 1, 0.80), (1, 2, 0.5, 0.80), (0.5, 0.05, 1, 0.90), (2, 0.2, 0.3, 0.85),
    (0.02, 3, 1, 0.00), (0.02, 3, 1, 0.85), (0.001, 5, 2, 0.10), (0.5, 1, 4, 0.85),
]  # fmt: skip
SHARES = st.floats(0, 1)
DEPTHS = st.one_of(st.just(0.0), st.floats(1e-12, 1e3))


@pytest.mark.parametrize("row", range(len(TABLE)))
def test_the_table_of_films_is_met(row: int) -> None:
    k, s, x, ground = TABLE[row]
    CHECKS[f"film_{row}"].accept(float(film(k * x, s * x, ground)))


@pytest.mark.parametrize("row", range(len(oracle.FILMS)))
def test_the_differential_equation_gives_the_same(row: int) -> None:
    k, s, x, ground = oracle.FILMS[row]
    ORACLE[f"film_{row}"].accept(float(film(k * x, s * x, ground)))


def test_the_differential_equation_solved_now_gives_the_same() -> None:
    assert float(film(0.3, 1.1, 0.75)) == pytest.approx(oracle.film(0.3, 1.1, 1.0, 0.75), abs=1e-9)


def test_thick_films_hide_and_a_ground_of_the_same_reflectance_changes_nothing() -> None:
    CHECKS["hiding_half"].accept(float(hiding(0.5)))
    CHECKS["hiding_fortieth"].accept(float(hiding(1 / 40)))
    assert float(hiding(0)) == 1
    assert float(hiding(1e6)) * 2e6 == pytest.approx(1, rel=1e-5)
    for ground in (0.0, 0.5, 1.0):
        assert float(film(500, 1000, ground)) == pytest.approx(float(hiding(0.5)), abs=1e-12)
    own = float(hiding(0.5))
    assert float(film(0.05, 0.1, own)) == pytest.approx(own, abs=1e-12)
    assert float(absorption_ratio(own)) == pytest.approx(0.5, abs=1e-12)


def test_only_scattering_and_only_absorbing_films_follow_their_own_laws() -> None:
    CHECKS["no_absorption"].accept(float(film(0, 1.4, 0.3)))
    CHECKS["no_scattering"].accept(float(film(0.5, 0, 0.9)))


def test_two_layers_are_one_of_their_sum_and_the_stokes_form_agrees() -> None:
    whole = float(film(0.3, 1.2, 0.7))
    CHECKS["layered"].accept(whole)
    CHECKS["layered"].accept(float(film(0.2, 0.8, film(0.1, 0.4, 0.7))))
    a = 1 + 0.3 / 1.2
    black = float(film(0.3, 1.2, 0.0))
    through_squared = (a - black) ** 2 - (a * a - 1)
    assert black + through_squared * 0.7 / (1 - black * 0.7) == pytest.approx(whole, abs=1e-12)


@settings(max_examples=200, deadline=None)
@given(DEPTHS, DEPTHS, SHARES, st.floats(1, 1.5))
def test_no_film_is_undefined_and_light_goes_the_right_way(
    k: float, s: float, ground: float, more: float
) -> None:
    found = float(film(k, s, ground))
    assert 0 <= found <= 1 + 1e-9
    assert float(film(k * more, s, ground)) <= found + 1e-9
    assert float(film(k, s * more, ground)) >= found - 1e-9
    assert float(film(k, s, min(1.0, ground * more))) >= found - 1e-9


@settings(max_examples=100, deadline=None)
@given(st.floats(1e-4, 20), st.floats(1e-4, 20), SHARES)
def test_the_slopes_are_those_of_the_film(k: float, s: float, ground: float) -> None:
    value, by_k, by_s = (float(v) for v in film_slopes(*map(np.array, (k, s, ground))))
    assert value == pytest.approx(float(film(k, s, ground)), abs=1e-12)
    step = 1e-6
    rise_k = (float(film(k + step, s, ground)) - value) / step
    rise_s = (float(film(k, s + step, ground)) - value) / step
    assert by_k == pytest.approx(rise_k, abs=3e-4 * max(1, abs(by_k)))
    assert by_s == pytest.approx(rise_s, abs=3e-4 * max(1, abs(by_s)))


@pytest.mark.parametrize("index", ["1.45", "1.48", "1.50", "1.55"])
def test_the_surface_of_a_binder_follows_fresnel(index: str) -> None:
    found = surface_of_index(float(index))
    CHECKS[f"index_{index}_k1"].accept(found.k1)
    CHECKS[f"index_{index}_k2"].accept(found.k2)


@pytest.mark.parametrize(("k1", "k2"), [(0.04, 0.6), (0.03, 0.65)])
def test_the_surface_correction_goes_both_ways(k1: float, k2: float) -> None:
    surface = Surface(k1, k2)
    for name, check in CHECKS.items():
        if name.startswith(f"saunderson_{k1}_"):
            check.accept(float(seen_from_outside(float(name.split("_")[2]), surface)))
    CHECKS[f"saunderson_back_{k1}"].accept(float(under_the_surface(0.5, surface)))
    inside = np.linspace(0, 1, 11)
    assert under_the_surface(seen_from_outside(inside, surface), surface) == pytest.approx(inside)


def test_without_the_specular_part_a_dark_film_reads_nothing() -> None:
    surface = Surface(0.04, 0.6, seen=0.0)
    assert float(seen_from_outside(0.0, surface)) == 0
    assert float(under_the_surface(0.0, surface)) == 0


@pytest.mark.parametrize("bad", [-0.1, 1.2, float("nan")])
def test_a_reflectance_that_cannot_be_is_refused_in_words(bad: float) -> None:
    with pytest.raises(InputError, match=r"reflectance of the ground is out of range.*0 to 1"):
        film(0.1, 0.1, bad)
    with pytest.raises(InputError, match=r"allowed: 0 to 0\.2"):
        Surface(0.5, 0.6)
    with pytest.raises(InputError, match="refractive index"):
        surface_of_index(3.0)
    with pytest.raises(InputError, match="reflects nothing"):
        absorption_ratio(0.0)
