"""Pressure under saddles, V blocks and flat pads."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.contact import (
    flat_pad_pressure,
    foundation_contact,
    saddle_pressure,
    v_block_pressure,
)
from tests.science.checks import expected

CHECKS = expected("softmend-solids")
BEDDING = 0.15e6 / 0.025


def test_a_cylinder_on_foam_presses_as_the_exact_one() -> None:
    CHECKS["cylinder_on_foam"].accept(flat_pad_pressure(50, 0.2, 0.05, BEDDING))
    x = np.arange(-0.03, 0.03, 0.001) + 0.0005
    y = np.arange(0, 0.2, 0.005) + 0.0025
    grid = np.stack(np.meshgrid(x, y), -1).reshape(-1, 2)
    gaps = 0.05 - np.sqrt(0.05**2 - grid[:, 0] ** 2)
    pads = np.zeros(len(grid), dtype=int)
    found = foundation_contact(gaps, grid, pads, 5e-6, BEDDING, 50.0, np.array([0, 0.1]))
    CHECKS["cylinder_on_foam"].accept(found.peak)
    assert found.holds
    assert found.forces.sum() == pytest.approx(50, rel=1e-3)


def test_a_saddle_and_a_v_block_carry_the_load() -> None:
    found = saddle_pressure(40, 0.06, 0.05, np.pi / 4)
    angle = np.linspace(-np.pi / 4, np.pi / 4, 4001)
    lifted = np.trapezoid(found.peak * np.cos(angle) ** 2, angle) * 0.05 * 0.06
    assert lifted == pytest.approx(40, rel=1e-5)
    assert found.even * 2 * 0.05 * 0.06 * np.sin(np.pi / 4) == pytest.approx(40)
    flank = 50 / (2 * np.sin(np.pi / 4))
    wanted = flat_pad_pressure(flank, 0.2, 0.05, BEDDING)
    assert v_block_pressure(50, 0.2, 0.05, BEDDING, np.pi / 4) == pytest.approx(wanted)


def test_what_is_out_of_range_is_refused() -> None:
    with pytest.raises(InputError, match="A support needs a force"):
        flat_pad_pressure(-1, 0.2, 0.05, BEDDING)
    with pytest.raises(InputError, match="half angle"):
        saddle_pressure(1, 0.2, 0.05, 2.0)
    with pytest.raises(InputError, match="opening of the V"):
        v_block_pressure(1, 0.2, 0.05, BEDDING, 0.01)
