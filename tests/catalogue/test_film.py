"""Why a coating lifts: sentences that follow their bands, refusals, states of preservation."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend import catalogue
from softmend.errors import InputError, NotFoundError
from softmend.science.wording import STRENGTHS

IVORY = {"material": "elephant ivory", "state": "radial or tangential, short-term"}
PATINA = {
    "name": "patina",
    "thickness_um": 50,
    "modulus_gpa": {"value": {"low": 0.5, "typical": 2, "high": 6}, "kind": "estimated"},
    "poisson": 0.3,
    "adhesion_j_per_m2": {"value": {"low": 1, "typical": 8, "high": 50}, "kind": "estimated"},
}


def explained(**more: object) -> dict:
    given = {"coating": "cellulose nitrate", "coating_thickness_um": 40, "body": IVORY}
    return catalogue.run("film.explain", {**given, **more})


def test_a_thin_varnish_is_not_lifted_by_drying_alone_and_that_is_said() -> None:
    found = explained()
    assert found["lifts_percent"] < 10
    assert "almost certainly not" in found["text"] or "hardly" in found["text"]
    assert found["planes"][0]["energy_j_per_m2"]["typical"] == pytest.approx(0.35, rel=0.1)


def test_an_old_thick_varnish_on_a_ground_that_moves_takes_the_patina_along() -> None:
    found = explained(
        coating_thickness_um={"value": {"low": 60, "typical": 150, "high": 300}},
        stretch_percent={"value": {"low": 0.05, "typical": 0.2, "high": 0.5}},
        layers=[PATINA],
    )
    names = [one["name"] for one in found["planes"]]
    assert names == ["between coating and patina", "between patina and body", "inside the body"]
    assert found["text"].startswith("The tension of the coating is enough to lift something: ")
    assert "it parts between patina and body" in found["text"]
    assert sum(one["first_percent"] for one in found["planes"]) == pytest.approx(
        found["lifts_percent"]
    )
    assert found["planes"][2]["gives_percent"] < 1


@pytest.mark.parametrize("thickness", [10, 80, 200, 600, 3000])
def test_the_words_follow_the_chance(thickness: float) -> None:
    found = explained(coating_thickness_um=thickness)
    for plane in found["planes"]:
        words = plane["wording"].removeprefix("the energy suffices here: ")
        least = next(least for least, word in STRENGTHS if word == words)
        assert least <= plane["gives_percent"] / 100
    first = found["text"].split(". ")[0]
    assert ("certainly" in first) == (not 5 <= found["lifts_percent"] < 95)


def test_below_the_safe_thickness_little_lifts() -> None:
    safe = explained()["safe_thickness_um"]
    assert explained(coating_thickness_um=safe["low"] / 2)["lifts_percent"] < 5
    assert explained(coating_thickness_um=safe["high"] * 2)["lifts_percent"] > 95


def test_what_clings_to_a_flake_is_held_against_the_model() -> None:
    thick = {"coating_thickness_um": 2000, "layers": [PATINA]}
    assert (
        "agrees with the model"
        in explained(**thick, seen_under_flakes="a layer below")["seen_text"]
    )
    assert "does not agree" in explained(**thick, seen_under_flakes="the body")["seen_text"]
    assert explained(**thick)["seen_text"].startswith("Look at the underside")


def test_the_pull_is_told_as_a_hand_knows_it() -> None:
    found = explained(coating_stress_mpa=6, coating_thickness_um=163.4)
    # 6 MPa x 0.1634 mm x 100 mm is 98 N, which is 10 kg.
    assert found["pull_text"] == "It pulls like 10 kg on each 10 cm of its edge."


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        (
            {"material": "antler (compact)"},
            "The state of the body is not given; the table has: dry.",
        ),
        (
            {"material": "antler (compact)", "state": "sub-fossil"},
            "The table has no antler (compact) that is “sub-fossil”, only: dry. Give your own "
            "values; fresh ones do not stand in for old ones.",
        ),
        ({}, "The modulus of the body is not known; give it, or name its material."),
        (
            {"modulus_gpa": 3, "poisson": 0.3},
            "The table has no toughness of the body in this state; give it.",
        ),
        (
            # Fresh antler is ten times tougher than what has lain in the ground.
            {"material": "antler (compact)", "state": "sub-fossil", "modulus_gpa": 3},
            "The table has no toughness of the body in this state; give it.",
        ),
    ],
)
def test_a_state_without_a_row_has_no_answer(body: dict, reason: str) -> None:
    found = explained(body=body)
    assert found["answer"] == "cannot say"
    assert found["reasons"] == [reason]
    assert found["planes"] == []


def test_typed_values_stand_in_for_a_state_that_the_table_lacks() -> None:
    own = {
        "modulus_gpa": {"value": {"low": 2, "typical": 5, "high": 10}, "kind": "estimated"},
        "poisson": 0.3,
        "toughness_j_per_m2": {"value": {"low": 20, "typical": 80, "high": 300}},
    }
    found = explained(body=own)
    assert found["answer"] == "answer"
    lines = {line["name"]: line["kind"] for line in found["working"]}
    assert lines["body: modulus"] == "estimated"


def test_a_toughness_is_typed_as_an_energy_or_as_an_intensity() -> None:
    own = {"modulus_gpa": 4, "poisson": 0.3, "toughness_mpa_m05": 1.0}
    inside = explained(body=own)["planes"][-1]
    # K² (1 − ν²) / E.
    assert inside["hold_j_per_m2"]["typical"] == pytest.approx(1e12 * 0.91 / 4e9, rel=1e-3)


def test_without_thickness_nothing_is_said() -> None:
    found = explained(coating_thickness_um=None)
    assert found["reasons"] == ["The thickness of the coating is not known; give it, however wide."]


def test_every_value_used_is_in_the_working_with_its_mark() -> None:
    lines = explained(layers=[PATINA])["working"]
    assert {"coating: tension", "patina: modulus", "body: toughness"} <= {
        line["name"] for line in lines
    }
    tension = next(line for line in lines if line["name"] == "coating: tension")
    assert tension["kind"] == "estimated"
    assert tension["origin"].startswith("table:materials/cellulose nitrate: internal stress")


def test_the_crack_of_the_coating_needs_its_toughness() -> None:
    assert explained()["crack"] is None
    assert explained(coating_toughness_j_per_m2=50)["crack"]["gives_percent"] < 5


def test_a_coating_that_presses_is_refused() -> None:
    with pytest.raises(InputError, match="buckles"):
        explained(stretch_percent=-2)
    with pytest.raises(NotFoundError, match="There is no material of that name; got lacquer"):
        explained(coating="lacquer")


def test_the_same_seed_gives_the_same_answer() -> None:
    assert explained() == explained()


def test_each_pattern_says_what_it_frees_and_asks() -> None:
    found = explained()
    by_name = {one["name"]: one for one in found["patterns"]}
    assert len(by_name) == 6
    peel = by_name["peeling that runs on"]
    assert peel["factor"] == 0.5
    assert peel["gives_percent"] is not None
    assert by_name["a crack that runs along in the coating"]["asks_j_per_m2"] is None
    assert "not known" in by_name["a crack that runs along in the coating"]["wording"]
    assert -1 < found["stiffness_contrast"]["typical"] < 0
