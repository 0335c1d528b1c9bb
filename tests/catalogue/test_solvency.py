"""Taking old work off through the catalogue: plain inputs, safety on every route, marks, footer."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from typing import Any

import pytest

from softmend import catalogue
from softmend.errors import InputError
from tests.science.checks import expected

CHECKS = expected("softmend-solvents")
TESTS = [{"parts": ["heptane"], "coating": "none"}, {"parts": ["acetone"], "coating": "dissolves"}]
MIX = {"acetone": 30, "ws-low": 70}
INPUTS: dict[str, dict[str, Any]] = {
    "solvency.blend_position": {"parts": MIX, "coating": "ethyl-methacrylate"},
    "solvency.drift": {"parts": MIX, "coating": "ethyl-methacrylate"},
    "solvency.spot": {"tests": TESTS, "object": "antler"},
    "solvency.next_swab": {"tests": TESTS[:1], "object": "antler"},
    "solvency.blends": {"tests": TESTS, "object": "antler", "shelf": ["acetone", "ethanol"]},
}
OWN_WATER = {"dispersion_sqrt_mpa": 15.5, "polar_sqrt_mpa": 16, "hydrogen_sqrt_mpa": 42.3,
             "molar_volume_cm3_per_mol": 18}  # fmt: skip
SUBSTRATES = ["ivory", "bone", "antler", "horn", "limewood", "a tooth", "not known", "Elfenbein"]
LOCKED_AGENTS: list[Any] = [
    *("water", "H2O", "7732-18-5", "DMSO", "DMF", "NMP", "propylene glycol", "glycerine"),
    {"parts": {"acetone": 99, "water": 1}},
    {"parts": {"ethanol": 80, "propylene-glycol": 20}},
    {"parts": [{"solvent": "X", "own": OWN_WATER}]},
    {"parts": [{"solvent": "formic acid", "own": {**OWN_WATER, "hydrogen_sqrt_mpa": 16}}]},
    {"parts": ["acetone"], "carrier": "gel"},
    {"parts": ["acetone"], "carrier": "poultice", "carrier_parts": ["water"]},
    {"parts": ["acetone"], "carrier": "dispersion"},
    {"parts": ["acetone"], "carrier": "wet pulp"},
    {"parts": ["acetone"], "carrier": "gel", "carrier_parts": ["DMSO"]},
    {"parts": ["acetone"], "carrier_name": "aqueous cellulose pulp"},
]


def run(name: str, **given: Any) -> dict[str, Any]:
    return catalogue.run(name, given)


@pytest.mark.parametrize("name", list(INPUTS))
def test_every_answer_names_its_marks_and_carries_cautions_and_footer(name: str) -> None:
    found = run(name, **INPUTS[name])
    assert found["answer"] == "answer"
    assert sum(found["marks"].values()) == len(found["working"]) > 0
    assert {line["kind"] for line in found["working"]} == set(found["marks"])
    assert found["footer"].startswith("Read the SDS and make a COSHH assessment; ventilate;")
    assert any("not a treatment" in one for one in found["cautions"])
    assert any("proven harmless" in one for one in found["cautions"])
    assert json.loads(json.dumps(found, allow_nan=False)) == found


@pytest.mark.parametrize("name", list(INPUTS))
def test_the_same_seed_gives_the_same_answer(name: str) -> None:
    assert run(name, **INPUTS[name]) == run(name, **INPUTS[name])


def test_a_blend_lies_where_the_check_values_say_on_each_scale_by_name() -> None:
    found = run("solvency.blend_position", **INPUTS["solvency.blend_position"])
    for axis in ("dispersion", "polar", "hydrogen"):
        CHECKS[f"t5_{axis}"].accept(found[f"{axis}_sqrt_mpa"])
    scales = {one["scale"]: one for one in found["teas"]}
    assert set(scales) == {"published Teas scale", "fractions of Hansen values"}
    assert scales["published Teas scale"]["dispersion_percent"] == 82.7
    assert scales["fractions of Hansen values"]["dispersion_percent"] == 74.3
    near = found["relative_distance"]
    assert near["low"] < CHECKS["t5_red"].value < near["high"]
    assert "mix 1 mL and look" in " ".join(found["warnings"])


def test_a_solvent_without_a_published_teas_value_is_shown_on_one_scale_only() -> None:
    found = run("solvency.blend_position", parts={"acetone": 50, "pm": 50})
    assert [one["scale"] for one in found["teas"]] == ["fractions of Hansen values"]


def test_a_liquid_of_ones_own_is_taken() -> None:
    own = {"dispersion_sqrt_mpa": 16, "polar_sqrt_mpa": 9, "hydrogen_sqrt_mpa": 6,
           "molar_volume_cm3_per_mol": 90}  # fmt: skip
    found = run("solvency.blend_position", parts=[{"solvent": "new ester", "own": own}],
                coating="pmma", object="glass")  # fmt: skip
    assert found["polar_sqrt_mpa"] == 9
    assert found["marks"]["maker's sheet"] == 2
    assert found["forbidden"] == []


def test_drying_is_shown_at_0_25_50_and_90_percent_gone() -> None:
    found = run("solvency.drift", **INPUTS["solvency.drift"])
    assert [one["gone_percent"] for one in found["stages"]] == [0, 25, 50, 90]
    assert "the coating falls out as a film" in found["text"]
    assert found["ends_as"] == "ws-low 100 %"


def test_spot_tests_behave_like_classes_and_never_identify() -> None:
    tests = [*TESTS, {"parts": ["ethanol"], "coating": "none"},
             {"parts": ["propylene-carbonate"], "coating": "dissolves"},
             {"parts": ["n-butyl-acetate"], "coating": "dissolves"}]  # fmt: skip
    layer = run("solvency.spot", tests=tests, object="ivory")["layers"][0]
    assert layer["classes"][0]["behaves_like"] == "acrylic"
    assert all(one["chance_of_class_percent"] >= 10 for one in layer["classes"])
    assert not layer["misfit"]


def test_each_layer_starts_anew() -> None:
    tests = [{"parts": ["heptane"], "coating": "softens"},
             {"parts": ["acetone"], "coating": "none"},
             {**TESTS[0], "layer": 2}, {**TESTS[1], "layer": 2}]  # fmt: skip
    both = run("solvency.spot", tests=tests)["layers"]
    alone = run("solvency.spot", tests=TESTS)["layers"][0]
    assert both[0]["classes"][0]["behaves_like"] == "wax"
    assert both[1]["classes"] == alone["classes"]


def test_what_fits_no_class_is_said() -> None:
    odd = {"heptane": "dissolves", "acetone": "none", "ethanol": "dissolves",
           "propylene-carbonate": "dissolves", "ethyl-acetate": "none"}  # fmt: skip
    tests = [{"parts": [name], "coating": what} for name, what in odd.items()]
    found = run("solvency.spot", tests=tests)
    assert found["layers"][0]["misfit"]
    assert any("no class fits" in one for one in found["warnings"])


def test_repeats_are_counted_and_owed() -> None:
    tests = [*TESTS, {"parts": ["acetone"], "coating": "softens"}]
    layer = run("solvency.spot", tests=tests)["layers"][0]
    assert (layer["repeats"], layer["repeats_that_differ"]) == (1, 1)


def test_anything_seen_on_the_object_stops_and_asks() -> None:
    tests = [{"parts": ["acetone"], "coating": "none", "object_effect": "blanch"}]
    found = run("solvency.next_swab", tests=tests, object="ivory")
    assert found["answer"] == "cannot say"
    assert "STOP: blanch on the object with acetone" in found["reasons"][0]
    assert found["next"] is None
    unsigned = {"by": " ", "because": "x"}
    again = run("solvency.next_swab", tests=tests, object="ivory", go_on=unsigned)
    assert again["answer"] == "cannot say"
    signed = {"by": "I. Invented", "because": "an old stain, seen before"}
    on = run("solvency.next_swab", tests=tests, object="ivory", go_on=signed)
    assert on["answer"] == "answer"
    assert any(one.startswith("STOP") for one in on["warnings"])


def test_the_next_swab_is_mild_and_says_why() -> None:
    found = run(
        "solvency.next_swab", object="ivory", agents=["cyclohexanone", "heptane", "acetone"]
    )
    assert found["next"]["agent"] == "heptane"
    assert "mildest" in found["why"]
    assert any("dry brush or scalpel" in one for one in found["also"])
    steps = [one["step"] for one in found["weighed"]]
    assert steps == sorted(steps)


@pytest.mark.parametrize("substrate", SUBSTRATES)
@pytest.mark.parametrize("agent", LOCKED_AGENTS, ids=str)
def test_no_route_proposes_a_locked_agent_on_what_is_organic(substrate: str, agent: Any) -> None:
    swab = run("solvency.next_swab", object=substrate, agents=[agent])
    assert swab["answer"] == "cannot say"
    assert swab["next"] is None
    assert swab["forbidden"][0]["reasons"]
    judged = run("solvency.spot", tests=TESTS, object=substrate, agents=[agent])
    assert judged["layers"][0]["agents"][0]["forbidden"]
    typed = {"parts": [agent]} if isinstance(agent, str) else agent
    assert run("solvency.blend_position", object=substrate, **typed)["forbidden"]
    shelf = [typed["parts"][-1]] if isinstance(typed["parts"], list) else list(typed["parts"])
    if typed.get("carrier", "swab") == "swab" and "carrier_name" not in typed:
        found = run("solvency.blends", tests=TESTS, object=substrate, shelf=[*shelf, "heptane"])
        listed = " ".join(one["agent"] for one in (*found["singles"], *found["blends"]))
        assert found["left_out"]
        for word in found["left_out"]:
            assert word["agent"] not in listed


def test_a_recorded_override_opens_the_lock_and_nothing_else() -> None:
    facts = {"substrate": "antler", "overrides": [
        {"rule": "water", "by": "I. Invented", "because": "a dry shaft, 2 s"}]}  # fmt: skip
    found = run("solvency.next_swab", object=facts, agents=["water"])
    assert found["forbidden"] == []
    unsigned = {"rule": "water", "by": "", "because": "x"}
    with pytest.raises(InputError, match="needs a name and a reason"):
        run("solvency.next_swab", object={"substrate": "antler", "overrides": [unsigned]},
            agents=["water"])  # fmt: skip
    with pytest.raises(InputError, match="There is no lock of that name; got everything"):
        run("solvency.next_swab", agents=["water"], object={"substrate": "antler", "overrides": [
            {"rule": "everything", "by": "I. Invented", "because": "x"}]})  # fmt: skip


def test_a_restricted_solvent_is_off_until_a_person_turns_it_on_with_a_reason() -> None:
    off = run("solvency.next_swab", object="glass", agents=["dichloromethane"])
    assert "is restricted" in off["forbidden"][0]["reasons"][0]
    on = {"substrate": "glass", "turned_on": [
        {"solvent": "DCM", "by": "I. Invented", "because": "a licensed user"}]}  # fmt: skip
    assert run("solvency.next_swab", object=on, agents=["dcm"])["forbidden"] == []
    # Turning on is not opening the lock: NMP on wood needs both.
    both = {"substrate": "oak", "turned_on": [
        {"solvent": "nmp", "by": "I. Invented", "because": "x"}]}  # fmt: skip
    assert run("solvency.next_swab", object=both, agents=["nmp"])["forbidden"]


def test_dmso_is_off_until_residues_were_looked_for_and_not_found() -> None:
    asked = run("solvency.next_swab", object="glass", agents=["dmso"])
    assert "residues: not tested" in asked["forbidden"][0]["reasons"][0]
    clear = {"substrate": "glass", "pesticide_residues": "none found"}
    assert run("solvency.next_swab", object=clear, agents=["dmso"])["forbidden"] == []


def test_singles_lead_and_the_winner_that_does_not_mix_is_refused_with_the_reason() -> None:
    shelf = ["turpentine", "propylene-carbonate", "propylene-glycol"]
    found = run("solvency.blends", tests=TESTS, object="glass", shelf=shelf,
                clearance_step="three dry rolls, then white spirit")  # fmt: skip
    assert found["refused"] is not None
    assert any("are not known to mix" in one for one in found["refused"]["reasons"])
    for one in found["blends"]:
        assert not ("turpentine" in one["agent"] and "propylene-glycol" in one["agent"])


def test_a_pair_that_a_person_mixed_and_saw_clear_is_believed() -> None:
    shelf = ["ims", "ws-low"]
    refused = run("solvency.blends", object="glass", shelf=shelf, coating="resin-aged")
    assert refused["blends"] == []
    seen = [{"one": "ims", "other": "ws-low", "is_clear": True, "by": "I. Invented"}]
    mixed = run("solvency.blends", object="glass", shelf=shelf, coating="resin-aged", mixed=seen)
    assert mixed["allowed"] > refused["allowed"]


def test_a_slow_solvent_needs_a_named_clearance_step() -> None:
    shelf = ["propylene-carbonate", "acetone"]
    without = run("solvency.blends", tests=TESTS, shelf=shelf, object="ivory")
    assert [one["agent"] for one in without["singles"]] == ["acetone"]
    named = run("solvency.blends", tests=TESTS, shelf=shelf, object="ivory",
                clearance_step="acetone, twice")  # fmt: skip
    assert len(named["singles"]) == 2
    assert any("Clearance is a step" in one for one in named["warnings"])


def test_layers_to_be_kept_bound_the_search() -> None:
    found = run("solvency.blends", tests=TESTS, object="ivory", keep=["original shellac"])
    for one in (*found["singles"], *found["blends"]):
        assert one["keep"][0]["affected_percent"] <= 10
    assert "ethanol" not in [one["agent"] for one in found["singles"]]


def test_a_solvent_without_a_limit_is_marked_and_not_taken_for_harmless() -> None:
    found = run("solvency.blends", tests=TESTS, object="ivory", shelf=["acetone", "ethyl-lactate"])
    by_name = {one["agent"]: one for one in found["singles"]}
    assert by_name["acetone"]["air_is_complete"]
    assert not by_name["ethyl-lactate"]["air_is_complete"]
    assert by_name["ethyl-lactate"]["air_m3_per_ml"] > by_name["acetone"]["air_m3_per_ml"]


@pytest.mark.parametrize(
    ("name", "given", "words"),
    [
        ("solvency.blend_position", {"parts": ["white spirit"]}, "The table has no solvent of that "
         "name; got white spirit; allowed: for instance"),
        ("solvency.blend_position", {"parts": {"acetone": 30, "ethanol": 30}}, "The parts of a "
         "blend do not sum to the whole; got 60 % by volume; allowed: 100 %"),
        ("solvency.blend_position", {"parts": {"acetone": 50, "propanone": 50}},
         "one liquid twice"),
        ("solvency.blend_position", {"parts": ["acetone"], "coating": "jam"}, "There is no one "
         "class of coating of that name; got jam"),
        ("solvency.blend_position", {"parts": ["acetone"], "coating": {"name": "x",
         "radius_sqrt_mpa": 8}}, "The sphere of x is not whole"),
        ("solvency.blend_position", {"parts": [{"solvent": "x", "own": {}}]}, "The Hansen "
         "parameters of x are not known"),
        ("solvency.drift", {"parts": [{"solvent": "x", "own": {"molar_volume_cm3_per_mol": 90}}]},
         "The vapour pressure of x is not known"),
        ("solvency.spot", {"tests": [{"parts": ["acetone"], "coating": "melts"}]}, "got melts"),
        ("solvency.spot", {"suspected": [{"name": "jam", "times": 2}]}, "no class of coating"),
        ("solvency.next_swab", {"agents": [{"parts": ["acetone"], "carrier": "sponge"}]}, "sponge"),
        ("solvency.blends", {"keep": ["wallpaper"]}, "There is no layer to be kept of that name"),
        ("solvency.blends", {"nonsense": 1}, "There is no field “nonsense”"),
    ],
)  # fmt: skip
def test_slips_are_refused_in_words(name: str, given: dict[str, Any], words: str) -> None:
    from softmend.errors import SoftmendError

    with pytest.raises(SoftmendError) as refused:
        catalogue.run(name, given)
    assert words in str(refused.value)
