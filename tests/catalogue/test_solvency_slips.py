"""A zero or a vanishing number in any field about solvents is answered or refused in words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from typing import Any

import pytest

from softmend import catalogue
from softmend.errors import InputError
from tests.catalogue.test_slips import changed, places

OWN = {"dispersion_sqrt_mpa": 16, "polar_sqrt_mpa": 9, "hydrogen_sqrt_mpa": 6,
       "molar_volume_cm3_per_mol": 90, "molar_mass_g_per_mol": 100, "density_g_per_ml": 0.9,
       "vapour_pressure_kpa": 3, "flash_degc": 10, "flammable_limit_percent": 1,
       "limit_8h_mg_per_m3": 100, "limit_15min_mg_per_m3": 200}  # fmt: skip
PARTS = [{"solvent": "x", "volume_percent": 50, "own": OWN},
         {"solvent": "acetone", "volume_percent": 50}]  # fmt: skip
COATING = {"name": "c", "dispersion_sqrt_mpa": 17, "polar_sqrt_mpa": 9, "hydrogen_sqrt_mpa": 5,
           "radius_sqrt_mpa": 8}  # fmt: skip
TESTS = [{"parts": ["heptane"], "coating": "none", "dwell_s": 10, "layer": 1},
         {"parts": {"acetone": 100}, "coating": "dissolves"}]  # fmt: skip
GOOD: dict[str, dict[str, Any]] = {
    "solvency.blend_position": {"parts": PARTS, "coating": COATING},
    "solvency.drift": {"parts": PARTS, "coating": COATING, "gone_percent": [0, 50]},
    "solvency.spot": {"tests": TESTS, "suspected": [{"name": "wax", "times": 2}],
                      "agents": [{"parts": PARTS}]},
    "solvency.next_swab": {"tests": TESTS, "agents": [{"parts": PARTS}], "object": "glass"},
    "solvency.blends": {
        "coating": COATING, "object": "glass",
        "shelf": [{"solvent": "x", "own": OWN}, "acetone", "ethanol"],
        "keep": [{"layer": "l", "coating": COATING, "ceiling_percent": 10}],
    },
    "exposure.air": {
        "parts": PARTS, "used_ml_per_h": 5, "work_minutes": 60, "room_volume_m3": 50,
        "air_changes_per_h": 3, "head_distance_mm": 300, "air_speed_m_per_min": 3,
        "captured_percent": 10, "stays_minutes": 10,
    },
    "exposure.mixture": {"vapours": [{"solvent": "x", "own": OWN, "air_ppm": 5},
                                     {"solvent": "acetone", "air_mg_per_m3": 5}]},
}  # fmt: skip


@pytest.mark.parametrize("name", list(GOOD))
@pytest.mark.parametrize("value", [0.0, 1e-300, 1e9])
def test_no_number_crashes(name: str, value: float) -> None:
    catalogue.run(name, GOOD[name])
    for place in places(GOOD[name]):
        given = changed(GOOD[name], place, value)
        assert "; " in refusal(name, given), place


def refusal(name: str, given: dict[str, Any]) -> str:
    """Return the words in which an input is refused, or that it is answered in plain JSON."""
    try:
        found = catalogue.run(name, given)
    except InputError as refused:
        return str(refused)
    return f"answered; {len(json.dumps(found, allow_nan=False))} characters"
