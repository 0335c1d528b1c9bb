"""The treatment proposal: options, why, steps with stop rules, materials, fills, the coating."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.mixing import MakeUp, refuse_bare_percentage


class Aim(Enum):
    """What an action is for; one action may serve several aims."""

    PREVENT = "prevent"
    STABILISE = "stabilise"
    RESTORE = "restore"


class Route(Enum):
    """How sure it is that a material can be taken off again."""

    TESTED = "tested"
    LITERATURE = "literature"
    UNKNOWN = "unknown"


class Warrant(Enum):
    """What entitles a fill to its shape; without one there is no fill."""

    STRUCTURE = "structural need"
    EDGES = "shape fixed by surviving edges on both sides"
    DOCUMENT = "shape known from a document"
    READING = "reading of the object"
    NONE = "none given"


class Level(Enum):
    """Where the surface of a fill lies."""

    FLUSH = "flush"
    SET_BACK = "set back"


class ToneRule(Enum):
    """How far the tone of a fill follows its surroundings."""

    MATCHED = "matched at a stated distance"
    HALF = "half tone"
    PLAIN = "plain"


class Coat(Enum):
    """The answer to the coating question; none is a decision like the others (rule 11)."""

    NOT_ANSWERED = "not answered"
    NONE = "no coating"
    LOCAL = "local"
    ALL_OVER = "all over"


@dataclass(frozen=True)
class Hours:
    """Bench hours of one task: low, likely, high, and what they rest on."""

    low_h: float
    likely_h: float
    high_h: float
    basis: str = "guess"

    @property
    def mean_h(self) -> float:
        """Return the three-point mean (low + 4 likely + high) / 6: the right tail counts."""
        return (self.low_h + 4 * self.likely_h + self.high_h) / 6


@dataclass(frozen=True)
class Option:
    """One way to go on: what comes of it, what it risks, what it blocks later, what it takes."""

    name: str
    result: str = NOT_KNOWN
    risk: str = NOT_KNOWN
    blocks_later: str = NOT_KNOWN
    leaves_undone: str = NOT_KNOWN
    hours: Hours | None = None
    cost: str = NOT_KNOWN


NOTHING, LESS = "do nothing", "do less"


@dataclass(frozen=True)
class Options:
    """The options side by side; "do nothing" and "do less" cannot be left out (rule 12).

    `chosen` is the name of the option that the steps below it carry out.
    """

    nothing: Option = Option(NOTHING)
    less: Option = Option(LESS)
    fuller: tuple[Option, ...] = ()
    chosen: str = NOT_KNOWN
    chosen_because: str = NOT_KNOWN

    @property
    def rows(self) -> tuple[Option, ...]:
        """Return every option, from nothing upward."""
        return (self.nothing, self.less, *self.fuller)


@dataclass(frozen=True)
class Coating:
    """The coating question and its answer; "no coating" carries its reasons too."""

    answer: Coat = Coat.NOT_ANSWERED
    reasons: tuple[str, ...] = ()
    where: str = NOT_KNOWN
    instead: str = NOT_KNOWN


@dataclass(frozen=True)
class Proposal:
    """Why anything is done, what it is for, what is asked beside it, and what would stop it."""

    significance: str = NOT_KNOWN
    significance_asked_of: str = NOT_KNOWN
    aims: tuple[Aim, ...] = ()
    aims_in_words: str = NOT_KNOWN
    why_act: str = NOT_KNOWN
    better_conditions_alone: str = NOT_KNOWN
    tests_reported: str = NOT_KNOWN
    fragments: str = NOT_KNOWN
    coating: Coating = field(default_factory=Coating)
    sampling_asked: str = NOT_KNOWN
    limits: str = NOT_KNOWN
    residual_risk: str = NOT_KNOWN
    hours_agreed_h: float | None = None
    hours_over_percent: float | None = None
    environment_afterwards: str = NOT_KNOWN
    people_and_disposal: str = NOT_KNOWN
    comes_back_when: str = NOT_KNOWN


@dataclass(frozen=True)
class PlanStep:
    """One numbered step: what is done, where, with which materials, and when to stop.

    The number is for ever; `place` puts the steps in order. Marks, zones and materials are
    named by their human numbers.
    """

    number: int
    action_id: str
    what: str
    stop_rule: str
    place: int = 0
    aims: tuple[Aim, ...] = ()
    mark_numbers: tuple[int, ...] = ()
    body_zone_numbers: tuple[int, ...] = ()
    on_zone_numbers: tuple[int, ...] = ()
    material_numbers: tuple[int, ...] = ()
    hours: Hours | None = None
    why: str = NOT_KNOWN


@dataclass(frozen=True)
class PlanMaterial:
    """One material exactly: what it is by its generic name, how it is made up, how it comes off."""

    number: int
    generic_name: str
    grade: str = NOT_KNOWN
    supplier: str = NOT_KNOWN
    make_up: MakeUp | None = None
    route: Route = Route.UNKNOWN
    comes_off_how: str = NOT_KNOWN
    route_source: str = NOT_KNOWN
    why: str = NOT_KNOWN
    ageing: str = NOT_KNOWN
    hazard: str = NOT_KNOWN
    effect_on_analysis: str = NOT_KNOWN
    strength_against_object: str = NOT_KNOWN


@dataclass(frozen=True)
class PlanFill:
    """One fill: its warrant, its level, its visibility rule, and how it is found again."""

    number: int
    mark_numbers: tuple[int, ...]
    warrant: Warrant = Warrant.NONE
    warrant_grounds: str = NOT_KNOWN
    level: Level = Level.FLUSH
    set_back_mm: float | None = None
    texture: str = NOT_KNOWN
    tone: ToneRule = ToneRule.PLAIN
    tone_distance_m: float | None = None
    detected_by: str = NOT_KNOWN
    curator_yes_by: str = NOT_KNOWN
    material_numbers: tuple[int, ...] = ()

    @property
    def about(self) -> str:
        """Return the fill as a pass of rule 8 names it."""
        return "fill of mark " + ", ".join(str(number) for number in self.mark_numbers)


@dataclass(frozen=True)
class PlanRemoval:
    """Earlier work that is to come off: what, why, what it carries, and where it is kept."""

    number: int
    what: str
    because: str
    body_zone_numbers: tuple[int, ...] = ()
    mark_numbers: tuple[int, ...] = ()
    carries: str = NOT_KNOWN
    secured_first: str = NOT_KNOWN
    kept_where: str = NOT_KNOWN


def checked_hours(hours: Hours) -> Hours:
    """Return three hours in their order, none below nothing."""
    if not 0 <= hours.low_h <= hours.likely_h <= hours.high_h:
        raise InputError(
            "Hours are a range: low, likely, high",
            value=f"{hours.low_h:g}, {hours.likely_h:g}, {hours.high_h:g} h",
            allowed="0 ≤ low ≤ likely ≤ high",
            remedy="Put them in order",
        )
    return hours


def total_hours(hours: Iterable[Hours | None]) -> Hours | None:
    """Return the sums of low, likely and high, or None where nothing is estimated."""
    known = [one for one in hours if one is not None]
    if not known:
        return None
    return Hours(
        low_h=sum(one.low_h for one in known),
        likely_h=sum(one.likely_h for one in known),
        high_h=sum(one.high_h for one in known),
        basis="; ".join(dict.fromkeys(one.basis for one in known)),
    )


def checked_options(options: Options) -> Options:
    """Return the options if each has a name of its own and the chosen one is among them."""
    names = [option.name.strip() for option in options.rows]
    if "" in names or len(set(names)) < len(names):
        raise InputError("Each option needs a name of its own", value=", ".join(names))
    if (options.nothing.name, options.less.name) != (NOTHING, LESS):
        raise RuleError("“Do nothing” and “do less” keep their names", rule=12)
    if options.chosen not in (NOT_KNOWN, *names):
        raise InputError(
            "The chosen option is not one of the options",
            value=options.chosen,
            allowed=", ".join(names),
        )
    if options.chosen != NOT_KNOWN and options.chosen_because == NOT_KNOWN:
        raise InputError("Choosing an option needs a reason", remedy="Say why this one")
    for option in options.rows:
        if option.hours is not None:
            checked_hours(option.hours)
    return options


def checked_proposal(proposal: Proposal) -> Proposal:
    """Return the proposal if its answers are answers: a coating decision has its reasons."""
    coating = proposal.coating
    if coating.answer is not Coat.NOT_ANSWERED and not any(one.strip() for one in coating.reasons):
        raise RuleError(
            f"“{coating.answer.value}” is a decision and needs its reasons",
            rule=11,
            remedy="Choose a reason or write one",
        )
    if coating.answer is Coat.LOCAL and coating.where == NOT_KNOWN:
        raise InputError("A local coating needs its place", remedy="Say where")
    if proposal.hours_agreed_h is not None and not 0 < proposal.hours_agreed_h <= 100_000:
        raise InputError(
            "The agreed hours are not a number of hours",
            value=f"{proposal.hours_agreed_h:g} h",
            allowed="above 0 to 100000 h",
        )
    if proposal.hours_over_percent is not None and not 0 < proposal.hours_over_percent <= 1000:
        raise InputError(
            "Hours come back for consent when they pass a stated share",
            value=f"{proposal.hours_over_percent:g} %",
            allowed="above 0 to 1000 %",
        )
    return proposal


def coating_finding(proposal: Proposal) -> str:
    """Return that the coating question is open (rule 11), or "" once it is answered."""
    if proposal.coating.answer is Coat.NOT_ANSWERED:
        return "Answer the coating question; “no coating” with its reasons is an answer"
    return ""


def checked_step(step: PlanStep) -> PlanStep:
    """Return the step if it says what is done and when to stop, without a bare percentage."""
    if not step.what.strip():
        raise InputError("A step needs what is done", remedy="Say it in a sentence")
    if step.stop_rule.strip() in ("", NOT_KNOWN):
        raise InputError(
            "A step needs its stop rule",
            remedy="For example: stop when the swab takes colour, or at mark 4",
        )
    refuse_bare_percentage(step.what, step.stop_rule)
    if step.hours is not None:
        checked_hours(step.hours)
    return step


def checked_material(material: PlanMaterial) -> PlanMaterial:
    """Return the material if it is exact: no bare percentage (rule 9), no route without grounds."""
    if not material.generic_name.strip():
        raise InputError("A material needs its generic name")
    refuse_bare_percentage(material.generic_name, material.grade, material.comes_off_how)
    if material.route is not Route.UNKNOWN and NOT_KNOWN in (
        material.comes_off_how,
        material.route_source,
    ):
        raise InputError(
            f"A removal route that is “{material.route.value}” needs how and its source",
            remedy="Give the solvent or tool, the time and the mock-up, or choose “unknown”",
        )
    made = material.make_up
    if made is not None and (made.solute_mass_g <= 0 or made.solvent_mass_g <= 0):
        raise InputError(
            "A preparation is made of two weighed parts",
            value=f"{made.solute_mass_g:g} g and {made.solvent_mass_g:g} g",
            allowed="above 0 g",
        )
    return material


def fill_findings(fill: PlanFill) -> tuple[str, ...]:
    """Return what a fill lacks (rule 8): a warrant with its grounds, and a way to be detected."""
    found = []
    if fill.warrant is Warrant.NONE or fill.warrant_grounds == NOT_KNOWN:
        found.append("A fill needs its warrant and the grounds for it; without one, no fill")
    if fill.detected_by == NOT_KNOWN:
        found.append("A fill needs a way to be detected")
    if fill.warrant is Warrant.READING:
        if fill.curator_yes_by == NOT_KNOWN:
            found.append("A fill that is a reading of the object needs a curator's named yes")
        if fill.level is Level.FLUSH and fill.tone is ToneRule.MATCHED:
            found.append("A fill that is a reading of the object needs a visible difference")
    return tuple(found)


def checked_fill(fill: PlanFill) -> PlanFill:
    """Return the fill if it says where it is and how its level and tone are meant."""
    if not fill.mark_numbers:
        raise InputError("A fill needs the mark that it fills", remedy="Give the mark's number")
    if fill.level is Level.SET_BACK and not (fill.set_back_mm or 0) > 0:
        raise InputError("A fill that is set back needs by how much", allowed="above 0 mm")
    if fill.tone is ToneRule.MATCHED and not (fill.tone_distance_m or 0) > 0:
        raise InputError("A matched tone needs its distance", allowed="above 0 m")
    return fill


def checked_removal(removal: PlanRemoval) -> PlanRemoval:
    """Return the removal if it says what comes off, why, and what the old work carries."""
    for name, value in (
        ("what comes off", removal.what),
        ("the reason", removal.because),
        ("what the old work carries", removal.carries),
        ("where it is kept", removal.kept_where),
    ):
        if value.strip() in ("", NOT_KNOWN):
            raise InputError(
                f"Taking off earlier work needs {name}",
                remedy="“Nothing, checked by …” and “not kept, because …” are answers; "
                "leaving it is an option",
            )
    return removal
