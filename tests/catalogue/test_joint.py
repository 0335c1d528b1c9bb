"""Filled cracks through the catalogue: case W1 in bench units, and when nothing can be said."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend import catalogue
from softmend.errors import InputError


def log_normal(median: float, cv: float) -> dict:
    return {"value": {"family": "log_normal", "median": median, "cv": cv}, "kind": "estimated"}


CRACK = {
    "body": "cylinder",
    "radius_mm": 50,
    "depth_mm": log_normal(20, 0.1),
    "width_mm": log_normal(2, 0.15),
    "section": "parallel, bottom bonded",
    "known_how": "gauge",
}
IVORY = {
    "material": "elephant ivory",
    "preservation": "sound",
    "modulus_gpa": log_normal(8, 0.25),
    "poisson": 0.3,
    "relaxation": log_normal(0.55, 0.35),
    "strength_mpa": log_normal(30, 0.35),
    "toughness_mpa_m05": log_normal(1.6, 0.35),
}
POLYESTER = {
    "name": "polyester",
    "modulus_gpa": log_normal(3.5, 0.15),
    "poisson": 0.36,
    "strength_mpa": log_normal(58.6, 0.2),
    "bond_energy_j_per_m2": log_normal(200, 0.8),
    "density_g_per_ml": 1.22,
    "solids_percent": 100,
    "liquid": "none",
    "reversible": "not in practice",
    "hazards": ["styrene"],
}
PULP = {
    "name": "pulp and EVA",
    "modulus_gpa": log_normal(0.04, 0.8),
    "poisson": 0.2,
    "strength_mpa": log_normal(1.5, 0.6),
    "elongation_percent": log_normal(15, 0.6),
    "bond_energy_j_per_m2": log_normal(50, 0.8),
    "density_g_per_ml": 0.55,
    "solids_percent": 35,
    "liquid": "water",
    "layer_mm": 5,
    "layer_drying_days": 2,
    "reversible": "easily",
}
MOVES = {"mismatch_percent": log_normal(0.015, 0.6)}
YEAR = {"fall_percent": 10}
JOINT = {"crack": CRACK, "matter": IVORY, "fill": PULP, "movement": MOVES, "climate": YEAR}


def test_w1_shares_its_load_as_the_science_does() -> None:
    exact = {
        "crack": {**CRACK, "depth_mm": 20, "width_mm": 2},
        "matter": {**IVORY, "modulus_gpa": 8, "relaxation": 1},
        "fill": {**PULP, "modulus_gpa": 0.04},
        "movement": {"mismatch_percent": 0.015},
        "climate": YEAR,
    }
    found = catalogue.run("joint.load_sharing", exact)
    assert found["used"] == "modelled"
    assert found["traction_mpa"]["typical"] == pytest.approx(1.24, abs=0.01)
    assert found["tip_mpa_m05"]["typical"] == pytest.approx(1.47, abs=0.01)
    assert found["open_tip_mpa_m05"] == pytest.approx(1.92, abs=0.01)
    assert found["stiffness_ratio"]["typical"] == pytest.approx(0.31, abs=0.01)
    assert found["hand_text"] == "like 253 kg pulling on each 10 cm of crack"
    assert found["profile"][0]["opening_mm"] > found["profile"][-1]["opening_mm"]


def test_a_traction_and_a_tip_always_have_a_band() -> None:
    found = catalogue.run("joint.load_sharing", JOINT)
    for name in ("traction_mpa", "tip_mpa_m05", "energy_j_per_m2", "free_opening_mm"):
        assert found[name]["low"] < found[name]["typical"] < found[name]["high"]


def test_a_measured_opening_overrides_the_strains() -> None:
    moves = {**MOVES, "measured_mm": 0.0124}
    found = catalogue.run("joint.first_to_give", {**JOINT, "movement": moves})
    assert found["used"] == "measured"
    assert (
        "The measured opening was used, not the free strains given beside it." in found["warnings"]
    )
    wide = catalogue.run("joint.first_to_give", JOINT)
    assert found["traction_mpa"]["high"] - found["traction_mpa"]["low"] < (
        wide["traction_mpa"]["high"] - wide["traction_mpa"]["low"]
    )
    assert wide["measure_next"][0] == "movement of the crack with humidity"
    assert "movement of the crack with humidity" not in found["measure_next"]


def test_chances_and_the_sentence() -> None:
    found = catalogue.run("joint.first_to_give", JOINT, seed=3)
    assert [part["part"] for part in found["parts"]] == ["fill", "bond", "lips", "tip"]
    firsts = sum(part["first_mean_percent"] for part in found["parts"])
    assert firsts == pytest.approx(found["anything_mean_percent"])
    assert found["sentence"]
    assert found["drivers"][0]["share"] > 0.3
    assert catalogue.run("joint.first_to_give", JOINT, seed=3) == found


def test_no_chance_is_printed_as_never_or_always() -> None:
    still = {**JOINT, "climate": {"fall_percent": 0.1}}
    found = catalogue.run("joint.first_to_give", still)
    assert found["anything_percent"]["text"] == "below 1 %"
    wild = {**JOINT, "climate": {"fall_percent": 90}}
    assert "above 99" in catalogue.run("joint.first_to_give", wild)["anything_percent"]["text"]


def test_without_a_state_of_preservation_it_cannot_say() -> None:
    bare = {key: value for key, value in IVORY.items() if key != "preservation"}
    found = catalogue.run("joint.first_to_give", {**JOINT, "matter": bare})
    assert found["answer"] == "cannot say"
    assert found["reasons"] == [
        "The state of preservation of the elephant ivory is not given: fresh values do not hold "
        "for degraded material."
    ]


def test_a_state_without_values_gets_no_fresh_ones() -> None:
    empty = {"material": "antler", "preservation": "sub-fossil, leached"}
    for name in ("joint.first_to_give", "joint.load_sharing"):
        found = catalogue.run(name, {**JOINT, "matter": empty})
        assert found["answer"] == "cannot say"
        assert "the nearest fresh value is not taken in its place" in found["reasons"][0]
        assert "“sub-fossil, leached”" in found["reasons"][0]


def test_a_fill_without_a_bond_cannot_be_judged_but_can_be_loaded() -> None:
    bare = {key: value for key, value in PULP.items() if key != "bond_energy_j_per_m2"}
    found = catalogue.run("joint.first_to_give", {**JOINT, "fill": bare})
    assert found["answer"] == "cannot say"
    assert found["reasons"][0].startswith("pulp and EVA: its bond has no strength and no energy")
    assert catalogue.run("joint.load_sharing", {**JOINT, "fill": bare})["answer"] == "answer"


def test_fills_stand_side_by_side_without_a_score() -> None:
    given = {"crack": CRACK, "matter": IVORY, "movement": MOVES, "climate": YEAR,
             "fills": [POLYESTER, PULP]}  # fmt: skip
    found = catalogue.run("joint.compare_fills", given)
    hard, soft = found["fills"]
    assert hard["lips_demand"]["typical"] > soft["lips_demand"]["typical"]
    assert hard["tip_demand"]["typical"] < soft["tip_demand"]["typical"]
    assert found["open_tip_demand"]["typical"] > soft["tip_demand"]["typical"]
    # 20 by 2 mm on 10 cm is 4 mL: 2.2 g dry, and 65 parts of water to 35.
    assert soft["dry_g"] == pytest.approx(2.2)
    assert soft["liquid_g"] == pytest.approx(2.2 * 65 / 35)
    assert (soft["layers"], soft["drying_days"]) == (4, 8)
    assert hard["worse_than"] == soft["worse_than"] == []


def test_a_fill_that_is_worse_in_everything_is_shown_as_such() -> None:
    worse = {**POLYESTER, "name": "worse", "bond_energy_j_per_m2": log_normal(200, 0.8),
             "modulus_gpa": log_normal(3.5, 0.15), "hazards": ["styrene", "heat"],
             "density_g_per_ml": 1.5}  # fmt: skip
    full = {"shrinkage_percent": 7, "layer_mm": 100, "layer_drying_days": 1}
    given = {"crack": CRACK, "matter": IVORY, "movement": MOVES, "climate": YEAR,
             "fills": [{**POLYESTER, **full}, {**worse, **full}]}  # fmt: skip
    found = catalogue.run("joint.compare_fills", given)
    assert [one["worse_than"] for one in found["fills"]] == [[], ["polyester"]]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {"crack": {**CRACK, "radius_mm": None}},
            "A round object has no radius; allowed: the outer radius, however uncertain; Half the "
            "width across the shaft is near enough.",
        ),
        (
            {"crack": {**CRACK, "body": "hollow cylinder"}},
            "A hollow object has no inner radius; allowed: the radius of its hollow.",
        ),
    ],
)
def test_what_is_no_joint_is_refused(change: dict, words: str) -> None:
    with pytest.raises(InputError) as refused:
        catalogue.run("joint.first_to_give", {**JOINT, **change})
    assert str(refused.value) == words


def test_two_fills_of_one_name_are_refused() -> None:
    given = {"crack": CRACK, "matter": IVORY, "movement": MOVES, "climate": YEAR,
             "fills": [PULP, PULP]}  # fmt: skip
    with pytest.raises(InputError, match="Two fills have one name; got pulp and EVA"):
        catalogue.run("joint.compare_fills", given)
