"""Whether a joint holds: sentences, what is not known, and states of preservation."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend import catalogue
from softmend.errors import InputError
from softmend.science.wording import STRENGTHS

JOINT = {
    "breadth_mm": 20,
    "height_mm": 30,
    "mass_g": {"value": {"value": 300, "expanded": 5}},
    "arm_mm": 100,
    "hang_degrees": 0,
    "adhesive": "glass-microballoon acrylic copolymer",
    "warmest_degc": 26,
    "object_strength_mpa": {"value": {"low": 1, "typical": 6, "high": 20}, "kind": "estimated"},
}
WORDS = {words for _, words in STRENGTHS}


def held(**more: object) -> dict:
    return catalogue.run("join.holds", {**JOINT, **more})


def told(text: str) -> str:
    return text.split(": ")[1].split(".")[0]


def test_a_light_piece_holds_and_the_bond_gives_first() -> None:
    found = held(mass_g=20)
    assert told(found["text"]) == "almost certainly"
    assert found["bond_first_percent"] > 90
    assert "the bond gives before the object" in found["first_text"]


def test_a_heavy_piece_at_a_long_arm_is_not_held_by_the_same_bond() -> None:
    found = held(mass_g=3000, arm_mm=300)
    assert told(found["text"]) == "almost certainly not"
    assert found["least_strength_mpa"]["typical"] > found["most_strength_mpa"]["typical"]


@pytest.mark.parametrize("mass", [50, 200, 400, 800, 2000])
def test_the_words_follow_the_chance(mass: float) -> None:
    found = held(mass_g=mass)
    least = next(least for least, words in STRENGTHS if words == told(found["text"]))
    assert least <= found["holds_percent"] / 100


def test_a_warm_showcase_is_said() -> None:
    cool, warm = held(warmest_degc=18), held(warmest_degc=45, glue_line_mm=0.1)
    assert cool["holds_percent"] > warm["holds_percent"]
    assert "above its glass transition" in warm["warmth_text"]
    assert "mm a year" in warm["warmth_text"]
    assert warm["slip_a_year_mm"]["typical"] > 0


def test_a_bond_that_was_never_seen_to_fail_does_not_give_first_for_sure() -> None:
    found = held(adhesive="epoxy (room-temperature cure)")
    assert found["bond_first_percent"] is None
    assert "at least" in found["first_text"]
    assert "The bond was not seen to fail: its strength is at least this." in found["warnings"]


def test_the_pull_is_told_as_a_hand_knows_it() -> None:
    # 98.0665 kPa is a kilogram on each square centimetre.
    found = held(section="rectangle", breadth_mm=100, height_mm=100, mass_g=10_000, arm_mm=0,
                 hang_degrees=90)  # fmt: skip
    assert found["pull_text"] == "At its worst edge it pulls like 0.1 kg on each square centimetre."


@pytest.mark.parametrize(
    ("more", "reason"),
    [
        (
            {"adhesive": None, "softens": False},
            "The strength of the bond is not known; measure a pull-off, or give a range.",
        ),
        (
            {"adhesive": "starch-ether pulp"},
            "The glass transition of the adhesive is not known; give it, or say that it does not "
            "soften.",
        ),
    ],
)
def test_what_is_not_known_is_asked_for(more: dict, reason: str) -> None:
    found = held(**more)
    assert found["answer"] == "cannot say"
    assert reason in found["reasons"]


def test_a_state_without_a_row_leaves_open_which_gives_first() -> None:
    found = held(
        object_strength_mpa=None, object_material="elephant ivory", object_state="sub-fossil"
    )
    assert found["answer"] == "answer"
    assert found["bond_first_percent"] is None
    assert found["reasons"] == [
        "The table has no strength of elephant ivory that is “sub-fossil”, only: (empty). Give "
        "your own."
    ]


def test_the_table_answers_for_a_state_that_it_has() -> None:
    found = held(object_strength_mpa=None, object_material="mammoth ivory (sub-fossil)",
                 object_state="degraded")  # fmt: skip
    assert found["bond_first_percent"] > 80
    kinds = {line["name"]: line["kind"] for line in found["working"]}
    assert kinds["strength of the object"] == "estimated"


def test_an_angle_beyond_upright_is_refused() -> None:
    with pytest.raises(InputError, match="A piece cannot hang at that angle"):
        held(hang_degrees=120)


def test_the_cautions_are_those_of_supports() -> None:
    cautions = catalogue.entry("join.holds").cautions
    assert any("Not a lifting calculation" in one for one in cautions)
    assert held() == held()


def test_a_weak_bond_on_a_tough_object_keeps_a_crack_in_itself() -> None:
    weak = held(bond_energy_j_per_m2=20, object_toughness_j_per_m2=240)
    assert weak["stays_in_bond_percent"] == 100
    assert "leaves the object whole: almost certainly" in weak["stays_text"]
    # A quarter of 240 is 60: a tough glue turns the crack into the object.
    tough = held(bond_energy_j_per_m2=200, object_toughness_j_per_m2=240)
    assert tough["stays_in_bond_percent"] == 0
    assert "is not known" in held()["stays_text"]
    assert held()["stays_in_bond_percent"] is None


def test_small_pulls_are_told_in_grams() -> None:
    assert " g " in held(mass_g=2, arm_mm=3)["pull_text"]
    assert " kg " in held(mass_g=500, arm_mm=200)["pull_text"]
