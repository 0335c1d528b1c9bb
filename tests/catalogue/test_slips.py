"""A zero or a vanishing number in any field is answered or refused in words, never a crash."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from softmend import catalogue
from softmend.errors import InputError

PATINA = {"name": "patina", "thickness_um": 50, "modulus_gpa": 2, "poisson": 0.3,
          "adhesion_j_per_m2": 5}  # fmt: skip
GOOD: dict[str, dict[str, Any]] = {
    "film.explain": {
        "coating_thickness_um": 60, "coating_modulus_gpa": 2, "coating_poisson": 0.3,
        "coating_stress_mpa": 5, "coating_toughness_j_per_m2": 20, "adhesion_j_per_m2": 10,
        "stretch_percent": 0.1, "lasting_share": 0.3, "layers": [PATINA],
        "body": {"modulus_gpa": 5, "poisson": 0.3, "toughness_j_per_m2": 100},
    },
    "join.holds": {
        "breadth_mm": 20, "height_mm": 30, "bonded_share": 0.9, "mass_g": 300, "arm_mm": 100,
        "hang_degrees": 10, "handling": 2, "bond_strength_mpa": 2, "glass_transition_degc": 40,
        "glue_line_mm": 0.1, "lasting_share": 0.3, "warmest_degc": 26, "object_strength_mpa": 6,
    },
    "cycles.rainflow": {
        "history_percent": [1, 2, 1, 5, 3], "quantity": "moisture of the object",
        "record_days": 200, "noise_percent": 0.1, "fill_strain_percent": 0.5,
        "follows_percent": 1, "exponent": 5,
    },
    "bench.bending": {
        "bars": [{"span_mm": 50, "breadth_mm": 10, "height_mm": 5, "readings": [
            {"mass_g": 0, "sag_mm": 0}, {"mass_g": 100, "sag_mm": 0.5}]}],
        "poisson": 0.3, "usual_scatter": 0.3,
    },
    "bench.shrinkage": {"bars": [{"wet_mm": 60, "dry_mm": 55}], "usual_scatter": 0.3},
    "bench.pull_off": {
        "studs": [{"force_n": 500, "came_off": "at the bond"}], "diameter_mm": 20,
        "made_on": "a stand-in", "usual_scatter": 0.3,
    },
}  # fmt: skip


def places(given: Any, above: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield where every number of an input stands."""
    if isinstance(given, dict | list):
        pairs = given.items() if isinstance(given, dict) else enumerate(given)
        for name, value in pairs:
            yield from places(value, (*above, name))
    elif isinstance(given, int | float):
        yield above


def changed(given: Any, place: tuple[Any, ...], value: float) -> Any:
    copy = json.loads(json.dumps(given))
    holder = copy
    for name in place[:-1]:
        holder = holder[name]
    holder[place[-1]] = value
    return copy


def answer_or_refusal(name: str, given: dict[str, Any]) -> dict[str, Any] | str:
    try:
        return catalogue.run(name, given)
    except InputError as refused:
        return str(refused)


@pytest.mark.parametrize("name", GOOD)
def test_the_good_input_is_answered(name: str) -> None:
    assert catalogue.run(name, GOOD[name])["answer"] == "answer"


@pytest.mark.parametrize("value", [0.0, -1.0, 1e-300, 1e9])
@pytest.mark.parametrize(
    ("name", "place"), [(name, place) for name, given in GOOD.items() for place in places(given)]
)
def test_a_slip_is_answered_or_refused(name: str, place: tuple[Any, ...], value: float) -> None:
    found = answer_or_refusal(name, changed(GOOD[name], place, value))
    # Not a number and infinity are no answers, and are no JSON either.
    assert json.dumps(found, allow_nan=False)
