"""Water, DMSO, DMF, NMP, glycols, acids and what carries them: no route without an override."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.action import Action
from softmend.records.air_question import AirQuestion
from softmend.records.batch import Batch, BatchKind, Ingredient
from softmend.records.dossier import Certainty, Hazard, HazardStatus, Material, ObjectHead
from softmend.records.material import Moved
from softmend.records.mixing import MakeUp
from softmend.records.proposal import PlanMaterial, PlanRemoval, PlanStep
from softmend.records.removal import (
    ByLiquid,
    ByTool,
    Held,
    Leaving,
    LockOverride,
    Means,
    Precaution,
    RemovalWay,
    SolventItem,
    SolventTurnedOn,
)
from softmend.records.securing import Means as Securer
from softmend.records.securing import Securing
from softmend.records.shelf import Permitted, ShelfItem, Stocked
from softmend.records.spot_test import (
    Carrier,
    Clearance,
    PatchGrid,
    Role,
    Share,
    SpotTest,
    ToolUse,
)
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.dossiers import describe_object, record_hazard
from softmend.services.legal_flags import today_at
from softmend.services.propose.air_over import write_air
from softmend.services.propose.proposals import record_material, record_removal, record_step
from softmend.services.propose.removing_gate import (
    agent_payload,
    gate_of,
    lock_names,
    object_facts,
    open_lock,
    turn_on,
)
from softmend.services.propose.removing_off import off_payload, what_takes_it_off
from softmend.services.propose.removing_ways import record_way
from softmend.services.propose.securing import record_securing
from softmend.services.propose.solvent_shelf import put_solvent, shelf_for
from softmend.services.propose.spot_tests import lay_grid, record_test
from softmend.services.propose.spot_tests_answer import spot_answers
from softmend.services.treat.batches import make_batch
from softmend.services.treat.day_log import log_action

if TYPE_CHECKING:
    from collections.abc import Callable

SUBSTRATES = ("ivory", "bone", "antler", "horn", "limewood")
# What is locked, by the rule that opens it.
LOCKED = {
    "water": "water",
    "DMSO": "dipolar",
    "DMF": "dipolar",
    "NMP": "dipolar",
    "propylene glycol": "glycols",
    "glycerol": "glycols",
    "acetic acid 1 g in 100 g": "acids and alkalis",
}
RESTRICTED = ("DMF", "NMP")
HOLDING = (Carrier.GEL, Carrier.POULTICE, Carrier.DISPERSION, Carrier.WET_PULP)
ASKED = AirQuestion(gloves="butyl", ignition="none within 3 m", waste="closed metal bin")
WHO = ("P. Person", "decided after tests on shed antler")


@pytest.fixture
def ready(bench: Bench, author: Author, dossier_id: str, view_id: str) -> str:
    """Give a dossier of antler with a grid, a removal, and the questions before a swab answered."""
    head = ObjectHead("beam", materials=(_made_of("antler"),))
    describe_object(bench, author, dossier_id, head, based_on="")
    clear = Hazard("pesticide residues", HazardStatus.TESTED_CLEAR, "XRF, 12 points", "50 mg/kg")
    record_hazard(bench, author, dossier_id, clear)
    write_air(bench, author, dossier_id, ASKED, "")
    lay_grid(bench, author, dossier_id, PatchGrid(0, view_id, 50.0, 50.0, 20.0, 8, 8))
    record_removal(
        bench, author, dossier_id,
        PlanRemoval(0, "old varnish", "it lifts", carries="nothing", kept_where="not kept"),
    )  # fmt: skip
    return dossier_id


def _made_of(material: str) -> Material:
    return Material("body", material, "seen", Certainty.CERTAIN)


def by_spot_test(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    test = SpotTest(0, 1, _patch(bench), bench_day(bench), shares=(Share(liquid),), dwell_s=10.0,
                    wet_because="asked")  # fmt: skip
    record_test(bench, author, dossier_id, test)


def by_bare_patch(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    test = SpotTest(0, 1, _patch(bench), bench_day(bench), Role.BARE, shares=(Share(liquid),),
                    wet_because="asked")  # fmt: skip
    record_test(bench, author, dossier_id, test)


def by_clearing_a_test(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    test = SpotTest(0, 1, _patch(bench), bench_day(bench), shares=(Share("heptane"),),
                    clearance=Clearance(liquid), wet_because="asked")  # fmt: skip
    record_test(bench, author, dossier_id, test)


def by_removal(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    by = ByLiquid((Share(liquid),))
    record_way(bench, author, dossier_id, _way(by), _way_entry(bench, dossier_id))


def by_clearing_a_removal(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    by = ByLiquid((Share("heptane"),), cleared_with=liquid)
    record_way(bench, author, dossier_id, _way(by), _way_entry(bench, dossier_id))


def by_material(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    record_material(bench, author, dossier_id, PlanMaterial(0, liquid))


def by_preparation(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    made = MakeUp("cellulose ether", liquid, 4.0, 96.0)
    record_material(bench, author, dossier_id, PlanMaterial(0, "cellulose ether", make_up=made))


def by_step(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    step = PlanStep(0, "solvent_cleaning", f"take the varnish off with {liquid}", "any change")
    record_step(bench, author, dossier_id, step)


def by_log(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    log_action(bench, author, dossier_id, _logged(bench, moved=(Moved(liquid),)))


def by_tool_in_the_log(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    log_action(bench, author, dossier_id, _logged(bench, tool=f"swab with {liquid}"))


def by_batch_in_the_log(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    made = (Ingredient("cellulose ether", 4.0), Ingredient(liquid, 96.0))
    batch = Batch(0, BatchKind.CLEANING, "thickened", bench_day(bench), made)
    batch_id = make_batch(bench, author, dossier_id, batch).subject_id
    log_action(
        bench, author, dossier_id, _logged(bench, moved=(Moved("thickened", batch_id=batch_id),))
    )


def by_the_end_of_a_long_step(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    step = PlanStep(0, "solvent_cleaning", "roll " * 60 + f"with {liquid}", "any change")
    record_step(bench, author, dossier_id, step)


def by_a_dry_step(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    step = PlanStep(0, "dry_cleaning", f"a sponge with {liquid}", "any change")
    record_step(bench, author, dossier_id, step)


def by_a_dry_tool_in_the_log(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    action = _logged(bench, tool=f"sponge of {liquid}")
    log_action(bench, author, dossier_id, replace(action, action="dry_cleaning"))


def by_a_tool_on_a_patch(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    use = ToolUse(f"stick of {liquid}", support="cushion", stop_sign="any change")
    test = SpotTest(0, 1, _patch(bench), bench_day(bench), Role.TOOL, tool=use)
    record_test(bench, author, dossier_id, test)


def by_the_bottle_of_a_test(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    test = SpotTest(0, 1, _patch(bench), bench_day(bench), shares=(Share("heptane"),),
                    batch=f"heptane with {liquid}", wet_because="asked")  # fmt: skip
    record_test(bench, author, dossier_id, test)


def by_the_tool_of_a_removal(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    way = replace(_way(ByLiquid()), means=Means.TOOL, by_tool=ByTool(f"pencil of {liquid}"))
    record_way(bench, author, dossier_id, way, _way_entry(bench, dossier_id))


def by_facing_a_removal(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    way = _way(ByLiquid((Share("heptane"),)))
    way = replace(way, faced=Precaution(Held.YES, f"tissue laid with {liquid}"))
    record_way(bench, author, dossier_id, way, _way_entry(bench, dossier_id))


def by_blocking_a_crack(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    by = ByLiquid((Share("heptane"),), crack_blocked_with=f"cotton with {liquid}")
    record_way(bench, author, dossier_id, _way(by), _way_entry(bench, dossier_id))


def by_a_facing_before_consent(bench: Bench, author: Author, dossier_id: str, liquid: str) -> None:
    facing = Securing(0, Securer.FACING, "the tip", "it lifts", "peeled", "2026-12-24",
                      with_what=f"tissue and {liquid}", no_image_because="none")  # fmt: skip
    record_securing(bench, author, dossier_id, facing)


ROUTES: tuple[Callable[[Bench, Author, str, str], None], ...] = (
    by_spot_test, by_bare_patch, by_clearing_a_test, by_removal, by_clearing_a_removal,
    by_material, by_preparation, by_step, by_log, by_tool_in_the_log, by_batch_in_the_log,
    by_the_end_of_a_long_step, by_a_dry_step, by_a_dry_tool_in_the_log, by_a_tool_on_a_patch,
    by_the_bottle_of_a_test, by_the_tool_of_a_removal, by_facing_a_removal, by_blocking_a_crack,
    by_a_facing_before_consent,
)  # fmt: skip


def _logged(bench: Bench, **said: object) -> Action:
    action = Action(0, "solvent_cleaning", bench_day(bench), not_in_plan_because="a test",
                    wet_because="asked")  # fmt: skip
    return replace(action, **said)


def _way(by: ByLiquid) -> RemovalWay:
    return RemovalWay(1, Leaving.TAKE_OFF, "it lifts", "P. Person", means=Means.LIQUID,
                      by_liquid=by)  # fmt: skip


def _way_entry(bench: Bench, dossier_id: str) -> str:
    from softmend.services.propose.removing_ways import way_of

    with bench.store.reading() as reader:
        return way_of(reader, dossier_id, 1).way_entry_id


def _patch(bench: Bench) -> int:
    from softmend.services.recording import current_records

    with bench.store.reading() as reader:
        ids = [one for one in reader.dossier_ids() if reader.current(one, "patch_grid")]
        return 1 + len(current_records(reader, ids[0], "spot_test"))


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.__name__)
@pytest.mark.parametrize("liquid", LOCKED)
def test_no_route_lets_a_locked_liquid_near_antler_until_a_person_opens_that_rule(
    bench: Bench,
    author: Author,
    ready: str,
    liquid: str,
    route: Callable[[Bench, Author, str, str], None],
) -> None:
    with pytest.raises(RuleError, match="locked on antler"):
        route(bench, author, ready, liquid)
    others = [one for one in lock_names() if one != LOCKED[liquid]]
    for rule in others:
        open_lock(bench, author, ready, LockOverride(rule, *WHO))
    with pytest.raises(RuleError, match="locked on antler"):
        route(bench, author, ready, liquid)
    open_lock(bench, author, ready, LockOverride(LOCKED[liquid], *WHO))
    if liquid in RESTRICTED:
        turn_on(bench, author, ready, SolventTurnedOn(liquid, *WHO))
    route(bench, author, ready, liquid)


@pytest.mark.parametrize(
    "route", [by_spot_test, by_bare_patch, by_removal, by_preparation], ids=lambda one: one.__name__
)
def test_a_liquid_by_a_name_that_tells_nothing_stops_and_asks(
    bench: Bench,
    author: Author,
    ready: str,
    route: Callable[[Bench, Author, str, str], None],
) -> None:
    with pytest.raises(RuleError, match="“Solution B” is not in the table and nobody said what it"):
        route(bench, author, ready, "Solution B")
    route(bench, author, ready, "Solution B (white spirit)")
    open_lock(bench, author, ready, LockOverride("contents not known", *WHO))
    route(bench, author, ready, "Solution B")


@pytest.mark.parametrize("carrier", HOLDING, ids=lambda one: one.value)
def test_a_carrier_whose_liquid_nobody_named_is_taken_for_water_on_every_route(
    bench: Bench, author: Author, ready: str, carrier: Carrier
) -> None:
    named = f"cellulose ether {'pulp in it' if carrier is Carrier.WET_PULP else carrier.value}"
    swab = SpotTest(0, 1, 1, bench_day(bench), shares=(Share("acetone"),), carrier=carrier,
                    clearance=Clearance("heptane"), wet_because="asked")  # fmt: skip
    by = ByLiquid((Share("acetone"),), carrier, cleared_with="heptane")
    tries: tuple[Callable[[], object], ...] = (
        lambda: record_test(bench, author, ready, swab),
        lambda: record_way(bench, author, ready, _way(by), ""),
        lambda: by_material(bench, author, ready, named),
        lambda: by_log(bench, author, ready, named),
        lambda: by_step(bench, author, ready, named),
    )
    for tried in tries:
        with pytest.raises(RuleError, match="may hold water"):
            tried()
    dry = replace(swab, carrier_shares=(Share("heptane"),))
    record_test(bench, author, ready, dry)
    wet = replace(swab, patch=2, carrier_shares=(Share("water"),))
    with pytest.raises(RuleError, match="water swells"):
        record_test(bench, author, ready, wet)


@pytest.mark.parametrize("substrate", SUBSTRATES)
def test_every_organic_substrate_keeps_its_locks(
    bench: Bench, author: Author, dossier_id: str, substrate: str
) -> None:
    head = ObjectHead("it", materials=(_made_of(substrate), _made_of("iron")))
    describe_object(bench, author, dossier_id, head, based_on="")
    for liquid in LOCKED:
        with pytest.raises(RuleError, match="locked"):
            by_material(bench, author, dossier_id, liquid)


def test_what_nobody_identified_keeps_its_locks_and_glass_has_none(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    with pytest.raises(RuleError, match="locked on not known"):
        by_material(bench, author, dossier_id, "water")
    guessed = ObjectHead("it", materials=(Material("body", "glass"),))
    entry = describe_object(bench, author, dossier_id, guessed, based_on="")
    with pytest.raises(RuleError, match="locked on not known"):
        by_material(bench, author, dossier_id, "water")
    sure = ObjectHead("it", materials=(_made_of("glass"),))
    describe_object(bench, author, dossier_id, sure, based_on=entry.id)
    by_material(bench, author, dossier_id, "water")


def test_the_shelf_and_the_answers_leave_out_what_is_locked_until_it_is_opened(
    bench: Bench, author: Author, ready: str
) -> None:
    for name in ("water", "DMSO", "acetone", "glycerol"):
        put_solvent(bench, author, SolventItem(ShelfItem(name)))
    put_solvent(bench, author, SolventItem(ShelfItem("toluene", Stocked.NOT_HERE)))
    no = ShelfItem("xylene", permitted=Permitted.NO, because="the house has no hood")
    put_solvent(bench, author, SolventItem(no))
    old = ShelfItem("ethanol", use_until_on="2020-01-01")
    put_solvent(bench, author, SolventItem(old))
    today = today_at(bench)
    with bench.store.reading() as reader:
        lines, has_shelf = shelf_for(reader, today, object_facts(reader, ready))
        answers = spot_answers(reader, ready, today)
        off = what_takes_it_off(reader, ready, today)
    assert has_shelf
    assert [one.solvent_id for one in lines if not one.forbidden] == ["acetone"]
    assert {one.solvent_id for one in lines if one.forbidden} == {"water", "dmso", "glycerol"}
    assert {one["agent"] for one in answers.next_swab["forbidden"]} == {
        "water",
        "dmso",
        "glycerol",
    }
    assert {one["agent"] for one in off.answer["left_out"]} == {"water", "dmso", "glycerol"}
    listed = [one["agent"] for one in (*off.answer["singles"], *off.answer["blends"])]
    assert listed == ["acetone"]
    open_lock(bench, author, ready, LockOverride("water", *WHO))
    with bench.store.reading() as reader:
        payload, _ = off_payload(reader, ready, today)
        lines, _ = shelf_for(reader, today, payload["object"])
    assert {one.solvent_id for one in lines if not one.forbidden} == {"acetone", "water"}


def test_dmso_waits_for_the_residues_whoever_opens_its_lock(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    head = ObjectHead("it", materials=(_made_of("glass"),))
    describe_object(bench, author, dossier_id, head, based_on="")
    open_lock(bench, author, dossier_id, LockOverride("dipolar", *WHO))
    with bench.store.reading() as reader:
        facts = object_facts(reader, dossier_id)
    assert "residues" in " ".join(gate_of(facts, agent_payload([Share("DMSO")])).forbidden)


def test_the_one_lock_for_wet_work_opens_water_for_fills_and_nothing_for_swabs(
    bench: Bench, author: Author, ready: str
) -> None:
    from softmend.records.wet_step import BeforeWet, Way
    from softmend.services.propose.wet_steps import write_before_wet

    opened = BeforeWet(way=Way.BARRIER, way_because="a film lies between", way_by="P. Person")
    write_before_wet(bench, author, ready, opened, "")
    by_preparation(bench, author, ready, "water")
    for route in (by_spot_test, by_removal):
        with pytest.raises(RuleError, match="locked on antler"):
            route(bench, author, ready, "water")
    with pytest.raises(RuleError, match="locked on antler"):
        by_preparation(bench, author, ready, "glycerol")


def test_a_restricted_solvent_is_off_until_a_person_turns_it_on_with_a_reason(
    bench: Bench, author: Author, ready: str
) -> None:
    with pytest.raises(RuleError, match="restricted"):
        by_spot_test(bench, author, ready, "dichloromethane")
    with pytest.raises(InputError, match="name and a reason"):
        turn_on(bench, author, ready, SolventTurnedOn("dichloromethane", "", "x"))
    turn_on(bench, author, ready, SolventTurnedOn("dichloromethane", *WHO))
    by_spot_test(bench, author, ready, "dichloromethane")


@pytest.mark.parametrize(
    "words",
    ["acid-free tissue", "waterproof paper", "soda-lime glass", "silica gel", "wooden peg",
     "ethyl methacrylate copolymer", "beeswax", "ammonite", "humidity strip", "brush, no water"],
)  # fmt: skip
def test_what_only_sounds_wet_is_not_locked(
    bench: Bench, author: Author, ready: str, words: str
) -> None:
    by_material(bench, author, ready, words)


@pytest.mark.parametrize(
    ("liquid", "rule"),
    [("isopropanol 70 %", "water"), ("white spirit with 5 % water", "water"),
     ("a damp swab", "water"), ("saliva", "water"), ("steam", "water"), ("agar", "water"),
     ("an enzyme", "enzymes"), ("deionised", "water"), ("Wasser", "water"), ("eau", "water"),
     ("Essigsäure", "acids and alkalis"), ("7732-18-5", "water"), ("67-68-5", "dipolar")],
)  # fmt: skip
def test_free_words_are_read_as_a_person_would_on_the_routes_that_take_them(
    bench: Bench, author: Author, ready: str, liquid: str, rule: str
) -> None:
    for route in (by_spot_test, by_removal, by_the_tool_of_a_removal, by_a_tool_on_a_patch):
        with pytest.raises(RuleError, match=f"rule “{rule}”"):
            route(bench, author, ready, liquid)


def test_a_restricted_solvent_in_a_sentence_is_off_too(
    bench: Bench, author: Author, ready: str
) -> None:
    for route in (by_step, by_tool_in_the_log, by_blocking_a_crack):
        with pytest.raises(RuleError, match="restricted"):
            route(bench, author, ready, "methylene chloride")
