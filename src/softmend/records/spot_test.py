"""Spot tests: one agent or tool on one numbered patch, what it did to the coating and the object.

What happened to the coating and what happened to the object are two answers. Anything but "none"
on the object stops the tests until a person has decided, with a reason, whether they go on.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from softmend.records.dossier import NOT_KNOWN


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
