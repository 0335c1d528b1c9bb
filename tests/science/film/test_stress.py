"""Drying tension and the bent strip against recomputed values, limits and exact plates."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.film.energy import released
from softmend.science.film.stress import (
    drying_strain,
    restrained_stress,
    solvent_share_at_setting,
    stored_energy,
    stress_from_bending,
)
from tests.science.checks import expected

CROLL = expected("croll1979")
STONEY = expected("stoney1909")
TOLUENE = 117 - 273.15


def test_the_printed_chain_from_solvent_to_tension() -> None:
    share = solvent_share_at_setting(20, 40, TOLUENE, 1150, 867)
    CROLL["solvent_volume_share"].accept(share)
    mass = share * 867 / (share * 867 + (1 - share) * 1150)
    CROLL["solvent_mass_share"].accept(mass)
    strain = float(drying_strain(share))
    CROLL["drying_strain"].accept(strain)
    CROLL["drying_stress"].accept(float(restrained_stress(strain, 1.5e9, 0.38)))


def test_stored_energy_is_larger_than_that_of_a_peeling_edge_by_the_stated_factor() -> None:
    whole = float(stored_energy(0.001, 100e-6, 1.5e9, 0.35))
    CROLL["stored_energy"].accept(whole)
    tension = restrained_stress(0.001, 1.5e9, 0.35)
    edge = float(released(0.5, tension, 100e-6, 1.5e9 / (1 - 0.35**2)))
    assert whole / edge == pytest.approx(2 / (1 + 0.35))


def test_a_resin_that_is_soft_when_dry_has_no_drying_tension() -> None:
    assert solvent_share_at_setting(20, 5, TOLUENE, 1150, 867) == 0.0


@given(st.floats(0, 0.9), st.floats(0, 1))
def test_drying_strain_falls_as_more_solvent_stays(wet: float, part: float) -> None:
    found = float(drying_strain(wet, wet * part))
    assert 0 <= found <= wet / 3 + 1e-12
    if part == 1:
        assert found == pytest.approx(0, abs=1e-12)


def test_the_bent_plate_and_strip() -> None:
    STONEY["plate"].accept(float(stress_from_bending(2.0, 50e-6, 1e-3, 10e9, 0.3)))
    STONEY["strip"].accept(float(stress_from_bending(2.0, 50e-6, 1e-3, 10e9, 0.0)))


@pytest.mark.parametrize("ratio", [0.05, 0.01])
def test_the_thin_film_rule_against_the_exact_two_layer_strip(ratio: float) -> None:
    """Timoshenko's two-layer strip, free to bend: the curvature of a film's strain mismatch."""
    film, strip, body, strain = 2e9, 10e9, 1e-3, 1e-3
    m, n = ratio, film / strip
    total = body * (1 + m)
    curve = 6 * strain * (1 + m) ** 2 / total
    curve /= 3 * (1 + m) ** 2 + (1 + m * n) * (m**2 + 1 / (m * n))
    found = float(stress_from_bending(1 / curve, ratio * body, body, strip, 0.0))
    # The stress in the film if the strip could not give at all.
    assert found == pytest.approx(film * strain, rel=2.5 * ratio)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: stress_from_bending(2.0, 1e-4, 1e-3, 1e9, 0.3),
            "The film is not thin beside the plate; got 0.0001 m on 0.001 m; allowed: above 0, at "
            "most a twentieth of the plate.",
        ),
        (
            lambda: stress_from_bending(np.array([2.0, 0.0]), 5e-5, 1e-3, 1e9, 0.3),
            "A radius is not above zero; got 0; allowed: above 0.",
        ),
        (
            lambda: drying_strain(0.1, 0.2),
            "The shares of solvent are impossible; got 0.1 at setting, 0.2 left; allowed: 0 or "
            "more, below 1, and no more left than there was.",
        ),
        (
            lambda: solvent_share_at_setting(20, 40, 25, 1150, 867),
            "The solvent does not keep the film soft; got 25 degC; allowed: a glass transition "
            "below the room's 20 degC.",
        ),
        (
            lambda: solvent_share_at_setting(20, 40, TOLUENE, 0, 867),
            "A density is not above zero; got (0, 867).",
        ),
    ],
)
def test_what_cannot_be_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
