"""Scans of the object, and what is said on them: unit, matter, lines, voids, comparisons, stills.

A place on a scan is three numbers in the file's own coordinates, whatever its unit.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError
from softmend.records.crack_model import Told
from softmend.records.dossier import NOT_KNOWN
from softmend.records.told import check_told
from softmend.science.digits import rounded

Place3 = tuple[float, float, float]


class ScanUnitName(Enum):
    """The unit of a scan's file: as the measured length gives it, or named and confirmed by it."""

    BY_LENGTH = "by length"
    MM = "mm"
    CM = "cm"
    M = "m"
    INCH = "inch"


class VoidMouth(Enum):
    """What the person sees of a void's mouth."""

    HOLE = "a hole in the surface"
    OPEN_END = "an open end"
    NOT_SAID = "not said"


@dataclass(frozen=True)
class Scan:
    """One scan: its original, kept as it came, and what was found when it was read.

    `greatest_length` is in the file's own unit; `states` are those of solid.check.
    """

    number: int
    original_name: str
    original_sha256: str
    original_bytes: int
    form: str
    faces: int
    points: int
    greatest_length: float
    states: tuple[str, ...]
    shows: str = NOT_KNOWN
    made_by: str = NOT_KNOWN
    made_on: str = NOT_KNOWN
    made_how: str = NOT_KNOWN
    intake_notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class ScanLength:
    """The one length measured on the object that gives a scan its unit.

    `between` are two places of the scan, or none: then it is the greatest length.
    """

    length_mm: float
    expanded_mm: float
    unit: ScanUnitName = ScanUnitName.BY_LENGTH
    between: tuple[Place3, ...] = ()
    measured_with: str = NOT_KNOWN

    def text(self) -> str:
        """Return the length with its ±, to the same digit."""
        return rounded(self.length_mm, self.expanded_mm).text("mm")


@dataclass(frozen=True)
class OldFill:
    """An old fill within the object: volume and density with their ±, and its middle."""

    volume_ml: float
    volume_expanded_ml: float
    density_g_per_ml: float
    density_expanded_g_per_ml: float
    at: Place3


@dataclass(frozen=True)
class ScanMatter:
    """What a scanned object is made of, what is known of its inside, and what it weighed.

    `material` is one of the table of materials, or "not known"; a typed density goes before it.
    """

    material: str = NOT_KNOWN
    density_g_per_ml: Told | None = None
    density_grounds: str = NOT_KNOWN
    weighed_g: float | None = None
    weighed_expanded_g: float | None = None
    hollow_mouth: tuple[Place3, ...] = ()
    hollow_depth_mm: float | None = None
    fills: tuple[OldFill, ...] = ()


@dataclass(frozen=True)
class ForbiddenStretch:
    """A stretch along the object, in percent from the thicker end, where nothing may press."""

    from_percent: float
    to_percent: float
    why: str


@dataclass(frozen=True)
class ScanHolding:
    """How a scanned object is to be held; without pads, `place` of them are placed.

    `is_told_to_mount_maker` lets the mount-maker's page print the mass (it stays out otherwise).
    """

    down: Place3 = (0.0, 0.0, -1.0)
    support: str = "saddle"
    pads_percent: tuple[float, ...] = ()
    place: int = 3
    pad_length_mm: float = 60.0
    half_angle_degrees: float = 45.0
    foam_mpa: float = 0.16
    foam_thickness_mm: float = 25.0
    pressure_limit_kpa: float = 10.0
    tipping_least: float = 0.3
    friction: float = 0.4
    forbidden: tuple[ForbiddenStretch, ...] = ()
    is_told_to_mount_maker: bool = False


@dataclass(frozen=True)
class ScanLine:
    """A crack or join drawn on a scan: picks in order; the mark on the photographs, if linked."""

    number: int
    scan_id: str
    what: str
    picks: tuple[Place3, ...]
    mark_id: str = ""
    depth_mm: float | None = None
    clear_mm: float = 20.0


@dataclass(frozen=True)
class ScanVoid:
    """A void picked on a scan, to be stabilised by a fill and never rebuilt beyond its rim.

    `material` is the fill of the table of materials, laid in layers of at most `layer_mm`.
    """

    number: int
    scan_id: str
    what: str
    rim: tuple[Place3, ...]
    inside: Place3
    mouth: VoidMouth = VoidMouth.NOT_SAID
    fill_below_rim_mm: float | None = None
    mark_id: str = ""
    material: str = NOT_KNOWN
    layer_mm: float | None = None
    hours_a_layer: Told | None = None


@dataclass(frozen=True)
class ChangedPatch:
    """A patch of the earlier scan that may have changed: its loss is told, the fit leaves it out.

    The radius is in millimetres; the middle in the file's coordinates.
    """

    middle: Place3
    radius_mm: float


@dataclass(frozen=True)
class ScanComparison:
    """Two scans of two dates that are laid on one another; `level_mm` is None where not known."""

    earlier_scan_id: str
    later_scan_id: str
    noise_mm: float = 0.05
    level_mm: float | None = None
    changed: tuple[ChangedPatch, ...] = ()
    earlier_picks: tuple[Place3, ...] = ()
    later_picks: tuple[Place3, ...] = ()


@dataclass(frozen=True)
class ScanStill:
    """A still picture of a scan: kept as a file, looked at along `toward`, `up` upward on paper.

    `span` is the width of the picture in the file's unit, `middle` what lies at its centre. One
    that shows what changed names the later scan and the kept run whose distances colour it: none
    within `level_mm`, in full from `full_mm` on.
    """

    number: int
    scan_id: str
    shows: str
    picture_sha256: str
    width_px: int
    height_px: int
    toward: Place3
    up: Place3
    middle: Place3
    span: float
    for_mount_maker: bool = True
    later_scan_id: str = ""
    change_run_id: str = ""
    level_mm: float | None = None
    full_mm: float | None = None


LIMITS: dict[str, tuple[str, str, float, float]] = {
    "density_g_per_ml": ("The density", "g/mL", 0.05, 25),
}
FEWEST_RIM, MOST_RIM = 6, 12
MOST_FILLS = 3


def checked_length(length: ScanLength) -> ScanLength:
    """Return a measured length if it is possible."""
    _within("The measured length", length.length_mm, "mm", 1, 20_000)
    _within("The ± of the measured length", length.expanded_mm, "mm", 0.001, 2000)
    if len(length.between) not in (0, 2):
        raise InputError(
            "A measured length lies between two places of the scan",
            value=f"{len(length.between)} places",
            allowed="two, or none for the greatest length",
            remedy="Pick both ends",
        )
    return length


def checked_matter(matter: ScanMatter) -> ScanMatter:
    """Return what is said of the matter of an object if every value is possible."""
    check_told(matter, LIMITS)
    if matter.weighed_g is not None:
        _within("What it weighed", matter.weighed_g, "g", 0.1, 5e6)
        if matter.weighed_expanded_g is None:
            raise InputError("A weighing needs its ±", remedy="Say how far off the balance may be")
        _within("The ± of the weighing", matter.weighed_expanded_g, "g", 0.001, 5e5)
    if (matter.hollow_depth_mm is None) != (not matter.hollow_mouth):
        raise InputError(
            "A hollow that was probed needs its mouth and its depth",
            remedy="Pick three places or more round the mouth, and type the depth",
        )
    if matter.hollow_mouth and len(matter.hollow_mouth) < 3:
        raise InputError("The mouth needs three places or more", value=len(matter.hollow_mouth))
    if len(matter.fills) > MOST_FILLS:
        raise InputError(
            "Too many old fills", value=len(matter.fills), allowed=f"up to {MOST_FILLS}",
            remedy="Put the small ones together",
        )  # fmt: skip
    for fill in matter.fills:
        _check_fill(fill)
    return matter


def _check_fill(fill: OldFill) -> None:
    _within("The volume of an old fill", fill.volume_ml, "mL", 0.01, 1e6)
    _within("The density of an old fill", fill.density_g_per_ml, "g/mL", 0.05, 25)
    # A ± as wide as the value leaves nothing known of it; wider it would weigh less than nothing.
    _within("The ± of an old fill's volume", fill.volume_expanded_ml, "mL", 0.001, fill.volume_ml)
    _within(
        "The ± of an old fill's density", fill.density_expanded_g_per_ml, "g/mL", 0.001,
        fill.density_g_per_ml,
    )  # fmt: skip


def checked_holding(holding: ScanHolding) -> ScanHolding:
    """Return a way of holding if every number is possible."""
    for name, unit, least, most in (
        ("pad_length_mm", "mm", 1, 1000),
        ("half_angle_degrees", "°", 10, 85),
        ("foam_mpa", "MPa", 0.001, 100),
        ("foam_thickness_mm", "mm", 1, 500),
        ("pressure_limit_kpa", "kPa", 0.1, 10_000),
        ("tipping_least", "", 0, 5),
        ("friction", "", 0.01, 2),
    ):
        _within(name.rpartition("_")[0].replace("_", " ").capitalize() or name,
                getattr(holding, name), unit, least, most)  # fmt: skip
    for at in holding.pads_percent:
        _within("The place of a pad", at, "%", 0, 100)
    for one in holding.forbidden:
        _within("A stretch that must not be touched", one.from_percent, "%", 0, 100)
        _within("A stretch that must not be touched", one.to_percent, "%", 0, 100)
    if not math.hypot(*holding.down) > 0:
        raise InputError("Which way is down has no direction", value="0, 0, 0")
    return holding


def checked_line(line: ScanLine) -> ScanLine:
    """Return a line on a scan if it has two picks or more and a name."""
    if not 2 <= len(line.picks) <= 200:
        raise InputError(
            "A line on a scan needs its picks", value=len(line.picks), allowed="2 to 200",
            remedy="Pick along it in order",
        )  # fmt: skip
    _named(line.what, "crack at the fork")
    if line.depth_mm is not None:
        _within("The depth", line.depth_mm, "mm", 0, 2000)
    _within("How far pads stay clear of it", line.clear_mm, "mm", 0, 2000)
    return line


def checked_void(void: ScanVoid) -> ScanVoid:
    """Return a void if its rim has 6 to 12 picks and what is said of its fill is possible."""
    if not FEWEST_RIM <= len(void.rim) <= MOST_RIM:
        raise InputError(
            "The rim of a void needs its picks",
            value=len(void.rim),
            allowed=f"{FEWEST_RIM} to {MOST_RIM}",
            remedy="Pick round the rim in order; they are drawn to the crease",
        )
    _named(void.what, "loss at the tip of the second tine")
    if void.fill_below_rim_mm is not None:
        _within("The depth below the rim", void.fill_below_rim_mm, "mm", 0.1, 5000)
    if void.layer_mm is not None:
        _within("The thickness of a layer", void.layer_mm, "mm", 0.1, 500)
    check_told(void, {"hours_a_layer": ("The hours a layer", "h", 0.01, 500)})
    return void


def checked_comparison(comparison: ScanComparison) -> ScanComparison:
    """Return a comparison of two scans if its numbers are possible."""
    _within("The noise of the scans", comparison.noise_mm, "mm", 0.001, 20)
    if comparison.level_mm is not None:
        _within("The level", comparison.level_mm, "mm", 0, 50)
    for patch in comparison.changed:
        _within("The radius of a patch", patch.radius_mm, "mm", 0.1, 5000)
    earlier, later = len(comparison.earlier_picks), len(comparison.later_picks)
    if earlier != later or 0 < earlier < 3:
        raise InputError(
            "Like points stand on both scans, one for one",
            value=f"{earlier} and {later}",
            allowed="none, or 3 to 20 on each, in the same order",
            remedy="Pick them again",
        )
    return comparison


def _named(what: str, example: str) -> None:
    if not what.strip() or what == NOT_KNOWN:
        raise InputError("It needs a name", remedy=f"For example: {example}")


def _within(words: str, value: float, unit: str, least: float, most: float) -> None:
    if not (math.isfinite(value) and least <= value <= most):
        raise InputError(
            f"{words} is outside what is possible",
            value=f"{value:g} {unit}".strip(),
            allowed=f"{least:g} to {most:g} {unit}".strip(),
            remedy="Correct the number",
        )
