"""Liquids that hide in words: a named share without its rest, a restricted name in a sentence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import pytest

from softmend.catalogue.solvency_agent import AgentInput, known_parts
from softmend.catalogue.solvency_gate import Gate, ObjectFacts, gate
from softmend.catalogue.solvency_named import liquids_named, rest_is_unnamed
from softmend.errors import InputError
from tests.catalogue.test_solvency import run


def of_words(words: str, **more: Any) -> Gate:
    agent = AgentInput.model_validate({"parts": [{"solvent": words, "own": {}}], **more})
    facts = ObjectFacts(substrate="ivory", pesticide_residues="none found")
    return gate(agent, known_parts(agent.parts), facts)


@pytest.mark.parametrize(
    "words",
    ["isopropanol 70 %", "70 % v/v isopropanol", "ethanol 96 %", "EtOH 80%", "IPA, 70 %",
     "alcohol 90 percent", "acetone 95 % v/v", "70:30 isopropanol", "20 % ethanol"],
)  # fmt: skip
def test_a_share_whose_rest_nobody_named_may_be_water(words: str) -> None:
    assert rest_is_unnamed(words)
    assert "may be water" in " ".join(of_words(words).forbidden)


@pytest.mark.parametrize(
    "words",
    ["isopropanol", "isopropanol 100 %", "30 % acetone in white spirit", "resin in acetone 10 %",
     "ethanol 50 % + heptane 50 %", "resin 15 % w/w in ethanol", "80 % white spirit"],
)  # fmt: skip
def test_a_whole_liquid_or_a_named_rest_is_not(words: str) -> None:
    assert not rest_is_unnamed(words)
    assert of_words(words).forbidden == ()


@pytest.mark.parametrize(
    ("words", "ids"),
    [("take it off with methylene chloride", ["dcm"]), ("swab of 67-68-5", ["dmso"]),
     ("cellulose ether", []), ("petroleum ether", ["ps-80-100"]), ("cyclohexane", ["cyclohexane"]),
     ("1-methoxy-2-propanol and xylene", ["pm", "xylene"]), ("7732-18-5", ["water"])],
)  # fmt: skip
def test_liquids_are_found_in_a_sentence(words: str, ids: list[str]) -> None:
    assert [one.id for one in liquids_named(words)] == ids


def test_a_restricted_solvent_named_in_a_sentence_stays_off() -> None:
    assert "restricted" in of_words("rolled with dichloromethane").forbidden[0]
    assert "locked" in of_words("heptane", carrier_name="a gel of 67-68-5").forbidden[0]


def test_a_name_that_tells_no_liquid_stops_and_asks() -> None:
    stands = of_words("Solution B")
    assert stands.locked == ()
    (why,) = stands.forbidden
    assert why.startswith("“Solution B” is not in the table and nobody said what it holds: it may ")
    assert "which are locked on ivory; read its label and write that behind the name" in why


@pytest.mark.parametrize(
    "words", ["Solution B (white spirit)", "Solution B, holds heptane", "Solution B of acetone"]
)
def test_a_name_with_what_the_label_says_may_pass(words: str) -> None:
    assert of_words(words).forbidden == ()


def test_the_family_that_somebody_typed_counts_as_words() -> None:
    def of_family(family: str) -> Gate:
        agent = AgentInput.model_validate({"parts": [{"solvent": "B", "own": {"family": family}}]})
        return gate(agent, known_parts(agent.parts), ObjectFacts(substrate="antler"))

    assert of_family("hydrocarbon").forbidden == ()
    assert "rule “glycols”" in of_family("glycol").forbidden[0]
    assert "rule “dipolar”" in of_family("dipolar aprotic").forbidden[0]
    assert "rule “acids and alkalis”" in of_family("a weak acid").forbidden[0]
    assert "nobody said what it holds" in of_family("a cleaner").forbidden[0]


def test_a_person_may_open_what_a_name_does_not_tell() -> None:
    agent = AgentInput.model_validate({"parts": [{"solvent": "Solution B", "own": {}}]})
    by = {"rule": "contents not known", "by": "I. Invented", "because": "tested on an offcut"}
    for facts in (ObjectFacts(substrate="glass"), ObjectFacts(substrate="bone", overrides=[by])):
        assert gate(agent, known_parts(agent.parts), facts).forbidden == ()


def test_a_clearance_step_in_words_passes_the_gate() -> None:
    given = {"shelf": ["acetone"], "object": "antler", "clearance_step": "rinse with water"}
    with pytest.raises(InputError, match="The clearance step may not touch this object"):
        run("solvency.blends", **given)
    given["clearance_step"] = "iso-octane, two swabs"
    assert run("solvency.blends", **given)["singles"]
