"""Toughness as energy, and the bond that keeps a crack, against recomputed values."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pint
import pytest

from softmend.errors import InputError
from softmend.science.toughness import DEFLECTION_SHARE, fracture_energy, stays_in_the_bond
from softmend.science.uncertain import Uncertain
from tests.science.checks import expected

CHECKS = expected("he1989")
exact = Uncertain.exact


@pytest.mark.parametrize(
    ("name", "toughness", "modulus"),
    [("ivory_low", 1.6e6, 12e9), ("ivory_high", 1.6e6, 8e9), ("degraded", 0.5e6, 3e9)],
)
def test_energies_and_the_limits_of_a_bond(name: str, toughness: float, modulus: float) -> None:
    energy = fracture_energy(exact(toughness), exact(modulus), exact(0.3)).typical
    CHECKS[name].accept(energy)
    limit = CHECKS[f"{name}_limit"]
    limit.accept(DEFLECTION_SHARE * energy)
    bonds = np.array([limit.value - 1, limit.value + 1])
    assert stays_in_the_bond(bonds, np.full(2, energy)).tolist() == [True, False]


def test_the_share_is_that_of_a_kink_at_a_right_angle() -> None:
    # Cotterell and Rice 1980: both intensities of a small kink at 90 degrees.
    opening = (3 * math.cos(math.pi / 4) + math.cos(3 * math.pi / 4)) / 4
    sliding = (math.sin(math.pi / 4) + math.sin(3 * math.pi / 4)) / 4
    CHECKS["kink_ratio"].accept(opening**2 + sliding**2)
    assert opening**2 + sliding**2 == pytest.approx(DEFLECTION_SHARE)


def test_log_normal_inputs_give_the_closed_form() -> None:
    found = fracture_energy(
        Uncertain.log_normal(1e6, 0.3), Uncertain.log_normal(8e9, 0.2), exact(0.3)
    )
    sigma = math.hypot(2 * math.sqrt(math.log1p(0.09)), math.sqrt(math.log1p(0.04)))
    assert found.typical == pytest.approx(1e12 * 0.91 / 8e9, rel=0.01)
    assert found.band.high == pytest.approx(found.typical * math.exp(1.6449 * sigma), rel=0.03)


def test_units_by_pint() -> None:
    units = pint.UnitRegistry()
    root = units.Quantity(1.6, "MPa") * units.Quantity(1, "m") ** 0.5
    energy = (root**2 * 0.91 / units.Quantity(8, "GPa")).to("J/m^2").magnitude
    found = fracture_energy(exact(1.6e6), exact(8e9), exact(0.3)).typical
    assert found == pytest.approx(energy)


def test_what_may_be_zero_is_refused() -> None:
    with pytest.raises(InputError, match="A toughness or a modulus may be zero or less; got -"):
        fracture_energy(Uncertain.normal(1e6, 1e6), exact(8e9), exact(0.3))
