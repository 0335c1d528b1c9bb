"""How fast old work comes off, from a removal's way or a timed test: it feeds the hours."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from softmend.records.entry import Entry
from softmend.records.estimate import Pace, Plan, PlanTask
from softmend.records.mark import Mark, Shape
from softmend.records.proposal import PlanRemoval
from softmend.records.removal import Leaving, Means, RemovalWay
from softmend.records.spot_test import Coating as Outcome
from softmend.records.spot_test import OnObject, SpotTest
from softmend.science.digits import few_digits
from softmend.services.examine.quantities import mark_quantities, scales_in
from softmend.services.recording import current_record, current_records
from softmend.services.store import Reader

COATING, FILL = "old_coating_off", "old_fills_off"
FACTOR_OF_TWO_CV = 0.44
"""Spread of a rate from one pace: half of it and twice it are its 5 and 95 % points."""
OLD_FILLS = frozenset({"old_fill", "overfill", "fill_on_original"})


@dataclass(frozen=True)
class Timed:
    """One pace: of which task, how many cm2 an hour, in which words, and the entry that says so."""

    task: str
    cm2_per_hour: float
    words: str
    entry_id: str


def removal_paces(reader: Reader, dossier_id: str) -> dict[str, Pace]:
    """Return the pace of each task that removals and timed tests give: the slowest, to be careful.

    A removal's own pace goes before those of tests. Fills are counted by their length, so that
    their pace needs one drawn as an area, which tells how many cm2 a cm of fill is.
    """
    ways = list(_of_ways(reader, dossier_id))
    timed = ways if any(one.task == COATING for one in ways) else [
        *ways, *_of_tests(reader, dossier_id)
    ]  # fmt: skip
    found: dict[str, Pace] = {}
    for task in (COATING, FILL):
        of_task = sorted(
            (one for one in timed if one.task == task), key=lambda one: one.cm2_per_hour
        )
        each = 1.0 if task == COATING else fill_cm2_in_a_cm(reader, dossier_id)
        if of_task and each:
            slowest = of_task[0]
            more = f", the slowest of {len(of_task)}" if len(of_task) > 1 else ""
            words = (
                f"{slowest.words}: {few_digits(slowest.cm2_per_hour)} cm² an hour{more} "
                "(estimated, one pace, to a factor of two)"
            )
            found[task] = Pace(slowest.cm2_per_hour / each, words, slowest.entry_id)
    return found


def with_paces(plan: Plan, paces: dict[str, Pace]) -> Plan:
    """Return a plan whose tasks take the paces that removals have now; a typed one stays."""

    def taken(task: PlanTask) -> PlanTask:
        if not task.like:
            return task
        is_typed = task.pace is not None and not task.pace.entry_id
        return task if is_typed else replace(task, pace=paces.get(task.like))

    return replace(plan, tasks=tuple(taken(task) for task in plan.tasks))


def pace_guess(pace: Pace) -> dict[str, Any]:
    """Return a pace as the rate that the log then corrects: one pace holds to a factor of two."""
    return {
        "median_hours": 1 / pace.quantity_each_hour,
        "cv": FACTOR_OF_TWO_CV,
        "rests_on": pace.rests_on[:500],
        "kind": "estimated",
        "origin": f"entry:{pace.entry_id}" if pace.entry_id else "typed",
    }


def basis_with_paces(plan: Plan, basis: str) -> str:
    """Return the basis of an estimate with the paces that it was reckoned from."""
    paces = [f"{task.name}: {task.pace.rests_on}" for task in plan.tasks if task.pace]
    return "\n".join([basis, *paces])


def fill_cm2_in_a_cm(reader: Reader, dossier_id: str) -> float | None:
    """Return how many cm2 of old fill lie on a cm of it, or None while no fill is drawn so."""
    area = length = 0.0
    scales = scales_in(reader, dossier_id)
    for _, mark in current_records(reader, dossier_id, "mark"):
        if mark.term_id not in OLD_FILLS or not _is_area(mark):
            continue
        sizes = {one.name: one.mean for one in mark_quantities(mark, scales)}
        if sizes.get("area") and sizes.get("perimeter"):
            area += (sizes["area"] or 0.0) / 100
            length += (sizes["perimeter"] or 0.0) / 20
    return area / length if length else None


def task_of(reader: Reader, dossier_id: str, removal: PlanRemoval) -> str:
    """Return the task of the hours that a removal belongs to: old fills, else the coating."""
    terms = {
        mark.term_id
        for _, mark in current_records(reader, dossier_id, "mark")
        if mark.number in removal.mark_numbers
    }
    is_fill = terms <= OLD_FILLS if terms else "fill" in removal.what.casefold()
    return FILL if is_fill else COATING


def pace_of(way: RemovalWay | None) -> float | None:
    """Return the pace of a way in cm2 an hour: of its tool, or of its gel or swab."""
    if way is None or way.leaving is Leaving.LEAVE:
        return None
    dry = way.means in (Means.TOOL, Means.WARMTH)
    return way.by_tool.cm2_per_hour if dry else way.by_liquid.cm2_per_hour


def _of_ways(reader: Reader, dossier_id: str) -> Iterator[Timed]:
    for entry, removal in current_records(reader, dossier_id, "plan_removal"):
        subject = way_subject(entry)
        standing = reader.latest("removal_way", subject)
        if standing is None or standing.kind != "removal_way":
            continue
        kept, way = current_record(reader, dossier_id, "removal_way", subject)
        pace = pace_of(way)
        if pace is not None:
            task = task_of(reader, dossier_id, removal)
            words = f"removal {removal.number} with {_with_what(way)}"
            yield Timed(task, pace, words, kept.id)


def _of_tests(reader: Reader, dossier_id: str) -> Iterator[Timed]:
    tests: list[tuple[Entry, SpotTest]] = current_records(reader, dossier_id, "spot_test")
    for entry, test in tests:
        # A tool that took nothing off, or touched the object, has no pace to plan with.
        worked = test.coating_observed is not Outcome.NONE and test.object_observed is OnObject.NONE
        if worked and test.cm2_per_hour is not None:
            words = f"spot test {test.number} with {test.agent}"
            yield Timed(COATING, test.cm2_per_hour, words, entry.id)


def _with_what(way: RemovalWay) -> str:
    if way.means in (Means.TOOL, Means.WARMTH):
        return way.by_tool.tool
    parts = " + ".join(one.solvent for one in way.by_liquid.shares)
    return f"{parts} by {way.by_liquid.carrier.value}"


def _is_area(mark: Mark) -> bool:
    return mark.sightings[0].geometry.shape is Shape.AREA


def way_subject(removal_entry: Entry) -> str:
    """Return the subject of a removal's way."""
    return f"{removal_entry.subject_id}:way"
