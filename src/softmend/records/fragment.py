"""The ledger of fragments: one number each, where it may belong and on what evidence, where it is.

A fragment that was found is in the ledger once it has its number. The program holds what people
say of a place with its evidence; it never says itself that a fragment belongs anywhere (rule 21).
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN


class Stand(Enum):
    """Where a fragment stands; a found one is numbered as it is recorded."""

    NUMBERED = "numbered"
    CANDIDATE = "candidate"
    PLACED_DRY = "placed dry"
    BONDED = "bonded"
    UNPLACED = "unplaced"
    BAGGED = "bagged"
    SAMPLED = "sampled"
    RETURNED = "returned"
    MISSING = "missing"


ON_THE_TABLE = (Stand.NUMBERED, Stand.CANDIDATE, Stand.PLACED_DRY, Stand.UNPLACED)

_ONWARD: dict[Stand, tuple[Stand, ...]] = {
    Stand.NUMBERED: (Stand.CANDIDATE, Stand.UNPLACED),
    Stand.CANDIDATE: (Stand.PLACED_DRY, Stand.UNPLACED),
    Stand.PLACED_DRY: (Stand.CANDIDATE, Stand.BONDED),
    Stand.UNPLACED: (Stand.BAGGED,),
    Stand.BONDED: (),
    Stand.BAGGED: (),
    Stand.SAMPLED: (),
    Stand.RETURNED: (),
    Stand.MISSING: (),
}
_LEAVING = (Stand.SAMPLED, Stand.RETURNED, Stand.MISSING)
_CAN_LEAVE = (*ON_THE_TABLE, Stand.BAGGED)
# Ways back are rare and say why: a bag is opened, a join comes apart, a piece turns up.
_BACK: dict[Stand, Stand] = {
    Stand.BAGGED: Stand.CANDIDATE,
    Stand.BONDED: Stand.NUMBERED,
    Stand.MISSING: Stand.NUMBERED,
}


class Code(Enum):
    """How good the evidence of a place is."""

    A = "A"
    B = "B"
    C = "C"
    D = "D"


CODE_WORDS: dict[Code, str] = {
    Code.A: "interlocking break faces: seats by itself, one position, no rocking, light-tight",
    Code.B: "continuity across the join",
    Code.C: "a dated image or record shows it in place",
    Code.D: "nearness: found in the crack, in the tray below, in the old fill beside it",
}


class Trait(Enum):
    """What runs on across a join; two of evidence B are independent when these differ."""

    GROWTH_LINE = "growth line"
    GRAIN = "grain"
    COLOUR = "colour"
    TOOL_MARK = "tool mark"
    LABEL = "label or writing"
    ADHESIVE_LINE = "old adhesive line"
    NONE = "none"


@dataclass(frozen=True)
class PlaceEvidence:
    """One piece of evidence for one place: its code, its reasons in words, an image if there is.

    `trait` is what runs on across the join, for code B.
    """

    place: str
    code: Code
    reason_observed: str
    trait: Trait = Trait.NONE
    view_id: str = ""


@dataclass(frozen=True)
class Trial:
    """One trial of a fragment at a place; one that fails saves the next person days."""

    place: str
    seats: bool
    seen_observed: str
    tried_on: str = NOT_KNOWN


@dataclass(frozen=True)
class Fragment:
    """One fragment under one number for ever.

    `place` is where it is tried, placed or bonded now, empty while nobody tries one. `second_id`
    is the second pair of eyes that saw the seat before bonding. `because` tells the newest step.
    """

    number: int
    found_where: str
    found_on: str = NOT_KNOWN
    found_by: str = NOT_KNOWN
    mass_g: float | None = None
    mass_expanded_g: float | None = None
    look_observed: str = NOT_KNOWN
    view_ids: tuple[str, ...] = ()
    stand: Stand = Stand.NUMBERED
    place: str = ""
    evidence: tuple[PlaceEvidence, ...] = ()
    trials: tuple[Trial, ...] = ()
    second_id: str = ""
    bag_id: str = ""
    kept_where: str = NOT_KNOWN
    because: str = ""


@dataclass(frozen=True)
class Bag:
    """A bag of fragments that travels with the object's file; where it lies is tracked."""

    number: int
    kept_where: str
    not_placed_because: str
    packed_on: str
    note_observed: str = NOT_KNOWN


@dataclass(frozen=True)
class Balance:
    """Every number ever given, and where each stands; those on the table are stated."""

    numbered: int
    bonded: int
    bagged: int
    sampled: int
    returned: int
    missing: int
    on_the_table: int
    struck: int = 0

    @property
    def accounted(self) -> int:
        """Return how many numbers are accounted for."""
        settled = self.bonded + self.bagged + self.sampled + self.returned + self.missing
        return settled + self.on_the_table + self.struck


@dataclass(frozen=True)
class Masses:
    """The second check: mass by where fragments stand, and how many were not weighed."""

    by_stand_g: tuple[tuple[Stand, float], ...]
    total_g: float
    not_weighed: int


def checked_change(before: Fragment | None, after: Fragment) -> Fragment:
    """Return a fragment's next state if the ledger may say so; `before` is None for a new one."""
    if after.found_where.strip() == "":
        raise InputError("A fragment needs where it was found", remedy="Say where, or “not known”")
    if after.mass_g is not None and not (math.isfinite(after.mass_g) and 0 < after.mass_g <= 1e6):
        raise InputError("This mass is not possible", value=after.mass_g, allowed="more than 0 g")
    for one in after.evidence:
        _check_evidence(one)
    if any(not trial.place.strip() for trial in after.trials):
        raise InputError("A trial needs its place", remedy="Say where it was tried")
    check_step(before, after)
    _check_where_it_stands(after)
    return after


def checked_bag(bag: Bag) -> Bag:
    """Return a bag if its label can be written."""
    for name, said in (
        ("where it lies", bag.kept_where),
        ("why its pieces were not placed", bag.not_placed_because),
        ("the day it was packed", bag.packed_on),
    ):
        if not said.strip():
            raise InputError(f"A bag's label needs {name}", remedy="“not known” is an answer")
    return bag


def check_step(before: Fragment | None, after: Fragment) -> None:
    """Refuse a step between two states that the ledger does not know, or a way back unexplained."""
    if before is None:
        if after.stand is not Stand.NUMBERED:
            raise RuleError("A fragment is numbered first", remedy="Give it its number, then go on")
        return
    if after.stand is before.stand:
        return
    if after.stand not in next_stands(before):
        allowed = ", ".join(stand.value for stand in next_stands(before)) or "nothing further"
        raise RuleError(
            f"A fragment that is {before.stand.value} does not become {after.stand.value}",
            remedy=f"It can become: {allowed}",
        )
    if after.stand is _BACK.get(before.stand) and not after.because.strip():
        raise RuleError(
            f"From {before.stand.value} back to {after.stand.value} needs its reason",
            remedy="Say what happened",
        )


def next_stands(fragment: Fragment) -> tuple[Stand, ...]:
    """Return where a fragment may go from where it stands."""
    back = (_BACK[fragment.stand],) if fragment.stand in _BACK else ()
    leaving = _LEAVING if fragment.stand in _CAN_LEAVE else ()
    return (*_ONWARD[fragment.stand], *back, *leaving)


def may_bond(evidence: Iterable[PlaceEvidence], place: str) -> bool:
    """Say whether the evidence for a place is enough: A, or B with C, or two independent B."""
    here = [one for one in evidence if one.place == place]
    codes = {one.code for one in here}
    traits = {one.trait for one in here if one.code is Code.B}
    return Code.A in codes or {Code.B, Code.C} <= codes or len(traits) >= 2


def check_may_be_bonded(fragment: Fragment, author_id: str) -> None:
    """Refuse bonding on nearness, without words and an image, or on one pair of eyes (rule 6)."""
    here = [one for one in fragment.evidence if one.place == fragment.place]
    if not may_bond(fragment.evidence, fragment.place):
        codes = ", ".join(sorted(one.code.value for one in here)) or "none"
        raise RuleError(
            f"Fragment {fragment.number} may not be bonded at {fragment.place}: evidence {codes}",
            rule=6,
            remedy="Bonding needs A, or B with C, or two independent B; else bag it",
        )
    if not any(one.view_id for one in here):
        raise RuleError(
            f"Fragment {fragment.number} has no image of its seat at {fragment.place}",
            rule=6,
            remedy="Photograph it placed dry, and choose that view as evidence",
        )
    if fragment.second_id in ("", author_id):
        raise RuleError(
            f"Fragment {fragment.number} was seen by one pair of eyes",
            rule=6,
            remedy="Let a second person look at the seat and sign",
        )


def seat_of(fragment: Fragment) -> tuple[object, ...]:
    """Return what a bond rests on: a change of any of it asks rule 6 again."""
    return fragment.stand, fragment.place, fragment.evidence, fragment.second_id


def place_words(fragment: Fragment) -> str:
    """Return what is said of a fragment's place, always with who-knows-how, never as fact."""
    if fragment.stand is Stand.BONDED:
        return f"bonded at {fragment.place} on evidence {_codes(fragment, fragment.place)}"
    if fragment.stand is Stand.PLACED_DRY:
        return f"placed dry at {fragment.place}, evidence {_codes(fragment, fragment.place)}"
    places = dict.fromkeys(one.place for one in fragment.evidence)
    said = "; ".join(f"{place} ({_codes(fragment, place)})" for place in places)
    return f"candidates: {said}" if said else "no place is proposed"


def balance_of(fragments: Iterable[Fragment], numbered: int, struck: int = 0) -> Balance:
    """Return where every numbered fragment stands."""
    stands = [one.stand for one in fragments]
    return Balance(
        numbered=numbered,
        bonded=stands.count(Stand.BONDED),
        bagged=stands.count(Stand.BAGGED),
        sampled=stands.count(Stand.SAMPLED),
        returned=stands.count(Stand.RETURNED),
        missing=stands.count(Stand.MISSING),
        on_the_table=sum(stand in ON_THE_TABLE for stand in stands),
        struck=struck,
    )


def check_balance(balance: Balance) -> None:
    """Refuse a ledger whose numbers are not all accounted for (rule 5)."""
    if balance.numbered != balance.accounted:
        raise RuleError(
            f"{balance.numbered} fragments were numbered and {balance.accounted} are accounted for",
            rule=5,
            remedy="Look for the number that stands nowhere; what cannot be found is missing",
        )


def masses_of(fragments: Iterable[Fragment]) -> Masses:
    """Return the masses by where fragments stand."""
    listed = list(fragments)
    weighed = [(one.stand, one.mass_g) for one in listed if one.mass_g is not None]
    by_stand = tuple(
        (stand, math.fsum(mass for where, mass in weighed if where is stand))
        for stand in Stand
        if any(where is stand for where, _ in weighed)
    )
    total = math.fsum(mass for _, mass in weighed)
    return Masses(by_stand, total, len(listed) - len(weighed))


def _codes(fragment: Fragment, place: str) -> str:
    return (
        " + ".join(
            f"{one.code.value} {one.trait.value}" if one.code is Code.B else one.code.value
            for one in fragment.evidence
            if one.place == place
        )
        or "none"
    )


def _check_evidence(one: PlaceEvidence) -> None:
    if not one.place.strip() or not one.reason_observed.strip():
        raise InputError(
            "Evidence needs its place and its reason in words",
            remedy="For example: J7; the grain runs on without a step",
        )
    if one.code is Code.B and one.trait is Trait.NONE:
        raise InputError(
            "Continuity says what runs on across the join",
            allowed=", ".join(trait.value for trait in Trait if trait is not Trait.NONE),
        )


def _check_where_it_stands(after: Fragment) -> None:
    if after.stand in (Stand.PLACED_DRY, Stand.BONDED) and not after.place.strip():
        raise InputError("A place is missing", remedy="Say at which join or mark it is placed")
    if after.stand is Stand.CANDIDATE and not after.evidence:
        raise InputError(
            "A candidate has a place and its evidence", remedy="Give a place with its evidence"
        )
    if after.stand is Stand.BAGGED and not after.bag_id:
        raise InputError("A bagged fragment is in a bag", remedy="Choose the bag, or open one")
    if after.stand in (Stand.SAMPLED, Stand.RETURNED) and after.kept_where in ("", NOT_KNOWN):
        raise InputError(
            f"“{after.stand.value}” needs where it went", remedy="Name the laboratory or the person"
        )
