"""Spot tests: one agent or tool on one numbered patch, what it did to the coating and the object.

What happened to the coating and what happened to the object are two answers. Anything but "none"
on the object stops the tests until a person has decided, with a reason, whether they go on.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import Enum

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN

MOST_COLUMNS, MOST_ROWS = 12, 12
ONE_IN = 5
"""One test in five is owed as a repeat; it tells how often a reading slips."""


class Coating(Enum):
    """What a test did to the coating, on the fixed scale from nothing upward."""

    NONE = "none"
    SWELLS = "swells"
    SOFTENS = "softens"
    DISSOLVES = "dissolves"


class OnObject(Enum):
    """What a test did to the object; anything but none is a stop."""

    NONE = "none"
    GLOSS = "gloss"
    BLANCH = "blanch"
    TACK = "tack"
    SWELLING = "swelling"
    ON_SWAB = "colour or powder on swab"
    LIFTING = "lifting"


class Carrier(Enum):
    """How a liquid is brought to the surface."""

    SWAB = "swab"
    DROP = "drop"
    BRUSH = "brush"
    TISSUE = "tissue"
    VAPOUR = "vapour"
    GEL = "gel"
    POULTICE = "poultice"
    DISPERSION = "dispersion"
    WET_PULP = "wet pulp"


LEAVES_RESIDUE = (Carrier.GEL, Carrier.POULTICE, Carrier.DISPERSION, Carrier.WET_PULP)
"""Carriers that stay longer and leave something: clearing them is a step of its own."""


class Role(Enum):
    """What a test is for."""

    TEST = "a test"
    REPEAT = "a repeat of an earlier test"
    DRY = "a dry swab"
    BARE = "the same on a bare patch of the object"
    TOOL = "a tool, dry"


@dataclass(frozen=True)
class PatchGrid:
    """A grid of numbered patches on a view, in its pixels; patch 1 is at the top left.

    The number is that of the grid; it is shown as a letter (A, B, …).
    """

    number: int
    view_id: str
    left_px: float
    top_px: float
    patch_px: float
    columns: int
    rows: int
    because: str = NOT_KNOWN

    @property
    def letter(self) -> str:
        """Return the letter of the grid: A, B, …, Z, AA."""
        text, left = "", self.number
        while left > 0:
            left, step = divmod(left - 1, 26)
            text = chr(65 + step) + text
        return text

    @property
    def step_px(self) -> float:
        """Return the distance from one patch to the next: a patch and a bare strip between."""
        return 1.35 * self.patch_px

    @property
    def count(self) -> int:
        """Return how many patches there are."""
        return self.columns * self.rows

    def box(self, patch: int) -> tuple[float, float, float]:
        """Return the left, the top and the side of one patch, in pixels of the view."""
        row, column = divmod(patch - 1, self.columns)
        step = self.step_px
        return self.left_px + column * step, self.top_px + row * step, self.patch_px

    def name(self, patch: int) -> str:
        """Return the name of a patch, such as A3."""
        return f"{self.letter}{patch}"


@dataclass(frozen=True)
class Share:
    """One liquid of an agent and its share by volume."""

    solvent: str
    volume_percent: float = 100.0


@dataclass(frozen=True)
class Clearance:
    """How an agent was cleared: with what, how long, and what was seen afterwards."""

    with_what: str
    dwell_s: float | None = None
    residue_observed: str = NOT_KNOWN


@dataclass(frozen=True)
class ToolUse:
    """A tool without a liquid: heat, how deep, how near the original, and the sign to stop at."""

    tool: str
    heat_degc: float | None = None
    depth_reached_mm: float | None = None
    distance_to_original_mm: float | None = None
    support: str = NOT_KNOWN
    stop_sign: str = NOT_KNOWN
    work_minutes: float | None = None


@dataclass(frozen=True)
class Tack:
    """How tacky a patch was so long after the last roll."""

    after_minutes: float
    tack_observed: str


@dataclass(frozen=True)
class SpotTest:
    """One test on one patch; every number that is None was not measured.

    `carrier_shares` are the liquids that a gel, poultice, dispersion or pulp is itself made up
    with; None is "nobody said", and is taken as water. `layer` 2 lies under a layer that came off.
    """

    number: int
    grid_number: int
    patch: int
    done_on: str
    role: Role = Role.TEST
    repeats_number: int | None = None
    layer: int = 1
    shares: tuple[Share, ...] = ()
    carrier: Carrier = Carrier.SWAB
    carrier_name: str = NOT_KNOWN
    carrier_shares: tuple[Share, ...] | None = None
    batch: str = NOT_KNOWN
    area_mm2: float | None = None
    applied_ml: float | None = None
    dwell_s: float | None = None
    passes: int | None = None
    waited_minutes: float | None = None
    clearance: Clearance | None = None
    tool: ToolUse | None = None
    coating_observed: Coating = Coating.NONE
    object_observed: OnObject = OnObject.NONE
    swab_observed: str = NOT_KNOWN
    tack: tuple[Tack, ...] = ()
    gloss_observed: str = NOT_KNOWN
    ultraviolet_observed: str = NOT_KNOWN
    magnification: str = NOT_KNOWN
    temperature_degc: float | None = None
    rh_percent: float | None = None
    stop_because: str = NOT_KNOWN
    view_ids: tuple[str, ...] = ()
    wet_because: str = ""
    correction_because: str = ""

    @property
    def is_wet(self) -> bool:
        """Say whether a liquid touched the object."""
        return self.role not in (Role.DRY, Role.TOOL)

    @property
    def judges_coating(self) -> bool:
        """Say whether the outcome tells of the coating and a liquid."""
        return self.role in (Role.TEST, Role.REPEAT)

    @property
    def agent(self) -> str:
        """Return what was tried, in words."""
        if self.role is Role.DRY:
            return "dry swab"
        if self.tool is not None:
            return self.tool.tool
        return agent_words(self.shares, self.carrier, self.carrier_name)

    @property
    def cm2_per_hour(self) -> float | None:
        """Return how much a tool took off in an hour, or None where it was not timed."""
        minutes = None if self.tool is None else self.tool.work_minutes
        if minutes is None or self.area_mm2 is None:
            return None
        return self.area_mm2 / 100 / (minutes / 60)


class GoOn(Enum):
    """What a person decided after the object showed an effect."""

    STOP = "no further test"
    GO_ON = "go on, on other patches"


@dataclass(frozen=True)
class SpotDecision:
    """What was decided after one test touched the object: by whom, and why."""

    test_number: int
    decision: GoOn
    decided_by: str
    because: str


def agent_words(shares: Sequence[Share], carrier: Carrier, carrier_name: str = NOT_KNOWN) -> str:
    """Return an agent in words: “acetone 30 % + ws-low 70 % (by volume), gel”."""
    if len(shares) == 1:
        liquid = shares[0].solvent
    else:
        parts = " + ".join(f"{one.solvent} {one.volume_percent:g} %" for one in shares)
        liquid = f"{parts} (by volume)"
    if carrier is Carrier.SWAB:
        return liquid
    named = "" if carrier_name == NOT_KNOWN else f" ({carrier_name})"
    return f"{liquid}, {carrier.value}{named}"


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


def prompts(tests: Sequence[SpotTest]) -> tuple[str, ...]:
    """Return the controls that are owed now: a dry swab, a bare patch, one repeat in five."""
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
        found.append(f"{untried[-1].agent}: the same, as long, on a bare patch of the object")
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
