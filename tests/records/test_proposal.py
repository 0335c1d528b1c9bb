"""Rules of the proposal, each as a sentence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.dossier import Material
from softmend.records.legal import (
    Human,
    LegalFlag,
    Loan,
    Topic,
    checked_flag,
    human_caution,
    stale_law,
)
from softmend.records.mixing import MakeUp, bare_percentages, refuse_bare_percentage
from softmend.records.passing import PASSABLE, Passed, checked_passing, passing_of
from softmend.records.proposal import (
    Coat,
    Coating,
    Hours,
    Level,
    Option,
    Options,
    PlanFill,
    PlanMaterial,
    PlanStep,
    Proposal,
    Route,
    ToneRule,
    Warrant,
    checked_fill,
    checked_hours,
    checked_material,
    checked_options,
    checked_proposal,
    checked_step,
    coating_finding,
    fill_findings,
    total_hours,
)

# ---- rule 12: "do nothing" is in every options table


def test_do_nothing_and_do_less_are_in_every_options_table() -> None:
    bare = Options()
    full = Options(fuller=(Option("take down the old fills"),))
    for options in (bare, full, replace(full, fuller=())):
        assert [option.name for option in options.rows][:2] == ["do nothing", "do less"]
    with pytest.raises(RuleError, match="keep their names") as refused:
        checked_options(Options(nothing=Option("something")))
    assert refused.value.rule == 12


def test_a_chosen_option_is_one_of_them_and_has_a_reason() -> None:
    with pytest.raises(InputError, match="got go home; allowed: do nothing, do less"):
        checked_options(Options(chosen="go home", chosen_because="tired"))
    with pytest.raises(InputError, match="needs a reason"):
        checked_options(Options(chosen="do less"))


# ---- rule 9: a percentage without basis is refused


@pytest.mark.parametrize(
    ("text", "bare"),
    [
        ("acrylic resin, 20 % in acetone", ["20 %"]),
        ("2,5% methylcellulose", ["2,5%"]),
        ("10 per cent gelatine", ["10 per cent"]),
        # w/v alone does not say whether of the solution or of the solvent.
        ("10 % w/v of something", ["10 %"]),
        ("99.5 % ethanol, 5 % w/w resin", ["99.5 %"]),
        ("20 % w/w in acetone", []),
        ("20 % (w/v of solution)", []),
        ("20 % w/v of the solvent", []),
        ("50 % v/v ethanol in water at 45 % RH", []),
        ("70 % of the surface", []),
    ],
)
def test_a_percentage_without_basis_is_found(text: str, bare: list[str]) -> None:
    assert bare_percentages(text) == bare


def test_a_percentage_without_basis_is_refused() -> None:
    with pytest.raises(RuleError, match="“20 %” does not say of what") as refused:
        refuse_bare_percentage("fine", "resin 20 % in acetone")
    assert refused.value.rule == 9
    with pytest.raises(RuleError, match="“20 %”"):
        checked_material(PlanMaterial(0, "acrylic resin 20 % in acetone"))
    with pytest.raises(RuleError, match="“5 %”"):
        checked_step(PlanStep(0, "consolidation", "drop 5 % resin in", "stop at shine"))


def test_a_removal_route_that_is_tested_says_how_and_where() -> None:
    with pytest.raises(InputError, match="“tested” needs how and its source"):
        checked_material(PlanMaterial(0, "fish glue", route=Route.TESTED))
    assert checked_material(PlanMaterial(0, "fish glue")).route is Route.UNKNOWN


def test_a_preparation_has_two_weighed_parts() -> None:
    with pytest.raises(InputError, match="got 20 g and 0 g"):
        checked_material(PlanMaterial(0, "resin", make_up=MakeUp("resin", "acetone", 20.0, 0.0)))


# ---- rule 8: every fill has a warrant and a way to be detected

GOOD_FILL = PlanFill(
    0,
    (3,),
    warrant=Warrant.EDGES,
    warrant_grounds="edges at marks 3 and 4",
    detected_by="ultraviolet, at arm's length",
)


def test_every_fill_has_a_warrant_and_a_way_to_be_detected() -> None:
    assert fill_findings(GOOD_FILL) == ()
    bare = fill_findings(PlanFill(0, (3,)))
    assert any("warrant" in line for line in bare)
    assert any("detected" in line for line in bare)


def test_a_fill_that_is_a_reading_needs_a_curator_and_a_visible_difference() -> None:
    reading = replace(
        GOOD_FILL, warrant=Warrant.READING, tone=ToneRule.MATCHED, tone_distance_m=2.0
    )
    assert len(fill_findings(reading)) == 2
    assert fill_findings(replace(reading, curator_yes_by="C.", tone=ToneRule.HALF)) == ()


def test_a_fill_says_its_level_and_its_tone_in_numbers() -> None:
    with pytest.raises(InputError, match="by how much"):
        checked_fill(replace(GOOD_FILL, level=Level.SET_BACK))
    with pytest.raises(InputError, match="needs its distance"):
        checked_fill(replace(GOOD_FILL, tone=ToneRule.MATCHED))


# ---- rule 11: the coating question is answered


def test_the_coating_question_is_open_until_answered_and_no_coating_has_reasons() -> None:
    assert "coating question" in coating_finding(Proposal())
    bare = Proposal(coating=Coating(Coat.NONE))
    with pytest.raises(RuleError, match="“no coating” is a decision and needs its reasons") as it:
        checked_proposal(bare)
    assert it.value.rule == 11
    answered = Proposal(coating=Coating(Coat.NONE, ("it would trap dust",)))
    assert coating_finding(checked_proposal(answered)) == ""


def test_a_step_needs_its_stop_rule() -> None:
    with pytest.raises(InputError, match="needs its stop rule"):
        checked_step(PlanStep(0, "filling", "fill mark 3", " "))


# ---- hours: the sums and the mean of practice.md 2.9 (author's prior, recomputed here)

TUSK = [
    (3, 6, 12), (12, 20, 40), (6, 14, 30), (5, 8, 16), (8, 20, 50), (10, 30, 80), (20, 60, 150),
    (10, 25, 60), (4, 12, 30), (8, 20, 50), (20, 50, 120), (6, 16, 40), (8, 16, 40), (10, 20, 40),
    (8, 14, 30),
]  # fmt: skip


def test_hours_add_up_and_their_mean_lies_above_the_sum_of_the_likely() -> None:
    total = total_hours(Hours(*map(float, task)) for task in TUSK)
    assert total is not None
    assert total.likely_h == 331
    assert round(total.mean_h) == 375
    assert total_hours([None]) is None


def test_hours_out_of_order_are_refused() -> None:
    with pytest.raises(InputError, match="0 ≤ low ≤ likely ≤ high"):
        checked_hours(Hours(3.0, 2.0, 4.0))


# ---- rule 17: law fields have a date and go stale

TODAY = date(2026, 3, 2)
FLAG = LegalFlag(1, Topic.SPECIES, "a rule of trade", "2025-06-01", "A. Registrar")


def test_law_fields_have_a_date() -> None:
    with pytest.raises(RuleError, match="dated to the day; got 2025") as refused:
        checked_flag(replace(FLAG, checked_on="2025"), TODAY)
    assert refused.value.rule == 17
    with pytest.raises(RuleError, match="names who checked"):
        checked_flag(replace(FLAG, checked_by="not known"), TODAY)
    with pytest.raises(InputError, match="future"):
        checked_flag(replace(FLAG, checked_on="2026-03-03"), TODAY)


@pytest.mark.parametrize(
    ("checked_on", "is_stale"),
    [("2025-03-03", False), ("2025-03-02", True), ("2024-01-01", True), ("2026-03-02", False)],
)
def test_law_fields_go_stale_after_twelve_months(checked_on: str, is_stale: bool) -> None:
    assert bool(stale_law(replace(FLAG, checked_on=checked_on), TODAY)) is is_stale


def test_law_fields_go_stale_at_every_loan() -> None:
    assert "a loan to an invented house" in stale_law(FLAG, TODAY, [Loan(1, "an invented house")])


def test_a_species_needs_its_ground_and_a_flag_has_no_field_for_a_verdict() -> None:
    with pytest.raises(InputError, match="A species needs its ground"):
        checked_flag(replace(FLAG, taxon="walrus"), TODAY)
    names = {field.name for field in fields(LegalFlag)}
    assert not names & {"verdict", "allowed", "is_legal", "may_be_sold", "result"}


# ---- rule 16: possibly human


def test_bone_is_possibly_human_until_somebody_says_whose_it_is() -> None:
    bone = [Material("shaft", "bone")]
    assert "nobody has recorded whose" in human_caution([], bone)
    cattle = replace(FLAG, taxon="cattle", ground="section", human=Human.NOT_HUMAN)
    assert human_caution([cattle], bone) == ""
    assert human_caution([], [Material("beam", "antler"), Material("joint", "bone glue")]) == ""


def test_a_flag_that_says_possibly_human_is_not_outvoted() -> None:
    cattle = replace(FLAG, taxon="cattle", ground="section", human=Human.NOT_HUMAN)
    possibly = replace(FLAG, number=2, topic=Topic.HUMAN_REMAINS, human=Human.POSSIBLY)
    assert human_caution([cattle, possibly], []) == "flag 2 says “possibly human”"
    assert possibly.is_possibly_human


# ---- passing a rule


def test_only_rules_with_a_way_round_are_passed_and_only_by_name_with_a_reason() -> None:
    assert sorted(PASSABLE) == [2, 4, 7, 8, 10, 11, 16, 17, 19]
    for hard in (1, 3, 5, 6, 9, 13, 14, 18, 20, 21, 22, 12, 15):
        with pytest.raises(RuleError, match="has no way round"):
            checked_passing(Passed(hard, "x", "because", "A."))
    for lacking in (
        Passed(8, "x", " ", "A."),
        Passed(8, "x", "because", ""),
        Passed(8, "", "b", "A"),
    ):
        with pytest.raises(InputError, match="Passing rule 8 needs"):
            checked_passing(lacking)


def test_a_pass_holds_for_what_it_is_about_and_nothing_else() -> None:
    passed = Passed(8, "fill of mark 3", "structural test piece", "A. Curator")
    assert passing_of([passed], 8, "fill of mark 3") == passed
    assert passing_of([passed], 8, "fill of mark 4") is None
    assert passing_of([passed], 2, "fill of mark 3") is None
