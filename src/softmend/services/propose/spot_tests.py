"""Spot tests: grids laid on views, tests recorded on their patches, decisions after an effect."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace

from softmend.errors import InputError, NotFoundError, RuleError
from softmend.records.air_question import AirQuestion, check_asked_before_swab
from softmend.records.entry import Entry
from softmend.records.mark import Geometry, Shape
from softmend.records.spot_test import OnObject, PatchGrid, SpotDecision, SpotTest
from softmend.records.spot_test_rules import (
    check_may_test,
    check_patch_is_free,
    check_test_correction,
    check_wet_test_is_explained,
    checked_decision,
    checked_grid,
    checked_test,
)
from softmend.records.view import View
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.examine.quantities import measured_drawing, scales_in
from softmend.services.numbered import append_numbered, record_numbered
from softmend.services.propose.removing_gate import (
    agent_payload,
    refuse_locked_agent,
    refuse_locked_tool,
    residues_are_asked,
)
from softmend.services.propose.wet_steps import wet_step_findings
from softmend.services.recording import append_record, current_record, current_records
from softmend.services.store import Reader


@dataclass(frozen=True)
class GridOn:
    """One grid with its view, and how large a patch is on the object as far as a scale tells."""

    entry: Entry
    grid: PatchGrid
    view: View
    patch_text: str


def grids_in(reader: Reader, dossier_id: str) -> list[GridOn]:
    """Return the grids of a dossier in the order of their letters."""
    return [
        GridOn(
            entry,
            grid,
            current_record(reader, dossier_id, "view", grid.view_id)[1],
            patch_text(reader, dossier_id, grid),
        )
        for entry, grid in current_records(reader, dossier_id, "patch_grid")
    ]


def grid_of(reader: Reader, dossier_id: str, number: int) -> GridOn:
    """Return one grid by its number."""
    for one in grids_in(reader, dossier_id):
        if one.grid.number == number:
            return one
    raise NotFoundError("There is no grid of patches of that number", value=number)


def lay_grid(bench: Bench, author: Author, dossier_id: str, grid: PatchGrid) -> Entry:
    """Record a grid of numbered patches on a view."""
    with bench.store.reading() as reader:
        _, view = current_record(reader, dossier_id, "view", grid.view_id)
    checked = checked_grid(grid, view.width_px, view.height_px)
    return record_numbered(bench, author, dossier_id, checked)


def patch_side_px(reader: Reader, dossier_id: str, view_id: str, side_mm: float) -> float:
    """Return how many pixels of a view a patch of so many mm takes, where its scale tells."""
    measured = _line_mm(reader, dossier_id, view_id, 100.0)
    if measured is None:
        raise InputError(
            "This view has no scale, so a patch of so many mm cannot be drawn on it",
            value=f"{side_mm:g} mm",
            remedy="Set the scale of the view, or give the patch in pixels",
        )
    return 100.0 * side_mm / measured


def patch_text(reader: Reader, dossier_id: str, grid: PatchGrid) -> str:
    """Return how large a patch is on the object, or that no scale tells."""
    measured = _line_mm(reader, dossier_id, grid.view_id, 100.0)
    if measured is None:
        return f"{grid.patch_px:.0f} px (no scale)"
    return f"about {float(f'{grid.patch_px * measured / 100:.2g}'):g} mm a side"


def spot_tests_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, SpotTest]]:
    """Return the tests in the order of their numbers, failures too."""
    return current_records(reader, dossier_id, "spot_test")


def decisions_in(reader: Reader, dossier_id: str) -> list[SpotDecision]:
    """Return what was decided after the object showed an effect, by the number of the test."""
    return [one for _, one in current_records(reader, dossier_id, "spot_decision")]


def waits_for_decision(reader: Reader, dossier_id: str) -> list[SpotTest]:
    """Return the tests that showed an effect on the object and wait for a decision."""
    decided = {one.test_number for one in decisions_in(reader, dossier_id)}
    return [
        test
        for _, test in spot_tests_in(reader, dossier_id)
        if test.object_observed is not OnObject.NONE and test.number not in decided
    ]


def air_in(reader: Reader, dossier_id: str) -> tuple[str, AirQuestion | None]:
    """Return the question about the air and its entry, or None while nobody answered it."""
    for entry, air in current_records(reader, dossier_id, "air_question"):
        return entry.id, air
    return "", None


def record_test(
    bench: Bench,
    author: Author,
    dossier_id: str,
    test: SpotTest,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record one test, or a correction of one with its reason.

    Refused: a locked agent that nobody opened; a further test while an effect on the object waits
    for a decision; the first swab before gloves, fire, waste and residues were asked about.
    """
    with bench.store.writing() as writer:
        known = spot_tests_in(writer, dossier_id)
        if subject_id:
            _, before = current_record(writer, dossier_id, "spot_test", subject_id)
            test = replace(test, number=before.number)
            check_test_correction(before, test)
        else:
            check_may_test([one for _, one in known], decisions_in(writer, dossier_id))
        grid = grid_of(writer, dossier_id, test.grid_number).grid
        checked = checked_test(test, grid, bench_day(bench))
        others = [one for entry, one in known if entry.subject_id != subject_id]
        check_patch_is_free(checked, others)
        _check_repeat(checked, others)
        for view_id in checked.view_ids:
            current_record(writer, dossier_id, "view", view_id)
        if checked.is_wet:
            _check_liquid(writer, dossier_id, checked)
        elif checked.tool is not None:
            refuse_locked_tool(writer, dossier_id, checked.tool.tool)
        entry = append_numbered(
            bench, writer, author, dossier_id, checked, subject_id=subject_id, based_on=based_on
        )
        writer.commit()
    return entry


def decide_after(bench: Bench, author: Author, dossier_id: str, decision: SpotDecision) -> Entry:
    """Record what a person decided after a test touched the object; a later one follows it."""
    checked = checked_decision(decision)
    subject_id = f"{dossier_id}:after test {checked.test_number}"
    with bench.store.writing() as writer:
        numbers = [one.number for _, one in spot_tests_in(writer, dossier_id)]
        if checked.test_number not in numbers:
            raise NotFoundError("There is no spot test of that number", value=checked.test_number)
        standing = writer.latest("spot_decision", subject_id)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=subject_id,
            record=checked,
            based_on=standing.id if standing else "",
        )
        writer.commit()
    return entry


def _check_liquid(reader: Reader, dossier_id: str, test: SpotTest) -> None:
    air = air_in(reader, dossier_id)[1]
    check_asked_before_swab(air, residues_are_asked(reader, dossier_id))
    owed = [one.problem for one in wet_step_findings(reader, dossier_id)]
    check_wet_test_is_explained(test, owed)
    agent = agent_payload(test.shares, test.carrier, test.carrier_name, test.carrier_shares)
    refuse_locked_agent(reader, dossier_id, agent)
    # The bottle may say more than the name does; what clears touches the object as well.
    cleared = "" if test.clearance is None else test.clearance.with_what
    refuse_locked_tool(reader, dossier_id, test.batch, cleared)


def _check_repeat(test: SpotTest, others: list[SpotTest]) -> None:
    if test.repeats_number is None:
        return
    first = next((one for one in others if one.number == test.repeats_number), None)
    if first is None:
        raise InputError("There is no earlier test of that number", value=test.repeats_number)
    if first.shares != test.shares:
        raise RuleError(
            f"A repeat tries what test {first.number} tried: {first.agent}",
            remedy="Record it as a test of its own",
        )


def _line_mm(reader: Reader, dossier_id: str, view_id: str, length_px: float) -> float | None:
    """Return how many mm a level line in the middle of a view is, or None without a scale."""
    scale = scales_in(reader, dossier_id).get(view_id)
    if scale is None:
        return None
    _, view = current_record(reader, dossier_id, "view", view_id)
    x, y = view.width_px / 2 - length_px / 2, view.height_px / 2
    line = Geometry(Shape.LINE, (((x, y), (x + length_px, y)),))
    return measured_drawing(line, scale).mean
