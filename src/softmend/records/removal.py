"""Before anything comes off: what it carries, how it is taken off, and who opened which lock."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from enum import Enum

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.shelf import Freshness, ShelfItem, checked_item
from softmend.records.spot_test import LEAVES_RESIDUE, Carrier, Share

MOST_DISTANCE_MM = 1000.0


@dataclass(frozen=True)
class LockOverride:
    """A person's recorded decision that one rule of harm does not hold for this object."""

    rule: str
    decided_by: str
    because: str


@dataclass(frozen=True)
class SolventTurnedOn:
    """A restricted solvent that a person turned on for this object, with the reason."""

    solvent: str
    decided_by: str
    because: str


@dataclass(frozen=True)
class SolventItem:
    """One solvent as this house has it: the line of a shelf, its sheet, and when it was opened.

    Ethers form peroxides once opened: their bottles are dated.
    """

    line: ShelfItem
    sheet_read_on: str = NOT_KNOWN
    opened_on: str = NOT_KNOWN

    def freshness(self, today: date) -> Freshness:
        """Return how the bottle stands to its date."""
        return self.line.freshness(today)

    def is_offered(self, today: date) -> bool:
        """Say whether it is at hand, permitted and in date."""
        return self.line.is_offered(today)


@dataclass(frozen=True)
class CrackDistance:
    """How far from an open crack this house keeps a liquid: its own estimate, and on what ground.

    No published distance is known: a house sets its own, and every print says that it is one.
    """

    stays_away_mm: float
    because: str


def checked_distance(distance: CrackDistance) -> CrackDistance:
    """Return the distance if it is one and says on what ground it was set."""
    if not 0 < distance.stays_away_mm <= MOST_DISTANCE_MM:
        raise InputError(
            "The distance from a crack is out of range",
            value=f"{distance.stays_away_mm:g} mm",
            allowed=f"more than 0, up to {MOST_DISTANCE_MM:g} mm",
        )
    if distance.because.strip() in ("", NOT_KNOWN):
        raise InputError(
            "The distance from a crack needs its ground",
            remedy="Say on what it rests, for example “swabs on a cracked offcut, seen under x 10”",
        )
    return replace(distance, because=distance.because.strip())


class Leaving(Enum):
    """Whether old work comes off; leaving it is an option like the other."""

    NOT_DECIDED = "not decided"
    LEAVE = "leave it"
    TAKE_OFF = "take it off"


class Behind(Enum):
    """What is behind or inside the old work."""

    NOT_KNOWN = "not known"
    NOTHING = "nothing"
    DOWEL = "a dowel"
    WIRE = "a wire or pin"
    OTHER = "something else"


class Held(Enum):
    """Whether a precaution was taken before the first stretch."""

    NOT_ANSWERED = "not answered"
    YES = "yes"
    NOT_NEEDED = "not needed, because …"


class Means(Enum):
    """How old work is taken off; a tool comes as first as a liquid."""

    TOOL = "a tool, dry"
    WARMTH = "a tool and warmth"
    LIQUID = "a liquid"
    CARRIED = "a liquid in a gel, tissue or poultice"


class Does(Enum):
    """What the agent was seen to do to the old work."""

    NOT_KNOWN = "not known"
    SWELLS = "only swells it"
    SOFTENS = "softens it"
    DISSOLVES = "dissolves it"


@dataclass(frozen=True)
class Precaution:
    """One precaution: taken, or not needed, and in either case how or why."""

    held: Held = Held.NOT_ANSWERED
    how: str = NOT_KNOWN


@dataclass(frozen=True)
class ByTool:
    """How a tool is used: heat, how far it may go, the sign to stop at, and its pace.

    `cm2_per_hour` is what a test or an hour at the bench gave; it feeds the hours of the plan.
    """

    tool: str = NOT_KNOWN
    heat_degc: float | None = None
    depth_allowed_mm: float | None = None
    distance_to_original_mm: float | None = None
    support: str = NOT_KNOWN
    magnification: str = NOT_KNOWN
    stop_sign: str = NOT_KNOWN
    residues: str = NOT_KNOWN
    cm2_per_hour: float | None = None


@dataclass(frozen=True)
class ByLiquid:
    """How a liquid is used: what, in what, how long, how it is cleared, and its pace if timed."""

    shares: tuple[Share, ...] = ()
    carrier: Carrier = Carrier.SWAB
    carrier_name: str = NOT_KNOWN
    carrier_shares: tuple[Share, ...] | None = None
    does: Does = Does.NOT_KNOWN
    dwell_s: float | None = None
    cleared_with: str = NOT_KNOWN
    cleared_s: float | None = None
    residues: str = NOT_KNOWN
    stays_away_mm: float | None = None
    crack_blocked_with: str = NOT_KNOWN
    cm2_per_hour: float | None = None


@dataclass(frozen=True)
class Stretch:
    """One stretch of the removal, in its order: a line on a view, and the check after it.

    `check_view_id` is the photograph that was taken when the stretch was done.
    """

    view_id: str
    from_x_px: float
    from_y_px: float
    to_x_px: float
    to_y_px: float
    what: str = NOT_KNOWN
    check_view_id: str = ""
    checked_observed: str = NOT_KNOWN

    @property
    def is_checked(self) -> bool:
        """Say whether the photograph after it is there."""
        return bool(self.check_view_id)


@dataclass(frozen=True)
class RemovalWay:
    """How one removal of the plan is gone about, or why the old work is left.

    `removal_number` is that of the plan's removal. `is_confined` says that the old work sits
    between walls, so that what swells it wedges them.
    """

    removal_number: int
    leaving: Leaving = Leaving.NOT_DECIDED
    leaving_because: str = NOT_KNOWN
    leaving_by: str = NOT_KNOWN
    behind: Behind = Behind.NOT_KNOWN
    behind_known_how: str = NOT_KNOWN
    supported: Precaution = Precaution()
    faced: Precaution = Precaution()
    secured: Precaution = Precaution()
    is_confined: bool = False
    means: Means = Means.TOOL
    by_tool: ByTool = ByTool()
    by_liquid: ByLiquid = ByLiquid()
    stretches: tuple[Stretch, ...] = ()


WEDGES = (
    "What only swells a confined fill wedges the crack: small stretches, a short dwell, and look "
    "again after each."
)
PRECAUTIONS = (("supported", "Supported"), ("faced", "Faced"), ("secured", "Secured"))


def checked_override(override: LockOverride, rules: tuple[str, ...]) -> LockOverride:
    """Return an override if it names a lock that exists, who decides and why."""
    if override.rule not in rules:
        raise InputError(
            "There is no lock of that name", value=override.rule, allowed=", ".join(rules)
        )
    _named(override.decided_by, override.because, f"Opening the lock “{override.rule}”")
    return override


def checked_turned_on(turned: SolventTurnedOn) -> SolventTurnedOn:
    """Return a restricted solvent turned on, if somebody says who decides and why."""
    _named(turned.decided_by, turned.because, f"Turning on {turned.solvent}")
    return turned


def checked_solvent(item: SolventItem) -> SolventItem:
    """Return a line of the shelf of solvents if it is whole and its days are days."""
    checked_item(item.line)
    for what, day in (("sheet was read", item.sheet_read_on), ("was opened", item.opened_on)):
        if day != NOT_KNOWN:
            try:
                date.fromisoformat(day)
            except ValueError as unread:
                raise InputError(
                    f"The day on which {item.line.material} {what} cannot be read",
                    value=day,
                    allowed="year-month-day, such as 2026-03-02",
                ) from unread
    return item


def checked_way(way: RemovalWay) -> RemovalWay:
    """Return a way of removal if its answers are answers and clearance is said where it is owed."""
    if way.leaving is not Leaving.NOT_DECIDED:
        _named(way.leaving_by, way.leaving_because, f"“{way.leaving.value}”")
    if way.behind is not Behind.NOT_KNOWN and way.behind_known_how == NOT_KNOWN:
        raise InputError(
            f"“{way.behind.value}” behind it needs how that is known",
            remedy="X-ray, seen from behind, tapped, a magnet; or choose “not known”",
        )
    for name, words in PRECAUTIONS:
        one: Precaution = getattr(way, name)
        if one.held is not Held.NOT_ANSWERED and one.how == NOT_KNOWN:
            raise InputError(f"“{words}” needs how, or why it is not needed")
    if way.means in (Means.LIQUID, Means.CARRIED):
        _check_by_liquid(way)
    return way


def owed_before_removal(way: RemovalWay | None) -> tuple[str, ...]:
    """Return what is to be answered before the first stretch; empty when the old work is left."""
    if way is None or way.leaving is Leaving.NOT_DECIDED:
        return ("Say whether it is left or taken off: leaving it is an option",)
    if way.leaving is Leaving.LEAVE:
        return ()
    found = []
    if way.behind is Behind.NOT_KNOWN and way.behind_known_how == NOT_KNOWN:
        found.append("Say whether a dowel or a wire is behind it, or how far that could be known")
    for name, words in PRECAUTIONS:
        one: Precaution = getattr(way, name)
        if one.held is Held.NOT_ANSWERED:
            found.append(f"{words} first? Say how, or why it is not needed")
    if not way.stretches:
        found.append("Draw the stretches in their order")
    return tuple(found)


def wedging_warning(way: RemovalWay) -> str:
    """Return the warning about an agent that only swells what is confined, or ""."""
    is_wet = way.means in (Means.LIQUID, Means.CARRIED)
    swells = way.by_liquid.does in (Does.SWELLS, Does.NOT_KNOWN)
    return WEDGES if way.is_confined and is_wet and swells else ""


def check_next_stretch(before: RemovalWay, number: int) -> None:
    """Refuse to call a stretch done while an earlier one has no photograph after it."""
    for place, stretch in enumerate(before.stretches[: number - 1], 1):
        if not stretch.is_checked:
            raise RuleError(
                f"Stretch {place} has no photograph after it",
                remedy="Photograph it and look, before the next stretch is begun",
            )


def _named(by: str, because: str, what: str) -> None:
    if by.strip() in ("", NOT_KNOWN) or because.strip() in ("", NOT_KNOWN):
        raise InputError(f"{what} needs a name and a reason", remedy="Who decides, and why")


def _check_by_liquid(way: RemovalWay) -> None:
    liquid = way.by_liquid
    if not liquid.shares:
        raise InputError("A removal with a liquid names the liquid")
    is_carried = liquid.carrier in LEAVES_RESIDUE
    if (way.means is Means.CARRIED or is_carried) and liquid.cleared_with == NOT_KNOWN:
        raise InputError(
            "Clearing is a required step: a carrier stays longer and leaves residues",
            value=liquid.carrier.value,
            remedy="Say with what it is cleared, how long, and what is looked for",
        )
