"""The colour rendering index of lamps: the table, an open library, lamps that have none."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend import tables
from softmend.errors import InputError
from softmend.science.tint.colorimetry import EVERY_NM, interpolation
from softmend.science.tint.rendering import FURTHEST, Rendering, colour_rendering
from softmend.science.uncertain import Array
from tests.science.checks import expected
from tests.science.tint import invented
from tests.science.tint.library import colour

CHECKS = expected("softmend-colour")
LAMPS = [name for name, unit in tables.table("lamps").units.items() if unit == "relative"]
ROWS = tables.table("colour_rendering").rows
PARTS = interpolation([row["wavelength_nm"] for row in ROWS], EVERY_NM) @ np.array(
    [[row[name] for name in (*(f"TCS0{n}" for n in range(1, 9)), "S0", "S1", "S2")] for row in ROWS]
)


def rendering(power: Array) -> Rendering:
    return colour_rendering(power, invented.observer(2), PARTS[:, :8], PARTS[:, 8:])


@pytest.mark.parametrize("name", [one for one in LAMPS if f"ra_{one}" in CHECKS])
def test_the_index_of_every_lamp_is_the_table(name: str) -> None:
    CHECKS[f"ra_{name}"].accept(rendering(invented.power_of(name)).index)


@pytest.mark.parametrize("name", LAMPS)
def test_the_index_agrees_with_an_open_library(name: str) -> None:
    power = invented.power_of(name)
    theirs = colour.colour_rendering_index(colour.SpectralDistribution(power, EVERY_NM))
    assert rendering(power).index == pytest.approx(float(theirs), abs=0.03)


def test_more_power_shows_colours_no_better() -> None:
    power = invented.power_of("LED-B3")
    assert rendering(7 * power).index == pytest.approx(rendering(power).index)


def test_a_coloured_lamp_has_no_index_and_a_tinted_one_a_weak_one() -> None:
    green = np.exp(-(((EVERY_NM - 530) / 15) ** 2))
    assert rendering(green).index is None
    day = invented.power_of("D65")
    tinted = rendering(day + 40 * np.exp(-(((EVERY_NM - 545) / 20) ** 2)))
    assert tinted.index is not None
    assert tinted.away > FURTHEST > rendering(day).away


def test_samples_that_do_not_stand_at_every_nm_are_refused() -> None:
    with pytest.raises(InputError, match="do not stand at every nm; got"):
        colour_rendering(invented.power_of("A"), invented.observer(2), PARTS[:, :7], PARTS[:, 8:])
