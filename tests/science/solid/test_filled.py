"""Planned fills: mass and centre by the lever rule, both ends of every range, the void's middle."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from softmend import catalogue
from softmend.errors import InputError
from softmend.science.solid.filled import filled_mass
from softmend.science.solid.mass import Filling
from softmend.science.solid.void import Mouth, void_volume
from softmend.science.uncertain import Band
from softmend.tables.materials import material_value
from tests.science.solid.bodies import path, turned

EXACT = Band(1.0, 1.0, 1.0)


def test_a_cube_made_whole_again_weighs_and_balances_as_a_whole_cube() -> None:
    # A cube of side 2 m and 1 kg/m3 without one eighth: centre by the lever rule at 1/14 off.
    eighth = Filling(EXACT, EXACT, np.array([0.5, 0.5, 0.5]))
    rest = np.full(3, -0.5 / 7)
    told = filled_mass(EXACT.scaled(7), rest, 0.0, [eighth])
    assert told.mass.typical == pytest.approx(8)
    assert told.centre == pytest.approx([0, 0, 0], abs=1e-12)
    assert told.shift == pytest.approx(np.sqrt(3) * 0.5 / 7)
    assert told.spread == pytest.approx(0, abs=1e-12)


def test_ranges_of_fill_and_object_spread_the_centre() -> None:
    fill = Filling(Band(0.5, 1.0, 1.5), EXACT, np.array([1.0, 0.0, 0.0]))
    told = filled_mass(Band(9, 10, 11), [0, 0, 0], 0.011, [fill])
    assert (told.mass.low, told.mass.high) == (9.5, 12.5)
    likeliest = 1 / 11
    assert told.centre[0] == pytest.approx(likeliest)
    furthest = max(abs(1.5 / 10.5 - likeliest), abs(0.5 / 11.5 - likeliest))
    assert told.spread == pytest.approx(0.011 * 10 / 11 + furthest)


def test_the_middle_of_a_round_socket_lies_at_half_its_depth() -> None:
    corners = [(0, 0), (60, 0), (60, 50), (10, 50), (10, 35), (0, 35)]
    block = turned(path([(1e-3 * r, 1e-3 * z) for r, z in corners], 2.5e-3), 72)
    turn = np.arange(8) * np.pi / 4
    rim = [(0.0103 * np.cos(t), 0.0103 * np.sin(t), 0.05) for t in turn]
    void = void_volume(block, rim, [0.0, 0.0, 0.035], Mouth.HOLE)
    assert void.middle == pytest.approx([0, 0, 0.0425], abs=1e-4)


def test_the_catalogue_takes_a_fill_by_its_material_and_says_what_is_missing() -> None:
    fill: dict[str, Any] = {
        "volume_ml": 2,
        "material": "tissue or pulp + PVAc dispersion",
        "at_mm": [100, 0, 0],
    }
    asked = {"mass_g": 198, "centre_mm": [0, 0, 0], "fills": [fill]}
    told = catalogue.run("solid.filled_mass", asked)
    density = material_value(fill["material"], "density")
    assert density is not None
    assert told["added_g"]["typical"] == pytest.approx(2 * density.typical / 1000)
    assert told["mass_after_g"]["typical"] == pytest.approx(198 + told["added_g"]["typical"])
    assert told["working"][-1]["name"] == "fill: density"
    with pytest.raises(InputError, match="density of fill is not known"):
        catalogue.run("solid.filled_mass", {**asked, "fills": [{**fill, "material": None}]})
    with pytest.raises(InputError, match="an object with a mass"):
        filled_mass(Band(0, 1, 2), [0, 0, 0], 0.0, [])
