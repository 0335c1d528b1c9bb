"""The lock on wet and swelling agents: every route to an organic object, and its one way open."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.errors import InputError
from softmend.science.solvency.harm import (
    CARRIERS,
    HOLDS_LIQUID,
    Agent,
    Finding,
    Level,
    Override,
    Part,
    Rule,
    findings,
    is_careful,
    still_locked,
)
from softmend.tables.solvency import harm_rules, substrate_words
from softmend.tables.solvents import solvent, solvents

CAREFUL, OTHER = substrate_words()


def rules() -> list[Rule]:
    found = []
    for row in harm_rules():
        ids = frozenset(one.strip() for one in str(row["solvents"]).split(";") if one.strip())
        found.append(
            Rule(
                str(row["rule"]), Level(str(row["level"])), ids,
                frozenset(one.strip() for one in str(row["groups"]).split(";") if one.strip()),
                tuple(one.strip() for one in str(row["words"]).split(";") if one.strip()),
                row["substrates"] == "careful", str(row["because"]),
                tuple(
                    place
                    for one in map(solvent, sorted(ids))
                    for place in (one.position, *one.other_positions)
                ),
            )
        )  # fmt: skip
    return found


RULES = rules()
LOCKED = ("water", "dmso", "dmf", "nmp", "propylene-glycol", "glycerol")


def part(name: str) -> Part:
    one = solvent(name)
    return Part(one.name, one.id, one.group, one.position)


def locks(agent: Agent, *overrides: Override, careful: bool = True) -> tuple[Finding, ...]:
    met = findings(agent, RULES, careful=careful)
    return still_locked(met, overrides, residues_clear=True)


@pytest.mark.parametrize(
    "substrate",
    ["ivory", "elephant ivory", "walrus tusk", "whale tooth", "bone", "antler", "deer antlers",
     "horn", "buckhorn", "limewood", "oak", "wood, gilded", "tortoiseshell", "not known", "",
     "Elfenbein", "glass inlaid in horn", "a material nobody listed", "Elfenbein und Silber",
     "silver-mounted coconut", "amber in silver", "iron; not known", "stone (not tested)"],
)  # fmt: skip
def test_what_is_organic_or_not_known_is_careful(substrate: str) -> None:
    assert is_careful(substrate, CAREFUL, OTHER)


@pytest.mark.parametrize("substrate", ["glass", "white marble", "Porcelain", "bronze; iron"])
def test_what_is_known_to_have_no_organic_part_is_not(substrate: str) -> None:
    assert not is_careful(substrate, CAREFUL, OTHER)


OWN = {
    "by its name": Part("tap water"),
    "in another word": Part("aqueous buffer"),
    "as a typed solvent with water's numbers": Part("X", position=(15.5, 16.0, 42.3)),
    "as a typed solvent that bonds like a glycol": Part("Y", position=(17.0, 11.0, 26.0)),
    "as a typed solvent with the numbers of DMSO": Part("Z", position=(18.4, 16.4, 10.2)),
    "as a typed solvent near NMP": Part("W", position=(18.1, 12.2, 7.3)),
    "ethylene glycol": Part("ethylene glycol"),
    "PEG 400": Part("PEG 400"),
    "formic acid": Part("formic acid"),
    "acetic acid": Part("Acetic acid 5 %"),
    "vinegar": Part("vinegar"),
    "ammonia": Part("dilute ammonia"),
    "EDTA": Part("disodium EDTA"),
    "saliva": Part("saliva"),
    "an enzyme": Part("enzyme in buffer"),
}


def routes() -> dict[str, Agent]:
    """Return every way that a locked liquid could come to an object."""
    safe = part("acetone")
    found: dict[str, Agent] = {}
    for name in LOCKED:
        wet = part(name)
        for carrier in CARRIERS:
            found[f"{name} on a {carrier}"] = Agent((wet,), carrier, ())
            found[f"1 % {name} in acetone on a {carrier}"] = Agent((safe, wet), carrier, ())
        for carrier in HOLDS_LIQUID:
            found[f"acetone in a {carrier} of {name}"] = Agent((safe,), carrier, (wet,))
    for name, one in OWN.items():
        found[name] = Agent((one,))
        found[f"{name} in acetone"] = Agent((safe, one))
        for carrier in HOLDS_LIQUID:
            found[f"a {carrier} of it: {name}"] = Agent((safe,), carrier, (one,))
    for carrier in HOLDS_LIQUID:
        found[f"a {carrier} of which nobody said what it holds"] = Agent((safe,), carrier, None)
        found[f"a bare {carrier}"] = Agent((), carrier, None)
    found["an agent whose carrier is named by what it holds"] = Agent(
        (safe,), "swab", (), "wet cellulose pulp"
    )
    found["an acidic gel by its name"] = Agent((safe,), "gel", (safe,), "poly(acrylic acid)")
    return found


ROUTES = routes()


def test_there_are_many_routes() -> None:
    assert len(ROUTES) > 150


@pytest.mark.parametrize("route", list(ROUTES), ids=str)
def test_no_route_leads_past_the_lock(route: str) -> None:
    found = locks(ROUTES[route])
    assert found
    assert all(one.level is Level.LOCKED and one.because for one in found)


@pytest.mark.parametrize("route", list(ROUTES), ids=str)
def test_a_recorded_override_of_every_rule_that_is_met_opens_it(route: str) -> None:
    met = {one.rule for one in locks(ROUTES[route])}
    opened = [Override(rule, "I. Invented", "a dry shaft, 2 s, blotted") for rule in met]
    assert locks(ROUTES[route], *opened) == ()
    assert locks(ROUTES[route], Override("another rule", "I. Invented", "no")) != ()


@pytest.mark.parametrize(("by", "because"), [("", "a reason"), ("I. Invented", " ")])
def test_an_override_without_a_name_or_a_reason_is_refused(by: str, because: str) -> None:
    with pytest.raises(InputError) as refused:
        locks(ROUTES["water on a swab"], Override("water", by, because))
    assert "The override of “water” needs a name and a reason" in str(refused.value)


@pytest.mark.parametrize("name", [one.id for one in solvents() if one.status == "ok"])
def test_the_solvents_of_the_shelf_are_not_locked_on_a_swab(name: str) -> None:
    assert locks(Agent((part(name),), "swab", ())) == ()


def test_a_glycol_ether_is_no_glycol() -> None:
    assert locks(Agent((part("pm"), part("dpm")))) == ()


def test_off_the_careful_path_water_is_not_locked() -> None:
    assert locks(Agent((part("water"),), "gel", None), careful=False) == ()


def test_dmso_needs_residues_that_were_looked_for_and_not_found_even_on_glass() -> None:
    met = findings(Agent((part("dmso"),)), RULES, careful=False)
    assert [one.rule for one in still_locked(met, [], residues_clear=False)] == ["skin carrier"]
    assert still_locked(met, [], residues_clear=True) == ()
    opened = [Override("dipolar", "I. Invented", "test")]
    wood = findings(Agent((part("dmso"),)), RULES, careful=True)
    assert still_locked(wood, opened, residues_clear=False) != ()


@pytest.mark.parametrize(
    ("name", "rule"),
    [("ethyl-lactate", "ethyl lactate"), ("ethanol", "alcohols"), ("ims", "water in spirit"),
     ("toluene", "aromatics"), ("acetone", "ketones")],
)  # fmt: skip
def test_what_harms_less_is_warned_about(name: str, rule: str) -> None:
    met = findings(Agent((part(name),)), RULES, careful=True)
    assert rule in {one.rule for one in met if one.level is Level.WARNED}


@pytest.mark.parametrize(
    "words",
    ["deionised", "demineralized", "Leitungswasser", "eau déminéralisée", "acqua distillata",
     "Água", "vatten", "woda", "moist cotton", "Speichel", "agarose", "wheat starch", "hydrogel",
     "Zitronensäure", "acide acétique", "ácido cítrico", "Ammoniak", "ammoniaque", "Natronlauge",
     "hydrogen peroxide", "triammonium citrate", "dimethylsulfoxide", "Dimethylsulphoxid",
     "methylpyrrolidone", "dimethylformamid", "propylenglykol", "glycérine", "Glyzerin",
     "butane-1,3-diol", "macrogol", "trypsin"],
)  # fmt: skip
def test_other_spellings_and_other_languages_are_locked_too(words: str) -> None:
    assert locks(Agent((Part(words),)))
    assert not locks(Agent((Part(words),)), careful=False)


@pytest.mark.parametrize(
    "words",
    ["ammonite", "limewood insert", "temperature-controlled spatula", "humidity strip",
     "vandalised edge", "propylene carbonate", "cellulose ether", "radiology"],
)  # fmt: skip
def test_words_that_only_begin_alike_are_not(words: str) -> None:
    assert not locks(Agent((Part(words),)))


def test_water_by_its_other_published_numbers_is_water() -> None:
    for place in solvent("water").other_positions:
        assert locks(Agent((Part("Z", position=place),))), place


def test_an_unknown_carrier_is_refused() -> None:
    with pytest.raises(InputError, match="The carrier is not known; got sponge"):
        findings(Agent((), "sponge"), RULES, careful=True)
