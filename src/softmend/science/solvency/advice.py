"""Which swab next: the least harmful first, what it tells breaks ties, never harsh to know more."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from softmend.errors import InputError
from softmend.science.solvency.coating import Liquid, Particles, outcome_chances
from softmend.science.solvency.spot import effect_chances, information

LEAST_TOLD = 0.08
"""In nat: a mild test that is expected to tell less about the class is passed over."""
LEAST_PROMISE, LEAST_GAIN = 0.25, 0.10
"""A harsh agent must be this likely to dissolve the coating, and gain this over the mild ones."""
COMES_OFF = 0.85
"""Chance from which a tested agent counts as one that takes the coating off."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """An agent that could be tested: its step in the order of harm, and whether it is harsh.

    `needs_care` puts an agent that the shelf marks with caution after the others of its step.
    """

    name: str
    liquid: Liquid
    step: int
    is_harsh: bool
    needs_care: bool = False

    @property
    def rank(self) -> tuple[int, bool]:
        """Place in the order of harm."""
        return self.step, self.needs_care


@dataclass(frozen=True, slots=True)
class Weighed:
    """A candidate with what is expected of it."""

    candidate: Candidate
    told: float
    softens: float
    dissolves: float


@dataclass(frozen=True, slots=True)
class NextSwab:
    """What to test next, or None; why; what was passed over, and why; all that was weighed."""

    choice: Weighed | None
    why: str
    passed: tuple[str, ...]
    weighed: tuple[Weighed, ...]


def next_swab(
    particles: Particles, candidates: Sequence[Candidate], tested: Sequence[str]
) -> NextSwab:
    """Return the next agent to test: mild before harsh, and among equals the one that tells most.

    Parameters
    ----------
    particles : Particles, weighted by the tests so far
    candidates : sequence of Candidate, only those that may touch this object
    tested : sequence of str, names of agents that were tested on this layer

    Returns
    -------
    NextSwab; no choice when nothing milder is worth a test

    Raises
    ------
    InputError
        When nothing may be tested.

    Source: own; softmend-solvents, section 5.1 (harm first, information breaks ties).
    Checked against: tests/science/solvency/test_advice.py.

    Example
    -------
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> def kind(name, *centre):
    ...     return CoatingClass(name, name, Behaviour.SPHERE, centre, 6.0, 1.0, 1.0, 0.0)
    >>> both = drawn([kind("wax", 16.5, 1, 2), kind("resin", 17.3, 7, 9)], 400)
    >>> mild = Candidate("heptane", Liquid((15.3, 0, 0), 147e-6), 1, False)
    >>> harsh = Candidate("acetone", Liquid((15.5, 10.4, 7.0), 74e-6), 2, False)
    >>> next_swab(both, [harsh, mild], []).choice.candidate.name
    'heptane'
    """
    if not candidates:
        raise InputError(
            "Nothing may be tested on this object",
            allowed="one agent or more",
            remedy="Permit an agent, or record why a lock is opened",
        )
    weighed = _weighed(particles, candidates)
    works = [one for one in weighed if one.candidate.name in tested and one.dissolves >= COMES_OFF]
    mildest = min(works, key=lambda one: one.candidate.rank, default=None)
    passed: list[str] = []
    best_mild = max((one.dissolves for one in weighed if not one.candidate.is_harsh), default=0.0)
    fresh = sorted(
        (one for one in weighed if one.candidate.name not in tested),
        key=lambda one: one.candidate.rank,
    )
    for rank, group in groupby(fresh, key=lambda one: one.candidate.rank):
        if mildest is not None and rank >= mildest.candidate.rank:
            why = (
                f"It comes off with {mildest.candidate.name}: nothing harsher is asked for. "
                "Repeat that swab on another patch, and a bare patch of the object with it"
            )
            return NextSwab(None, why, tuple(passed), weighed)
        chosen, why = _of_rank(list(group), best_mild)
        if chosen is not None:
            return NextSwab(chosen, why, tuple(passed), weighed)
        passed.append(why)
    why = "No test that is left would tell enough to be worth its harm; leaving it is an option"
    return NextSwab(None, why, tuple(passed), weighed)


def _weighed(particles: Particles, candidates: Sequence[Candidate]) -> tuple[Weighed, ...]:
    told = information(particles, [outcome_chances(particles, one.liquid) for one in candidates])
    chances = effect_chances(particles, [one.liquid for one in candidates])
    return tuple(
        Weighed(one, float(tells), float(effect[1]), float(effect[2]))
        for one, tells, effect in zip(candidates, told, chances, strict=True)
    )


def _of_rank(equals: Sequence[Weighed], best_mild: float) -> tuple[Weighed | None, str]:
    """Return the one to test among agents of equal harm, or None with the reason."""
    names = ", ".join(one.candidate.name for one in equals[:3])
    more = f" and {len(equals) - 3} more" if len(equals) > 3 else ""
    if equals[0].candidate.is_harsh:
        least = max(LEAST_PROMISE, best_mild + LEAST_GAIN)
        hopeful = [one for one in equals if one.dissolves >= least]
        if not hopeful:
            return None, (
                f"{names}{more}: harsh, and not likely enough to do what something milder does not;"
                " never tested only to know more"
            )
        best = max(hopeful, key=lambda one: one.dissolves)
        return best, "Harsh, and asked for only because nothing milder is as likely to dissolve it"
    best = max(equals, key=lambda one: one.told)
    if best.told < LEAST_TOLD:
        return None, f"{names}{more}: mild, but would tell next to nothing now"
    among = f"; of {len(equals)} as mild it tells most" if len(equals) > 1 else ""
    return best, f"The mildest test that still tells something{among}"
