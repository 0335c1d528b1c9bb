"""Proposals at the bench: numbers kept, percentages weighed, fills passed by name, order."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import ConflictError, InputError, RuleError
from softmend.records.kinds import record_in
from softmend.records.proposal import (
    Aim,
    Coat,
    Coating,
    Hours,
    Option,
    Options,
    PlanFill,
    PlanMaterial,
    PlanRemoval,
    PlanStep,
    Proposal,
    Warrant,
)
from softmend.services.examine.marks import record_mark
from softmend.services.propose.proposals import (
    made_up,
    missing_in,
    options_in,
    order_steps,
    plan_in,
    proposal_in,
    record_fill,
    record_material,
    record_removal,
    record_step,
    write_options,
    write_proposal,
)
from softmend.services.recording import current_records
from softmend.services.treat.treatment_words import action, actions, coating_reasons, warrants
from tests.services.conftest import crack

STEP = PlanStep(0, "softening", "soften the old fill", "stop at the first colour")


def test_the_options_table_starts_with_nothing_and_less(bench, dossier_id) -> None:
    with bench.store.reading() as reader:
        assert options_in(reader, dossier_id) == ("", Options())


def test_options_are_recorded_and_somebody_elses_newer_ones_are_not_overwritten(
    bench, author, dossier_id
) -> None:
    options = Options(fuller=(Option("take down and fill", result="sound"),))
    write_options(bench, author, dossier_id, options, "")
    with bench.store.reading() as reader:
        assert options_in(reader, dossier_id)[1] == options
    with pytest.raises(ConflictError):
        write_options(bench, author, dossier_id, Options(), "")


def test_a_step_keeps_its_number_and_names_only_what_is_there(
    bench, author, dossier_id, view_id
) -> None:
    record_mark(bench, author, dossier_id, crack(view_id))
    first = record_step(bench, author, dossier_id, replace(STEP, mark_numbers=(1,)))
    second = record_step(bench, author, dossier_id, STEP)
    again = record_step(
        bench,
        author,
        dossier_id,
        replace(STEP, what="soften it slowly"),
        subject_id=first.subject_id,
        based_on=first.id,
    )
    assert [record_in(entry).number for entry in (first, second, again)] == [1, 2, 1]
    with pytest.raises(InputError, match="no such mark in this dossier; got 9; allowed: 1"):
        record_step(bench, author, dossier_id, replace(STEP, mark_numbers=(9,)))
    with pytest.raises(InputError, match=r"no such material.*none is recorded"):
        record_step(bench, author, dossier_id, replace(STEP, material_numbers=(1,)))
    with pytest.raises(InputError, match="no such action"):
        record_step(bench, author, dossier_id, replace(STEP, action_id="polish"))


def test_steps_are_put_in_order_and_only_the_moved_ones_are_recorded(
    bench, author, dossier_id
) -> None:
    for _ in range(3):
        record_step(bench, author, dossier_id, STEP)
    order_steps(bench, author, dossier_id, (3, 1, 2))
    with bench.store.reading() as reader:
        assert [step.number for step in plan_in(reader, dossier_id).steps] == [3, 1, 2]
        count = reader.head(dossier_id).count
    order_steps(bench, author, dossier_id, (3, 1, 2))
    with bench.store.reading() as reader:
        assert reader.head(dossier_id).count == count
    with pytest.raises(InputError, match="names every step once"):
        order_steps(bench, author, dossier_id, (3, 1))


# 20 % of a resin of 1.15 g/mL in acetone of 0.785 g/mL: practice.md 2.5, recomputed there.
@pytest.mark.parametrize(
    ("basis", "grams"), [("w/w", 20.0), ("w/v of solution", 23.6), ("w/v of solvent", 20.3)]
)
def test_a_percentage_with_its_basis_is_stored_as_masses(basis: str, grams: float) -> None:
    made = made_up(
        solute="resin",
        solvent="acetone",
        written_percent=20.0,
        basis=basis,
        solute_density_g_per_ml=1.15,
        solvent_density_g_per_ml=0.785,
        density_origin="typed",
    )
    assert round(made.solute_mass_g, 1) == grams
    assert made.solute_mass_g + made.solvent_mass_g == pytest.approx(100.0, abs=0.01)
    assert "resin" in made.instruction


def test_a_bare_percentage_is_refused(bench, author, dossier_id) -> None:
    with pytest.raises(RuleError, match="without its basis is refused") as refused:
        made_up(
            solute="resin",
            solvent="acetone",
            written_percent=20.0,
            basis="",
            solute_density_g_per_ml=1.15,
            solvent_density_g_per_ml=0.785,
            density_origin="typed",
        )
    assert refused.value.rule == 9
    with pytest.raises(RuleError, match="“20 %” does not say of what"):
        record_material(bench, author, dossier_id, PlanMaterial(0, "resin, 20 % in acetone"))


def test_a_fill_without_warrant_is_recorded_only_when_a_named_person_passes_the_rule(
    bench, author, dossier_id, view_id
) -> None:
    record_mark(bench, author, dossier_id, crack(view_id))
    fill = PlanFill(0, (1,))
    with pytest.raises(RuleError, match="without one, no fill") as refused:
        record_fill(bench, author, dossier_id, fill)
    assert refused.value.rule == 8
    with pytest.raises(InputError, match="needs the name of who decided"):
        record_fill(bench, author, dossier_id, fill, passed_because="trial", passed_by="")
    with bench.store.reading() as reader:
        assert current_records(reader, dossier_id, "plan_fill") == []
    record_fill(bench, author, dossier_id, fill, passed_because="trial", passed_by="C. Curator")
    with bench.store.reading() as reader:
        ((_, passed),) = current_records(reader, dossier_id, "passed")
    assert (passed.rule, passed.about, passed.by) == (8, "fill of mark 1", "C. Curator")


def test_what_is_missing_is_told_page_by_page_until_nothing_is(
    bench, author, dossier_id, view_id
) -> None:
    with bench.store.reading() as reader:
        pages = {one.page for one in missing_in(reader, dossier_id)}
    assert pages == {"why", "options", "steps", "surface", "limits"}
    known = Option("do nothing", "it stays as it is", "it opens further")
    options = Options(
        nothing=known,
        less=replace(known, name="do less"),
        fuller=(replace(known, name="fill"),),
        chosen="fill",
        chosen_because="it is to be shown",
    )
    write_options(bench, author, dossier_id, options, "")
    record_mark(bench, author, dossier_id, crack(view_id))
    record_step(bench, author, dossier_id, replace(STEP, action_id="filling"))
    with bench.store.reading() as reader:
        assert "fills" in {one.page for one in missing_in(reader, dossier_id)}
    record_fill(
        bench,
        author,
        dossier_id,
        PlanFill(0, (1,), Warrant.EDGES, "both edges stand", detected_by="ultraviolet"),
    )
    write_proposal(
        bench,
        author,
        dossier_id,
        Proposal(
            aims=(Aim.STABILISE,),
            why_act="it moves",
            better_conditions_alone="slower loss",
            coating=Coating(Coat.NONE, ("it would trap dust",)),
            sampling_asked="none",
            residual_risk="it may open again",
            environment_afterwards="the seasons' own change",
            comes_back_when="a dowel is found",
        ),
        "",
    )
    with bench.store.reading() as reader:
        assert missing_in(reader, dossier_id) == []
        assert proposal_in(reader, dossier_id)[1].aims == (Aim.STABILISE,)


def test_hours_of_the_steps_are_added(bench, author, dossier_id) -> None:
    record_step(bench, author, dossier_id, replace(STEP, hours=Hours(1, 2, 4)))
    record_step(bench, author, dossier_id, replace(STEP, hours=Hours(2, 3, 9, "own log")))
    with bench.store.reading() as reader:
        assert plan_in(reader, dossier_id).hours == Hours(3, 5, 13, "guess; own log")


def test_a_removal_says_what_the_old_work_carries(bench, author, dossier_id) -> None:
    with pytest.raises(InputError, match="needs what the old work carries"):
        record_removal(bench, author, dossier_id, PlanRemoval(0, "plaster", "loose"))
    removal = PlanRemoval(0, "plaster", "loose", carries="nothing: tapped", kept_where="bag 1")
    assert record_in(record_removal(bench, author, dossier_id, removal)).number == 1


def test_the_actions_are_those_of_the_trade_with_their_aims() -> None:
    assert len(actions()) == 26
    assert action("no_coating").aims == (Aim.PREVENT,)
    assert action("consolidation").is_wet
    assert action("bonding").hides
    assert not action("dry_cleaning").is_wet
    assert [number for number, _, _ in warrants()] == [1, 2, 3, 4]
    assert {side for side, _ in coating_reasons()} == {"no coating", "a coating"}
