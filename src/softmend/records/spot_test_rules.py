"""What a spot test must say, when the tests stop, and what is owed beside them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.spot_test import (
    LEAVES_RESIDUE,
    GoOn,
    OnObject,
    PatchGrid,
    Role,
    SpotDecision,
    SpotTest,
)

MOST_COLUMNS, MOST_ROWS = 12, 12
ONE_IN = 5
"""One test in five is owed as a repeat; it tells how often a reading slips."""


def checked_grid(grid: PatchGrid, width_px: int, height_px: int) -> PatchGrid:
    """Return a grid if it lies on its view and has patches that can be told apart."""
    if not (1 <= grid.columns <= MOST_COLUMNS and 1 <= grid.rows <= MOST_ROWS):
        raise InputError(
            "A grid has rows and columns",
            value=f"{grid.columns} by {grid.rows}",
            allowed=f"1 to {MOST_COLUMNS} columns, 1 to {MOST_ROWS} rows",
        )
    if grid.patch_px < 4:
        raise InputError(
            "A patch this small cannot be seen on the view",
            value=f"{grid.patch_px:.1f} px",
            allowed="4 px or more",
            remedy="Take a closer photograph, or larger patches",
        )
    x, y, side = grid.box(grid.count)
    if grid.left_px < 0 or grid.top_px < 0 or x + side > width_px or y + side > height_px:
        raise InputError(
            "The grid leaves the photograph",
            value=f"its last patch ends at {x + side:.0f}, {y + side:.0f} px",
            allowed=f"inside {width_px} by {height_px} px",
            remedy="Begin further up and to the left, or take fewer or smaller patches",
        )
    return grid


def checked_test(test: SpotTest, grid: PatchGrid, today: str) -> SpotTest:
    """Return a test if it says what was tried, where, and nothing impossible."""
    _check_day(test.done_on, today)
    if not 1 <= test.patch <= grid.count:
        raise InputError(
            f"Grid {grid.letter} has no patch of that number",
            value=test.patch,
            allowed=f"1 to {grid.count}",
        )
    if test.is_wet:
        _check_liquid(test)
    elif test.shares:
        raise InputError(
            f"{test.role.value} has no liquid".capitalize(), value=test.shares[0].solvent
        )
    if test.role is Role.TOOL and (test.tool is None or test.tool.tool.strip() in ("", NOT_KNOWN)):
        raise InputError("A test with a tool names the tool", remedy="Scalpel no. 15, wood stick …")
    if test.role is not Role.TOOL and test.tool is not None:
        raise InputError("Only a test with a tool has a tool", value=test.tool.tool)
    if test.role is Role.REPEAT and test.repeats_number is None:
        raise InputError("A repeat names the test that it repeats")
    if test.object_observed is not OnObject.NONE and test.stop_because == NOT_KNOWN:
        raise InputError(
            "The object showed an effect and the test says not why it ended",
            value=test.object_observed.value,
            remedy="Say what was seen and when it was stopped",
        )
    return test


def check_may_test(tests: Iterable[SpotTest], decisions: Iterable[SpotDecision]) -> None:
    """Refuse a further test while an effect on the object waits for a decision, or after a stop."""
    decided = {one.test_number: one for one in decisions}
    for test in tests:
        if test.object_observed is OnObject.NONE:
            continue
        standing = decided.get(test.number)
        if standing is None:
            raise RuleError(
                f"Stop: test {test.number} ({test.agent}) showed {test.object_observed.value} on "
                "the object",
                remedy="A person decides, with a reason, whether any test follows; then record it",
            )
        if standing.decision is GoOn.STOP:
            raise RuleError(
                f"{standing.decided_by} decided after test {test.number}: no further test",
                remedy="Leaving it is an option; a new decision needs a name and a reason",
            )


def check_patch_is_free(test: SpotTest, tests: Iterable[SpotTest]) -> None:
    """Refuse a patch that was wetted before: an earlier liquid answers with the new one."""
    for one in tests:
        same = (one.grid_number, one.patch, one.layer) == (
            test.grid_number,
            test.patch,
            test.layer,
        )
        if same and one.number != test.number and one.is_wet:
            raise InputError(
                f"On this patch lies test {one.number} ({one.agent})",
                value=f"patch {test.patch}",
                remedy="Take a fresh patch; a layer that came off has the next layer number",
            )


def checked_decision(decision: SpotDecision) -> SpotDecision:
    """Return a decision if a person and a reason stand behind it."""
    if decision.decided_by.strip() in ("", NOT_KNOWN) or not decision.because.strip():
        raise InputError("The decision needs a name and a reason", remedy="Who decides, and why")
    return decision


def check_test_correction(before: SpotTest, after: SpotTest) -> None:
    """Refuse a correction without a reason, or one that takes another's number (rule 3)."""
    if after.number != before.number:
        raise RuleError("A test keeps its number", rule=3, remedy="Record a new test")
    if not after.correction_because.strip():
        raise RuleError(
            "A test is never overwritten; a correction is a further entry with its reason",
            rule=3,
            remedy="Say why it is corrected; failures are kept",
        )


def check_wet_test_is_explained(test: SpotTest, owed: Sequence[str]) -> None:
    """Refuse a wet test without a reason while something is owed before the first wet step."""
    if test.is_wet and owed and not test.wet_because.strip():
        raise RuleError(
            f"This test is wet, and before the first wet step is owed: {'; '.join(owed)}",
            remedy="Answer it under Before wet work, or say why it is tested all the same",
        )


def prompts(tests: Sequence[SpotTest], said: Callable[[str], str] = str) -> tuple[str, ...]:
    """Return the controls that are owed now: a dry swab, a bare patch, one repeat in five.

    `said` tells an agent as people call it.
    """
    if not tests:
        return ("Begin dry: a dry swab; a brush or scalpel under the lens where it is sound",)
    found = []
    if not any(one.role is Role.DRY for one in tests):
        found.append("A dry swab is owed: it shows what comes off without any liquid")
    judged = [one for one in tests if one.judges_coating]
    repeats = sum(one.role is Role.REPEAT for one in judged)
    if len(judged) >= ONE_IN - 1 and repeats < (len(judged) + 1) // ONE_IN:
        found.append("One test in five is a repeat: do an earlier one again on a fresh patch")
    bare = {_liquids(one) for one in tests if one.role is Role.BARE}
    untried = [one for one in judged if _liquids(one) not in bare]
    if untried:
        found.append(f"{said(untried[-1].agent)}: the same, as long, on a bare patch of the object")
    return tuple(found)


def _liquids(test: SpotTest) -> frozenset[tuple[str, float]]:
    return frozenset((one.solvent, one.volume_percent) for one in test.shares)


def _check_liquid(test: SpotTest) -> None:
    if not test.shares:
        raise InputError(
            "A wet test names what was on the swab", remedy="Choose a solvent, or “a dry swab”"
        )
    if test.carrier in LEAVES_RESIDUE and (
        test.clearance is None or test.clearance.with_what.strip() in ("", NOT_KNOWN)
    ):
        raise InputError(
            f"A {test.carrier.value} is cleared as a step of its own",
            remedy="Say with what it was cleared, how long, and what was left",
        )


def _check_day(done_on: str, today: str) -> None:
    try:
        day = date.fromisoformat(done_on)
    except ValueError as unread:
        raise InputError(
            "The day of the test cannot be read", value=done_on, allowed="a date, as 2026-03-02"
        ) from unread
    if day > date.fromisoformat(today):
        raise InputError("This day has not come yet", value=done_on, allowed=f"up to {today}")
