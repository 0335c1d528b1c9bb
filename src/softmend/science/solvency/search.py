"""Which single solvent, and which blend if any gains: chances, hard masks, what was refused."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.science.solvency.blend import (
    Blends,
    all_blends,
    blend_chances,
    glue_chances,
    places,
    thinned,
    weighted_sum,
)
from softmend.science.solvency.coating import Floats, Outcome, Particles
from softmend.science.uncertain import Array

LEAST_GAIN = 0.05
"""A blend is listed only when it gains more than this over the best single solvent..."""
HALF_THE_AIR = 0.5
"""...or needs at most this share of its air at no loss larger than the same."""
KEEP_CEILING = 0.10
LISTED = 10


@dataclass(frozen=True, slots=True)
class Stocked:
    """One solvent at hand [MPa^0.5; m3/mol; m3 of air a mL]; `other` is where other sets put it."""

    name: str
    position: tuple[float, float, float]
    other: tuple[float, float, float]
    molar_volume: float
    water_share: float
    air: float
    leaves: bool


@dataclass(frozen=True, slots=True)
class Shelf:
    """The solvents at hand and what is known of them; s of them, every array in one order.

    `others` are the positions by other published sets, equal to `positions` where none disagrees.
    `air` is the clean air that 1 mL needs to come down to its limit [m3]; `mixes` says of every
    pair whether it is known to mix; `leaves` whether a solvent leaves by itself.
    """

    names: tuple[str, ...]
    positions: Array
    others: Array
    molar_volumes: Array
    water_shares: Array
    air: Array
    leaves: NDArray[np.bool_]
    mixes: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class KeepLayer:
    """A layer that must not move: its particles, and the least effect that would harm it."""

    name: str
    particles: Particles
    level: Outcome = Outcome.SOFTENS
    ceiling: float = KEEP_CEILING


@dataclass(frozen=True, slots=True)
class Ranked:
    """One agent: its solvents and shares by volume, and what is expected of it.

    `moves` holds the chance that each layer to be kept is affected, in the order given.
    """

    names: tuple[str, ...]
    shares: tuple[float, ...]
    dissolves: float
    air: float
    moves: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Refused:
    """The agent that would win by its chance alone, and every rule that forbids it."""

    agent: Ranked
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Search:
    """What a search found: singles first, then the blends that gain, and the refused winner."""

    singles: tuple[Ranked, ...]
    blends: tuple[Ranked, ...]
    refused: Refused | None
    looked_at: int
    allowed: int


def shelf_of(rows: Sequence[Stocked], mixes: Sequence[Sequence[bool]]) -> Shelf:
    """Return a shelf from what is known of each solvent and of every pair.

    Parameters
    ----------
    rows : sequence of Stocked
    mixes : sequence of sequences of bool, for every solvent and every other, shape (s, s)

    Returns
    -------
    Shelf

    Source: own; a change of form.
    Checked against: tests/catalogue/test_solvency.py.

    Example
    -------
    >>> one = Stocked("water", (15.5, 16, 42.3), (15.5, 16, 42.3), 18e-6, 1.0, 0.0, False)
    >>> shelf_of([one], [[True]]).names
    ('water',)
    """
    return Shelf(
        tuple(one.name for one in rows),
        np.array([one.position for one in rows]),
        np.array([one.other for one in rows]),
        np.array([one.molar_volume for one in rows]),
        np.array([one.water_share for one in rows]),
        np.array([one.air for one in rows]),
        np.array([one.leaves for one in rows]),
        np.array(mixes, dtype=bool),
    )


def searched(coating: Particles, shelf: Shelf, keep: Sequence[KeepLayer] = ()) -> Search:
    """Return the solvents, and the blends of up to three, that may dissolve a coating.

    Parameters
    ----------
    coating : Particles, weighted by the spot tests
    shelf : Shelf, only what may touch this object
    keep : sequence of KeepLayer, layers that must not move

    Returns
    -------
    Search; the same input gives the same answer

    Raises
    ------
    InputError
        When the shelf is empty or its arrays do not pair.

    Source: own; softmend-solvents, section 5.2.
    Checked against: tests/science/solvency/test_search.py.

    Example
    -------
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> at = np.array([[15.8, 0.1, 0.2], [15.5, 16, 42.3]])
    >>> shelf = Shelf(("white spirit", "water"), at, at, np.array([180e-6, 18e-6]),
    ...               np.array([0.0, 1.0]), np.array([0.8, 0.0]), np.array([True, True]),
    ...               np.array([[True, False], [False, True]]))
    >>> found = searched(drawn([wax], 400), shelf)
    >>> found.singles[0].names, found.allowed
    (('white spirit',), 2)
    """
    size = len(shelf.names)
    if not size or not size == len(shelf.positions) == len(shelf.air) == len(shelf.mixes):
        raise InputError(
            "The shelf is empty, or what is known of its solvents does not pair",
            value=f"{size} solvents",
            allowed="one solvent or more",
        )
    blends = all_blends(size)
    spots = _spots(blends, shelf)
    chance = _chances(coating, spots, Outcome.DISSOLVES)
    moves = [_chances(one.particles, spots, one.level) for one in keep]
    air = weighted_sum(blends, shelf.air)
    spared = [moved <= one.ceiling for moved, one in zip(moves, keep, strict=True)]
    fine = _mixes(blends, shelf) & _leaves(blends, shelf)
    for one in spared:
        fine &= one

    def ranked(which: int) -> Ranked:
        return _ranked(int(which), blends, shelf, chance, air, moves)

    # To 2 decimals chances tie; then the one that needs less air, then the first on the shelf.
    pure = np.flatnonzero(fine)
    allowed = pure[np.lexsort((pure, air[pure], -np.round(chance[pure], 2)))]
    singles = [ranked(one) for one in allowed if one < size]
    best = _winner(int(np.argmax(chance)), fine, blends, shelf, spared, keep)
    return Search(
        singles=tuple(singles),
        blends=_that_gain(allowed, blends, singles, ranked, size),
        refused=None if best is None else Refused(ranked(best[0]), best[1]),
        looked_at=len(blends),
        allowed=int(fine.sum()),
    )


@dataclass(frozen=True, slots=True)
class _Spots:
    """Where every blend lies, and once more those that published sets put elsewhere.

    `doubtful` says which blends lie twice: their second places follow, in order, in `at`.
    """

    at: Floats
    doubtful: NDArray[np.bool_]
    wet: Array


def _spots(blends: Blends, shelf: Shelf) -> _Spots:
    at = places(blends, shelf.positions, shelf.molar_volumes)
    differs = np.abs(shelf.positions - shelf.others).max(axis=1) > 0
    doubtful = (differs[blends.members] & (blends.shares > 0)).any(axis=1)
    twice = Blends(blends.members[doubtful], blends.shares[doubtful])
    other = places(twice, shelf.others, shelf.molar_volumes)
    return _Spots(np.concatenate([at, other]), doubtful, weighted_sum(blends, shelf.water_shares))


def _chances(particles: Particles, spots: _Spots, level: Outcome) -> Array:
    """Return chances; where published parameters disagree, the two sets count as much each."""
    some = thinned(particles)
    found = blend_chances(some, spots.at, level)  # one table for both sets: most nodes are shared
    size = len(spots.wet)
    one = found[:size]
    one[spots.doubtful] = (one[spots.doubtful] + found[size:]) / 2
    return np.asarray(one + glue_chances(some, spots.wet, level))


def _mixes(blends: Blends, shelf: Shelf) -> NDArray[np.bool_]:
    fine = np.ones(len(blends), dtype=bool)
    used = blends.shares > 0
    for one, other in ((0, 1), (0, 2), (1, 2)):
        pair = shelf.mixes[blends.members[:, one], blends.members[:, other]]
        fine &= pair | ~(used[:, one] & used[:, other])
    return fine


def _leaves(blends: Blends, shelf: Shelf) -> NDArray[np.bool_]:
    return np.asarray((shelf.leaves[blends.members] | (blends.shares == 0)).all(axis=1))


def _ranked(
    at: int, blends: Blends, shelf: Shelf, chance: Array, air: Array, moves: Sequence[Array]
) -> Ranked:
    used = blends.shares[at] > 0
    return Ranked(
        tuple(shelf.names[one] for one in blends.members[at][used]),
        tuple(round(float(one), 2) for one in blends.shares[at][used]),
        float(chance[at]),
        float(air[at]),
        tuple(float(one[at]) for one in moves),
    )


def _that_gain(
    allowed: NDArray[np.int64],
    blends: Blends,
    singles: Sequence[Ranked],
    ranked: Callable[[int], Ranked],
    size: int,
) -> tuple[Ranked, ...]:
    """Return the best blend of each set of solvents that is worth its second bottle."""
    found: dict[tuple[str, ...], Ranked] = {}
    seen: set[tuple[int, ...]] = set()
    for one in allowed:
        if one < size:
            continue
        members = tuple(blends.members[one][blends.shares[one] > 0].tolist())
        if members in seen:
            continue
        seen.add(members)
        agent = ranked(one)
        if singles and not _gains(agent, singles[0]):
            if agent.dissolves < singles[0].dissolves - LEAST_GAIN:
                break
            continue
        found[agent.names] = agent
        if len(found) == LISTED:
            break
    return tuple(found.values())


def _gains(agent: Ranked, single: Ranked) -> bool:
    gains = agent.dissolves > single.dissolves + LEAST_GAIN
    spares = agent.air <= HALF_THE_AIR * single.air
    return gains or (spares and agent.dissolves >= single.dissolves - LEAST_GAIN)


def _winner(
    best: int,
    fine: NDArray[np.bool_],
    blends: Blends,
    shelf: Shelf,
    spared: Sequence[NDArray[np.bool_]],
    keep: Sequence[KeepLayer],
) -> tuple[int, tuple[str, ...]] | None:
    """Return the winner by chance alone with the reasons against it, unless it is allowed."""
    if fine[best]:
        return None
    members = blends.members[best][blends.shares[best] > 0].tolist()
    reasons = [
        f"{shelf.names[a]} and {shelf.names[b]} are not known to mix"
        for i, a in enumerate(members)
        for b in members[i + 1 :]
        if not shelf.mixes[a, b]
    ]
    reasons += [
        f"{shelf.names[one]} hardly evaporates and would stay: name a clearance step"
        for one in members
        if not shelf.leaves[one]
    ]
    reasons += [
        f"it would affect what is to be kept: {layer.name}"
        for layer, one in zip(keep, spared, strict=True)
        if not one[best]
    ]
    return best, tuple(reasons)
