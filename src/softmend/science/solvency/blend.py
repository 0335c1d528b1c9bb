"""The least harmful blend: every blend on a 5 % grid, by a table of chances and hard masks.

The chance that a blend dissolves a coating is read from a table over Hansen's space and molar
volume. The table is drawn only where the blends at hand lie, so that it is quick and never reads
outside itself.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.solvency.coating import (
    CUTS,
    DRY_OF_GLUE,
    REFERENCE_VOLUME,
    SMALL_MOLECULE,
    WET_OF_GLUE,
    Floats,
    Outcome,
    Particles,
)
from softmend.science.uncertain import Array

STEP = 0.05
MOST_SOLVENTS = 60
STEPS = (0.35, 0.7, 0.7, 20e-6)
"""Distance of the nodes: dispersion, polar, hydrogen [MPa^0.5], molar volume [m3/mol]."""
KEPT_PARTICLES = 2000
CHUNK = 100_000
"""Chances worked out at a time: few enough to stay near the processor, four times as quick."""


@dataclass(frozen=True, slots=True)
class Blends:
    """Every single, pair and triple on the grid: which solvents (three each) and their shares.

    An unused place holds the first solvent again, with share 0.
    """

    members: NDArray[np.int16]
    shares: Floats

    def __len__(self) -> int:
        """Return how many blends there are."""
        return len(self.members)


@lru_cache(maxsize=2)
def _on_the_grid(solvents: int) -> Blends:
    parts = round(1 / STEP)
    two = np.array([(a, parts - a, 0) for a in range(1, parts)])
    three = np.array([(a, b, parts - a - b) for a in range(1, parts) for b in range(1, parts - a)])
    members, shares = [], []
    for size, grid in ((1, np.array([(parts, 0, 0)])), (2, two), (3, three)):
        sets = np.array(list(combinations(range(solvents), size)), dtype=np.int16)
        if not sets.size:
            continue
        padded = np.concatenate([sets, np.repeat(sets[:, :1], 3 - size, axis=1)], axis=1)
        members.append(np.repeat(padded, len(grid), axis=0))
        shares.append(np.tile(grid, (len(sets), 1)))
    found = Blends(np.concatenate(members), (np.concatenate(shares) / parts).astype(np.float32))
    found.members.flags.writeable = found.shares.flags.writeable = False
    return found


def all_blends(solvents: int) -> Blends:
    """Return all singles, pairs and triples of some solvents on the 5 % grid.

    Parameters
    ----------
    solvents : int, how many there are [1], 1 to 60

    Returns
    -------
    Blends, in one fixed order; shares of volume [1]

    Raises
    ------
    InputError
        When there are too few or too many solvents.

    Source: own; softmend-solvents, section 5.2.
    Checked against: tests/science/solvency/test_blend.py.

    Example
    -------
    >>> len(all_blends(21))
    231441
    """
    if not 1 <= solvents <= MOST_SOLVENTS:
        raise InputError(
            "The number of solvents is out of range",
            value=solvents,
            allowed=f"1 to {MOST_SOLVENTS}",
        )
    return _on_the_grid(solvents)


def places(blends: Blends, positions: ArrayLike, molar_volumes: ArrayLike) -> Floats:
    """Return where blends lie: dispersion, polar, hydrogen and molar volume.

    Parameters
    ----------
    blends : Blends
    positions : array, of the solvents, shape (s, 3) [MPa^0.5]
    molar_volumes : array, of the solvents, shape (s,) [m3/mol], above 0

    Returns
    -------
    numpy array, shape (b, 4) [MPa^0.5; m3/mol]

    Source: hansen2007, chapter 1 (recalled).
    Checked against: tests/science/solvency/test_blend.py.

    Example
    -------
    >>> found = places(all_blends(2), [[15.0, 0, 0], [16.0, 10, 8]], [100e-6, 100e-6])
    >>> [round(float(one), 2) for one in found[2, :3]]
    [15.95, 9.5, 7.6]
    """
    spots = np.asarray(positions, dtype=np.float32)[blends.members]
    sizes = np.asarray(molar_volumes, dtype=np.float32)[blends.members]
    volume = 1 / np.einsum("ij,ij->i", blends.shares, 1 / sizes)
    mixed = np.einsum("ij,ijk->ik", blends.shares, spots)
    return np.column_stack([mixed, volume]).astype(np.float32)


def weighted_sum(blends: Blends, values: ArrayLike) -> Array:
    """Return the mean by volume of a property of the parts, such as the air that a mL needs.

    Parameters
    ----------
    blends : Blends
    values : array, of the solvents, shape (s,) [any unit]

    Returns
    -------
    numpy array, shape (b,) [same unit]

    Source: derived; linear in the shares.
    Checked against: tests/science/solvency/test_blend.py.

    Example
    -------
    >>> weighted_sum(all_blends(2), [10.0, 20.0])[:2].tolist()
    [10.0, 20.0]
    """
    each = np.asarray(values, dtype=np.float64)[blends.members]
    return np.asarray(np.einsum("ij,ij->i", blends.shares.astype(np.float64), each))


def thinned(particles: Particles, n: int = KEPT_PARTICLES) -> Particles:
    """Return fewer particles of equal weight, evenly taken from the weighted ones.

    Parameters
    ----------
    particles : Particles, weighted
    n : int, how many are kept [1], 1 or more

    Returns
    -------
    Particles, of equal weight [1]

    Source: gordon1993 (recalled; systematic drawing).
    Checked against: tests/science/solvency/test_blend.py.

    Example
    -------
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> thinned(drawn([wax], 400), 100).radius.size
    100
    """
    at = (0.5 + np.arange(n)) / n
    chosen = np.searchsorted(np.cumsum(particles.weight), at * particles.weight.sum())
    kept = {
        name: getattr(particles, name)[chosen]
        for name in ("group", "centre", "radius", "kappa", "width", "swells_only", "water_only")
    }
    return Particles(particles.groups, weight=np.full(n, 1 / n), **kept)


def direct_chances(particles: Particles, at: Floats, level: Outcome) -> Floats:
    """Return the chance of at least an outcome at places, particle by particle: exact and slow.

    What only water moves is left out; `glue_chances` has it.

    Parameters
    ----------
    particles : Particles, weighted
    at : array, places, shape (b, 4) [MPa^0.5; m3/mol]
    level : Outcome, swells, softens or dissolves

    Returns
    -------
    numpy array, shape (b,) [1]

    Source: own; softmend-solvents, section 5.1.
    Checked against: tests/science/solvency/test_blend.py.

    Example
    -------
    >>> import numpy as np
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> at = np.array([[16.5, 1, 2, 90e-6], [16.5, 30, 30, 90e-6]], dtype=np.float32)
    >>> near, far = direct_chances(drawn([wax], 400), at, Outcome.DISSOLVES)
    >>> bool(near > 0.7), bool(far < 0.01)
    (True, True)
    """
    meets = ~particles.water_only
    if level is Outcome.DISSOLVES:
        meets &= ~particles.swells_only
    total = np.zeros(len(at), dtype=np.float32)
    if not meets.any():
        return total
    scale = np.array([2, 1, 1], dtype=np.float32)
    centre, weight = particles.centre[meets] * scale, particles.weight[meets].astype(np.float32)
    steepness = 1 / particles.width[meets]
    outward = steepness / particles.radius[meets]
    square = np.einsum("ij,ij->i", centre, centre)
    cut = np.float32(CUTS[level - 1]) * steepness
    bulk = np.maximum(0, at[:, 3] - SMALL_MOLECULE) / np.float32(REFERENCE_VOLUME)
    drag = particles.kappa[meets] * steepness
    for begin in range(0, len(at), max(1, CHUNK // meets.sum())):
        some = slice(begin, begin + max(1, CHUNK // meets.sum()))
        spot = at[some, :3] * scale
        apart = spot @ (-2 * centre.T)
        apart += square
        apart += np.einsum("ij,ij->i", spot, spot)[:, None]
        np.maximum(apart, 0, out=apart)
        np.sqrt(apart, out=apart)
        apart *= outward
        apart += bulk[some, None] * drag
        apart -= cut
        np.minimum(apart, 30, out=apart)  # so that no exponential overflows
        np.exp(apart, out=apart)
        apart += 1
        np.reciprocal(apart, out=apart)
        total[some] = apart @ weight
    return total


def glue_chances(particles: Particles, water_shares: Array, level: Outcome) -> Array:
    """Return what water adds to the chance of at least an outcome, for glues that only it moves.

    Parameters
    ----------
    particles : Particles, weighted
    water_shares : array, of the blends, shape (b,) [1], 0 to 1
    level : Outcome, swells, softens or dissolves

    Returns
    -------
    numpy array, shape (b,) [1]

    Source: own; a rule and no sphere.
    Checked against: tests/science/solvency/test_blend.py.

    Example
    -------
    >>> import numpy as np
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> glue = CoatingClass("glue", "glue", Behaviour.WATER_ONLY, (17, 7, 8), 9.0, 1.0, 1.0, 0.0)
    >>> dry, wet = glue_chances(drawn([glue], 400), np.array([0.0, 1.0]), Outcome.SWELLS)
    >>> bool(dry < 0.01), bool(wet > 0.9)
    (True, True)
    """
    glues = particles.water_only
    levels, back = np.unique(water_shares, return_inverse=True)
    far = DRY_OF_GLUE + (WET_OF_GLUE - DRY_OF_GLUE) * levels
    steps = (CUTS[level - 1] - far[:, None]) / particles.width[glues]
    chances = 1 / (1 + np.exp(-np.clip(steps, -30, 30)))
    return np.asarray((chances @ particles.weight[glues])[back])


def blend_chances(particles: Particles, at: Floats, level: Outcome) -> Floats:
    """Return the chance of at least an outcome at many places, read from a table between nodes.

    Parameters
    ----------
    particles : Particles, weighted; few enough, see `thinned`
    at : array, places, shape (b, 4) [MPa^0.5; m3/mol]
    level : Outcome, swells, softens or dissolves

    Returns
    -------
    numpy array, shape (b,) [1]; within 0.005 rms of `direct_chances`

    Source: own; softmend-solvents, section 5.2 (linear between nodes, in four directions).
    Checked against: tests/science/solvency/test_blend.py.

    Example
    -------
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> at = places(all_blends(2), [[16.5, 1, 2], [16.5, 30, 30]], [90e-6, 90e-6])
    >>> some = thinned(drawn([wax], 400), 100)
    >>> apart = blend_chances(some, at, Outcome.SWELLS) - direct_chances(some, at, Outcome.SWELLS)
    >>> bool(abs(apart).max() < 0.05)
    True
    """
    cells = _cells(at)
    table = np.zeros(cells.size, dtype=np.float32)
    table[cells.used] = direct_chances(particles, cells.nodes, level)
    found = np.zeros(len(at), dtype=np.float32)
    for shift, part in zip(cells.shifts, cells.parts, strict=True):
        found += part * table[cells.home + shift]
    return found


@dataclass(frozen=True, slots=True)
class _Cells:
    """The cell of a grid about each place: 16 corners, their parts, and the nodes that are used.

    A node has a number; `home` is that of a place's lowest corner, `shifts` lead to the others.
    """

    home: NDArray[np.int64]
    shifts: list[int]
    parts: list[Floats]
    used: NDArray[np.int64]
    nodes: Floats
    size: int


def _cells(at: Floats) -> _Cells:
    steps = np.array(STEPS, dtype=np.float64)
    # Below the size of a small molecule nothing depends on it: all of that is one layer of nodes.
    measured = np.array(at, dtype=np.float64)
    measured[:, 3] = np.maximum(measured[:, 3] - SMALL_MOLECULE, 0)
    scaled = measured / steps
    cell = np.floor(scaled).astype(np.int64)
    inside = (scaled - cell).astype(np.float32)
    extent = cell.max(axis=0) + 2
    stride = np.array([extent[1:].prod(), extent[2:].prod(), extent[3], 1], dtype=np.int64)
    home = cell @ stride
    offsets = [np.array([(n >> bit) & 1 for bit in range(4)]) for n in range(16)]
    shifts = [int(offset @ stride) for offset in offsets]
    size = int(extent.prod())
    taken, used = np.zeros(size, dtype=bool), np.zeros(size, dtype=bool)
    taken[home] = True
    homes = np.flatnonzero(taken)  # far fewer than places
    for shift in shifts:
        used[homes + shift] = True
    numbers = np.flatnonzero(used)
    spots = np.stack(np.unravel_index(numbers, tuple(extent)), axis=1) * steps
    spots[:, 3] += SMALL_MOLECULE
    # Column by column: a product along short rows costs three times as much.
    sides = [(1 - column, column) for column in np.ascontiguousarray(inside.T)]
    parts = [
        np.asarray(sides[0][one] * sides[1][two] * sides[2][three] * sides[3][four])
        for one, two, three, four in offsets
    ]
    return _Cells(home, shifts, parts, numbers, spots.astype(np.float32), size)
