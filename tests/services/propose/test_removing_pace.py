"""How fast old work comes off feeds the hours: with its source and mark, and a person may alter it.

By hand: 200 px by 100 px at 10 px/mm are 2 cm2, and as a fill half the outline is 3 cm.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.records.estimate import EstimateClass, Pace, Plan
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.proposal import PlanRemoval
from softmend.records.removal import ByLiquid, ByTool, Leaving, Means, RemovalWay
from softmend.records.spot_test import Carrier, Coating, PatchGrid, Role, Share, SpotTest, ToolUse
from softmend.records.zone import OnIt, OnZone
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.examine.marks import record_mark
from softmend.services.examine.scales import set_scale
from softmend.services.propose.hours import (
    estimates_in,
    plan_to_begin_with,
    planned_like,
    reckoned,
    record_estimate,
)
from softmend.services.propose.proposals import record_removal
from softmend.services.propose.removing_pace import COATING, FILL, removal_paces
from softmend.services.propose.removing_ways import record_way, way_of
from softmend.services.propose.spot_tests import lay_grid, record_test
from softmend.services.recording import record_one
from tests.services.examine.test_quantities import SCALE

SQUARE = ((100.0, 100.0), (300.0, 100.0), (300.0, 200.0), (100.0, 200.0))


@pytest.fixture
def coated(bench: Bench, author: Author, dossier_id: str, view_id: str) -> str:
    """A dossier with 2 cm2 of coating, one old fill of 2 cm2 on 3 cm, and a removal of each."""
    set_scale(bench, author, dossier_id, view_id, SCALE, based_on="")
    zone = OnZone(1, view_id, OnIt.COATING, (SQUARE,), 3.0)
    record_one(bench, author, dossier_id=dossier_id, subject_id="z", record=zone, based_on="")
    fill = Mark(0, "old_fill", (Sighting(view_id, Geometry(Shape.AREA, (SQUARE,))),))
    record_mark(bench, author, dossier_id, fill)
    for what, marks in (("old varnish", ()), ("the grey mass", (1,))):
        removal = PlanRemoval(0, what, "it lifts", carries="nothing", kept_where="not kept",
                              mark_numbers=marks)  # fmt: skip
        record_removal(bench, author, dossier_id, removal)
    return dossier_id


def by_tool(number: int, pace: float) -> RemovalWay:
    return RemovalWay(number, Leaving.TAKE_OFF, "it lifts", "P. Person", means=Means.TOOL,
                      by_tool=ByTool("scalpel", cm2_per_hour=pace))  # fmt: skip


def paces(bench: Bench, dossier_id: str) -> dict[str, Pace]:
    with bench.store.reading() as reader:
        return removal_paces(reader, dossier_id)


def hours_of(bench: Bench, dossier_id: str, plan: Plan, task: str) -> dict:
    with bench.store.reading() as reader:
        found = reckoned(reader, dossier_id, plan)
    names = {one.name: one.like for one in plan.tasks}
    return next(one for one in found.hours["tasks"] if names[one["name"]] == task)


def begun(bench: Bench, dossier_id: str) -> Plan:
    with bench.store.reading() as reader:
        plan = plan_to_begin_with(bench, reader, dossier_id)
    tasks = tuple(one for one in plan.tasks if one.like in (COATING, FILL))
    return replace(plan, tasks=tasks)


def test_the_pace_of_a_removal_is_the_rate_of_its_task_with_source_and_mark(
    bench: Bench, author: Author, coated: str
) -> None:
    record_way(bench, author, coated, by_tool(1, 4.0), "")
    record_way(bench, author, coated, by_tool(2, 0.5), "")
    plan = begun(bench, coated)
    coating, fill = (hours_of(bench, coated, plan, task) for task in (COATING, FILL))
    # 2 cm2 at 4 cm2 an hour; 2 cm2 of fill at 0.5 cm2 an hour.
    assert coating["hours"]["typical"] == pytest.approx(0.5, rel=0.03)
    assert fill["hours"]["typical"] == pytest.approx(4.0, rel=0.05)
    for point, factor in (("low", 0.5), ("high", 2.0)):
        assert coating["hours"][point] == pytest.approx(0.5 * factor, rel=0.1)
    assert coating["rests_on"] == (
        "removal 1 with scalpel: 4 cm² an hour (estimated, one pace, to a factor of two)"
    )
    record_estimate(bench, author, coated, EstimateClass.TESTED, "tests are done", plan)
    with bench.store.reading() as reader:
        kept = estimates_in(reader, coated)[0]
        assert "4 cm² an hour" in way_of(reader, coated, 1).hours
        based_on = way_of(reader, coated, 1).way_entry_id
    assert kept.estimate.basis.splitlines()[1].startswith("Old coating off: removal 1 with scalpel")
    rates = [one for one in kept.estimate.hours_run.outputs["working"]
             if "guessed rate" in one["name"]]  # fmt: skip
    assert all(one["kind"] == "estimated" and "removal" in one["text"] for one in rates)
    assert kept.stale_because == ""
    record_way(bench, author, coated, by_tool(1, 2.0), based_on)
    with bench.store.reading() as reader:
        assert "stale" in estimates_in(reader, coated)[0].stale_because
    assert begun(bench, coated).tasks[0].pace == paces(bench, coated)[COATING]


def test_a_gel_has_a_pace_as_a_tool_has_and_what_is_left_has_none(
    bench: Bench, author: Author, coated: str
) -> None:
    by = ByLiquid((Share("acetone"),), Carrier.GEL, carrier_shares=(Share("heptane"),),
                  cleared_with="heptane", cm2_per_hour=3.0)  # fmt: skip
    way = RemovalWay(1, Leaving.TAKE_OFF, "it lifts", "P. Person", means=Means.CARRIED,
                     by_liquid=by)  # fmt: skip
    kept = record_way(bench, author, coated, way, "")
    assert paces(bench, coated)[COATING].quantity_each_hour == 3.0
    assert "acetone by gel" in paces(bench, coated)[COATING].rests_on
    record_way(bench, author, coated, replace(way, leaving=Leaving.LEAVE), kept.id)
    assert paces(bench, coated) == {}


def test_a_timed_test_serves_until_a_removal_names_its_pace_and_the_slowest_counts(
    bench: Bench, author: Author, coated: str, view_id: str
) -> None:
    lay_grid(bench, author, coated, PatchGrid(0, view_id, 50.0, 50.0, 20.0, 4, 2))
    for patch, minutes in ((1, 3.0), (2, 6.0)):
        use = ToolUse("scalpel", support="cushion", stop_sign="bright bone", work_minutes=minutes)
        test = SpotTest(0, 1, patch, bench_day(bench), Role.TOOL, area_mm2=25.0, tool=use,
                        coating_observed=Coating.DISSOLVES)  # fmt: skip
        record_test(bench, author, coated, test)
    use = ToolUse("chisel", support="cushion", stop_sign="bright bone", work_minutes=60.0)
    failed = SpotTest(0, 1, 3, bench_day(bench), Role.TOOL, area_mm2=25.0, tool=use)
    record_test(bench, author, coated, failed)
    # What took nothing off has no pace. 25 mm2 in 6 min are 2.5 cm2 an hour.
    found = paces(bench, coated)[COATING]
    assert found.quantity_each_hour == pytest.approx(2.5)
    assert found.rests_on.startswith("spot test 2 with scalpel: 2.5 cm² an hour, the slowest of 2")
    record_way(bench, author, coated, by_tool(1, 4.0), "")
    assert paces(bench, coated)[COATING].quantity_each_hour == 4.0


def test_a_person_may_alter_the_pace_and_what_was_typed_stays(
    bench: Bench, author: Author, coated: str
) -> None:
    record_way(bench, author, coated, by_tool(1, 4.0), "")
    typed = Pace(1.0, "1 cm² an hour (estimated, typed into the plan)")
    task = replace(planned_like(COATING), pace=typed)
    plan = replace(begun(bench, coated), tasks=(task,))
    record_estimate(bench, author, coated, EstimateClass.TESTED, "tests are done", plan)
    assert begun(bench, coated).tasks == (task,)
    found = hours_of(bench, coated, plan, COATING)
    assert found["hours"]["typical"] == pytest.approx(2.0, rel=0.03)
    assert "typed" in found["rests_on"]
