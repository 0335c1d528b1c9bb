"""What will take it off: single solvents first, a blend only where it gains, what was refused."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

from pydantic import Field

from softmend.catalogue.computation import Asked, Estimate, Model, Words
from softmend.catalogue.exposure_limit import STAND_IN_PPM, limit_of
from softmend.catalogue.solvency_agent import (
    GUIDE,
    NOT_PROVEN,
    AgentInput,
    Known,
    Name,
    OwnSolvent,
    Part,
    SolvencyAnswer,
    known,
    known_parts,
    label,
    marks,
    placed,
    wanted,
    worked_liquids,
)
from softmend.catalogue.solvency_coating import Coating, Keep, Suspected, prior, worked_classes
from softmend.catalogue.solvency_gate import ObjectFacts, gate
from softmend.catalogue.solvency_position import mixing_pairs, mixing_warnings, red
from softmend.catalogue.solvency_spot import (
    SpotTest,
    after_tests,
    percent,
    repeats,
    shelf_parts,
    stops,
)
from softmend.errors import InputError
from softmend.science.wording import strength

if TYPE_CHECKING:
    from softmend.science.solvency.coating import Particles
    from softmend.science.solvency.search import Ranked, Search, Shelf

LEAST_PRESSURE_PA, MOST_SHELF = 100.0, 30
STAGES_PERCENT = (0.0, 25.0, 50.0, 90.0)
CAUTIONS = (
    GUIDE,
    "Single solvents come first: when the coating is uncertain a blend hardly helps.",
    "Before a blend is used: mix 1 mL and look; none of these was mixed for this list.",
    "Air that a mL needs is for all that is applied; a solvent without a limit is reckoned with "
    f"{STAND_IN_PPM:g} ppm, an estimate, and is not known to be safe.",
    "Fire precautions apply to almost every solvent here, whatever this search says.",
    "Near an open crack: block it or stay a stated distance away; liquid runs in.",
    "An agent that only swells a confined fill wedges the crack.",
    NOT_PROVEN,
)


class Mixes(Model):
    """Two solvents that a person mixed and found clear, or not; who looked, and when."""

    one: Name
    other: Name
    is_clear: bool
    by: Words = "not said"


class BlendsInput(Model):
    """The tests so far, or a coating that is known; the shelf, what to keep, and the object.

    Without `shelf` the solvents that the table calls ok are taken. A solvent that hardly
    evaporates is left out unless `clearance_step` says how it is cleared.
    """

    tests: Annotated[list[SpotTest], Field(max_length=60, default_factory=list)]
    coating: Coating | None = None
    suspected: Annotated[list[Suspected], Field(max_length=20, default_factory=list)]
    shelf: Annotated[list[Part], Field(max_length=MOST_SHELF, default_factory=list)]
    keep: Annotated[list[Keep], Field(max_length=5, default_factory=list)]
    clearance_step: Words = ""
    mixed: Annotated[list[Mixes], Field(max_length=100, default_factory=list)]
    object: Annotated[ObjectFacts, Field(default_factory=ObjectFacts)]


class MovesLayer(Model):
    """The chance that a layer to be kept is affected."""

    layer: str
    affected_percent: float


class StripStage(Model):
    """Relative distance to the likeliest or named coating at one stage of drying."""

    gone_percent: float
    relative_distance: Estimate | None
    left: str


class ListedAgent(Model):
    """One agent: what it is expected to do, the air it needs, what it moves, how it dries."""

    agent: str
    dissolves_percent: float
    wording: str
    air_m3_per_ml: float
    air_is_complete: bool
    keep: tuple[MovesLayer, ...] = ()
    strip: tuple[StripStage, ...] = ()
    look: tuple[str, ...] = ()


class RefusedAgent(Model):
    """The agent that would win by its chance alone, and why it is refused."""

    agent: str
    dissolves_percent: float
    reasons: tuple[str, ...]


class LeftOut(Model):
    """A solvent that may not touch this object, and why."""

    agent: str
    reasons: tuple[str, ...]


class BlendsAnswer(SolvencyAnswer):
    """Single solvents, then blends that gain, then what was refused and left out."""

    text: str = ""
    singles: tuple[ListedAgent, ...] = ()
    blends: tuple[ListedAgent, ...] = ()
    refused: RefusedAgent | None = None
    left_out: tuple[LeftOut, ...] = ()
    looked_at: int = 0
    allowed: int = 0


def blends(given: BlendsInput, asked: Asked) -> BlendsAnswer:
    """Return what will take the coating off: singles first, blends that gain, and the refused."""
    from softmend.science.solvency.search import searched

    halted = stops(given.tests)
    _refuse_locked_clearing(given)
    free, left_out = _free(given)
    if not free:
        return BlendsAnswer(
            answer="cannot say",
            reasons=("Nothing on the shelf may touch this object.",),
            text="Nothing on the shelf may touch this object. Leaving it is an option.",
            left_out=left_out,
            cautions=CAUTIONS,
        )
    found = searched(
        _coating(given, asked.seed),
        _shelf(free, given),
        [one.held(asked.seed) for one in given.keep],
    )
    names = ["position", "molar_volume", "vapour_pressure", "density"]
    working = [
        *([given.coating.worked()] if given.coating else worked_classes()),
        *(one.worked() for one in given.keep),
        *worked_liquids(free, names),
        *(limit_of(one).working() for one in free),
    ]
    shown = _Shown(free, given, asked.seed)
    return BlendsAnswer(
        text=_text(found),
        singles=tuple(shown.listed(one) for one in found.singles),
        blends=tuple(shown.listed(one) for one in found.blends),
        refused=None if found.refused is None else RefusedAgent(
            agent=shown.name(found.refused.agent),
            dissolves_percent=percent(found.refused.agent.dissolves),
            reasons=found.refused.reasons,
        ),
        left_out=left_out,
        looked_at=found.looked_at,
        allowed=found.allowed,
        warnings=(*halted, *_warnings(given)),
        working=tuple(working),
        cautions=CAUTIONS,
        marks=marks(working),
    )  # fmt: skip


def _refuse_locked_clearing(given: BlendsInput) -> None:
    """Refuse a clearance step whose words bring what is locked on this object."""
    words = given.clearance_step.strip()
    if not words:
        return
    cleared = Part(solvent=words[:200], own=OwnSolvent())
    stands = gate(AgentInput(parts=[cleared]), [known(cleared)], given.object)
    if stands.locked:  # words for a step need not name a liquid: "two dry swabs"
        raise InputError(
            f"The clearance step may not touch this object: {stands.locked[0]}",
            value=words,
            allowed="what is not locked on it",
            remedy="Clear with something else, or record who opens that lock",
        )


def _free(given: BlendsInput) -> tuple[list[Known], tuple[LeftOut, ...]]:
    """Return the solvents that may touch the object, and those that may not."""
    every = [known_parts([one])[0] for one in given.shelf] or [one[0] for one in shelf_parts()]
    typed = given.shelf or [Part(solvent=one.id) for one in every]
    free, left_out = [], []
    for part, one in zip(typed, every, strict=True):
        stands = gate(AgentInput(parts=[part]), [one], given.object)
        if stands.forbidden:
            left_out.append(LeftOut(agent=one.name, reasons=stands.forbidden))
        else:
            free.append(one)
    return free, tuple(left_out)


def _coating(given: BlendsInput, seed: int) -> Particles:
    if given.coating is not None:
        from softmend.science.solvency.coating import drawn

        return drawn([given.coating.sphere()], 4000, seed)
    last = max((one.layer for one in given.tests), default=1)
    tests = [one for one in given.tests if one.layer == last]
    return after_tests(prior(given.suspected, seed), tests, seed)


def _shelf(free: Sequence[Known], given: BlendsInput) -> Shelf:
    from softmend.science.solvency.search import Stocked, shelf_of

    looked = {frozenset((one.one, one.other)): one.is_clear for one in given.mixed}
    cleared = bool(given.clearance_step.strip())
    rows = [
        Stocked(
            name=one.name,
            position=placed(one),
            other=_by_other_sets(one),
            molar_volume=wanted(one, "molar_volume"),
            water_share=float(one.id == "water"),
            air=limit_of(one).air(one),
            leaves=cleared or (one.vapour_pressure or 0.0) >= LEAST_PRESSURE_PA,
        )
        for one in free
    ]
    return shelf_of(rows, [[_mixes(a, b, looked) for b in free] for a in free])


def _by_other_sets(one: Known) -> tuple[float, float, float]:
    """Return the mean position by the sets that disagree with the chosen one, else the chosen."""
    others = one.other_positions or (placed(one),)
    d, p, h = (sum(part) / len(others) for part in zip(*others, strict=True))
    return d, p, h


def _mixes(one: Known, other: Known, looked: dict[frozenset[str], bool]) -> bool:
    from softmend.tables.solvency import mixing

    seen = looked.get(frozenset((one.name, other.name)))
    return mixing(one.id or one.name, other.id or other.name).may_be_mixed if seen is None else seen


class _Shown:
    """Turns what the search found into what is shown, with the liquids at hand."""

    def __init__(self, free: Sequence[Known], given: BlendsInput, seed: int) -> None:
        self.by_name = {one.name: one for one in free}
        self.given, self.seed = given, seed

    def parts(self, found: Ranked) -> list[Known]:
        """Return the liquids of an agent with their shares."""
        from dataclasses import replace

        pairs = zip(found.names, found.shares, strict=True)
        return [replace(self.by_name[name], volume_share=share) for name, share in pairs]

    def name(self, found: Ranked) -> str:
        """Return the name of an agent."""
        return label(self.parts(found))

    def listed(self, found: Ranked) -> ListedAgent:
        """Return an agent as it is listed."""
        parts = self.parts(found)
        layers = zip(self.given.keep, found.moves, strict=True)
        return ListedAgent(
            agent=label(parts),
            dissolves_percent=percent(found.dissolves),
            wording=f"dissolves it: {strength(min(max(found.dissolves, 0.0), 1.0))}",
            air_m3_per_ml=float(f"{found.air:.2g}"),
            air_is_complete=all(limit_of(one).mass is not None for one in parts),
            keep=tuple(
                MovesLayer(layer=one.layer, affected_percent=percent(chance))
                for one, chance in layers
            ),
            strip=self._strip(parts),
            look=tuple(mixing_warnings(mixing_pairs(parts))),
        )

    def _strip(self, parts: Sequence[Known]) -> tuple[StripStage, ...]:
        from softmend.science.solvency.drift import left_after

        if len(parts) == 1 and self.given.coating is None:
            return ()
        shares = [one.volume_share for one in parts]
        sizes = [wanted(one, "molar_volume") for one in parts]
        pressures = [wanted(one, "vapour_pressure") for one in parts]
        found = []
        for gone in STAGES_PERCENT:
            rest = left_after(shares, sizes, pressures, gone / 100).tolist()
            near = None
            if self.given.coating is not None:
                near = red(parts, self.given.coating, self.seed, rest)
            words = ", ".join(f"{one.name} {100 * share:.0f} %"
                              for one, share in zip(parts, rest, strict=True))  # fmt: skip
            found.append(StripStage(gone_percent=gone, relative_distance=near, left=words))
        return tuple(found)


def _text(found: Search) -> str:
    if not found.singles and not found.blends:
        return "Nothing on the shelf passes every rule. Leaving it is an option."
    if not found.singles:
        return f"No single solvent passes every rule; {len(found.blends)} blends do. {GUIDE}"
    best = found.singles[0]
    gains = (
        f"{len(found.blends)} blends gain more than 5 points, or spare half the air"
        if found.blends
        else "no blend gains enough to be worth a second bottle"
    )
    return (
        f"First: {best.names[0]}, which dissolves it: {strength(min(best.dissolves, 1.0))} "
        f"({percent(best.dissolves):.0f} %); {gains}. {NOT_PROVEN} {GUIDE}"
    )


def _warnings(given: BlendsInput) -> list[str]:
    found = []
    if given.coating is None and not given.tests:
        found.append("Nothing has been tested: these chances are guesses before any test.")
    again, differ = repeats(given.tests)
    if differ:
        found.append(f"{differ} of {again} repeated tests differ from the first: read them again.")
    if given.clearance_step.strip():
        found.append(f"Clearance is a step with its own record: {given.clearance_step}.")
    return found
