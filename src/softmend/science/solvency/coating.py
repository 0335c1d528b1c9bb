"""What a coating may be: classes with their spheres, drawn as weighted particles.

A particle is one possible coating: a class, a sphere, how sharp its edge is, how much the size of
a solvent's molecule counts, and whether age has cross-linked it. Its class is "behaves like", never
an identification.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum, StrEnum

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.science.uncertain import Array

Floats = NDArray[np.float32]
CUTS = (1.40, 1.15, 0.97)
"""RED below which a coating swells, softens, dissolves; between them lies the edge's width."""
MISREAD = 0.05
"""Share of readings that are wrong, any outcome being as likely."""
CENTRE_SD = (0.7, 1.2, 1.2)
"""Of a well-known sphere's centre [MPa^0.5]; times the spread factor of its class."""
RADIUS_SD = 0.12
"""Of a well-known sphere's radius, as a share of it."""
LARGEST_KAPPA, SHARPEST, BLUNTEST = 0.3, 0.04, 0.12
SMALL_MOLECULE, REFERENCE_VOLUME = 90e-6, 100e-6
"""In m3/mol: up to the first, the size of the molecule does not count."""
DRY_OF_GLUE, WET_OF_GLUE = 2.0, 0.95
"""Stand-ins for RED of a protein glue in a liquid without water, and in water."""
LEAST_DRAWS, MOST_DRAWS = 200, 200_000


class Outcome(IntEnum):
    """What a spot test did to the coating, from nothing upward."""

    NONE = 0
    SWELLS = 1
    SOFTENS = 2
    DISSOLVES = 3


class Behaviour(StrEnum):
    """How a class meets solvents."""

    SPHERE = "sphere"
    SWELLS_ONLY = "swells only"
    WATER_ONLY = "water only"


@dataclass(frozen=True, slots=True)
class CoatingClass:
    """One class to begin from: its group, sphere [MPa^0.5], spread, and weight before any test.

    `crosslinked_share` is how often age has made such a coating swell only.
    """

    name: str
    group: str
    behaviour: Behaviour
    centre: tuple[float, float, float]
    radius: float
    spread_factor: float
    weight: float
    crosslinked_share: float


@dataclass(frozen=True, slots=True)
class Liquid:
    """An agent as a coating meets it: position [MPa^0.5], molar volume [m3/mol], water by volume.

    `doubt` is how far the published sets of its parameters lie apart [MPa^0.5].
    """

    position: tuple[float, float, float]
    molar_volume: float
    water_share: float = 0.0
    doubt: float = 0.0


@dataclass(frozen=True, slots=True)
class Particles:
    """Many possible coatings with their weights, which sum to 1; particles of a class lie together.

    `group` is the number of the particle's group in `groups`.
    """

    groups: tuple[str, ...]
    group: NDArray[np.int64]
    centre: Floats
    radius: Floats
    kappa: Floats
    width: Floats
    swells_only: NDArray[np.bool_]
    water_only: NDArray[np.bool_]
    weight: Array


def drawn(classes: Sequence[CoatingClass], n: int = 20_000, seed: int = 0) -> Particles:
    """Return particles of every class, as many of each, weighted by what is known before a test.

    Parameters
    ----------
    classes : sequence of CoatingClass, weights not all 0
    n : int, particles about [1], 200 to 200 000
    seed : int, of the random numbers [1]; the same seed gives the same particles

    Returns
    -------
    Particles, weights summing to 1 [1]

    Raises
    ------
    InputError
        When there is no class, no weight, or too few or too many particles are asked for.

    Source: own; softmend-solvents, section 5.1.
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> drawn([wax], 200).radius.shape
    (200,)
    """
    if not LEAST_DRAWS <= n <= MOST_DRAWS:
        raise InputError(
            "The number of particles is out of range",
            value=n,
            allowed=f"{LEAST_DRAWS} to {MOST_DRAWS}",
        )
    total = sum(one.weight for one in classes)
    if not total > 0 or min(one.weight for one in classes) < 0:
        raise InputError("No class has a weight", allowed="0 or more each, and not all 0")
    rng, each = np.random.default_rng(seed), max(1, n // len(classes))
    groups = tuple(dict.fromkeys(one.group for one in classes))
    parts = [_of_class(one, groups, each, one.weight / total, rng) for one in classes]
    return Particles(
        groups,
        *(
            np.concatenate([getattr(part, name) for part in parts])
            for name in ("group", "centre", "radius", "kappa", "width", "swells_only",
                         "water_only", "weight")
        ),
    )  # fmt: skip


def _of_class(
    one: CoatingClass, groups: tuple[str, ...], n: int, weight: float, rng: np.random.Generator
) -> Particles:
    spread = np.array(CENTRE_SD) * one.spread_factor
    centre = np.clip(np.array(one.centre) + spread * rng.normal(size=(n, 3)), 0, None)
    scale = np.clip(1 + RADIUS_SD * one.spread_factor * rng.normal(size=n), 0.3, None)
    return Particles(
        groups,
        np.full(n, groups.index(one.group)),
        centre.astype(np.float32),
        (one.radius * scale).astype(np.float32),
        rng.uniform(0, LARGEST_KAPPA, n).astype(np.float32),
        rng.uniform(SHARPEST, BLUNTEST, n).astype(np.float32),
        (one.behaviour is Behaviour.SWELLS_ONLY) | (rng.uniform(size=n) < one.crosslinked_share),
        np.full(n, one.behaviour is Behaviour.WATER_ONLY),
        np.full(n, weight / n),
    )


def effective_distance(particles: Particles, liquid: Liquid) -> Floats:
    """Return RED of a liquid to every particle, larger for large molecules.

    Parameters
    ----------
    particles : Particles
    liquid : Liquid [MPa^0.5, m3/mol]

    Returns
    -------
    numpy array, shape (n,) [1]

    Source: hansen2007, chapter 1 (recalled; larger molecules fall outside sooner).
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1e-9, 1.0, 0.0)
    >>> found = effective_distance(drawn([wax], 200), Liquid((16.5, 4.0, 2.0), 80e-6))
    >>> round(float(found.mean()), 2)
    0.6
    """
    apart = np.asarray(liquid.position, dtype=np.float32) - particles.centre
    apart[:, 0] *= 2
    size = np.float32(max(0.0, liquid.molar_volume - SMALL_MOLECULE) / REFERENCE_VOLUME)
    far = np.sqrt(np.einsum("ij,ij->i", apart, apart)) / particles.radius + particles.kappa * size
    wet = DRY_OF_GLUE + (WET_OF_GLUE - DRY_OF_GLUE) * liquid.water_share
    return np.where(particles.water_only, np.float32(wet), far).astype(np.float32)


def at_least_chances(particles: Particles, liquid: Liquid) -> Floats:
    """Return the chances that a liquid at least swells, at least softens, dissolves, before slips.

    Parameters
    ----------
    particles : Particles
    liquid : Liquid [MPa^0.5, m3/mol]

    Returns
    -------
    numpy array, shape (3, n) [1], falling; what is cross-linked never dissolves

    Source: own; softmend-solvents, section 5.1 (cumulative logit).
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> at_least_chances(drawn([wax], 200), Liquid((16.0, 1.0, 2.0), 80e-6)).shape
    (3, 200)
    """
    far = effective_distance(particles, liquid)
    # Where the published parameters of a liquid disagree, the edge is as blunt as they are apart.
    width = np.hypot(particles.width, np.float32(liquid.doubt) / particles.radius)
    steps = (np.array(CUTS, dtype=np.float32)[:, None] - far) / width
    chances = 1 / (1 + np.exp(-np.clip(steps, -30, 30)))
    chances[2] = np.where(particles.swells_only, 0, chances[2])
    return np.asarray(chances, dtype=np.float32)


def outcome_chances(particles: Particles, liquid: Liquid) -> Floats:
    """Return the chance of every outcome as it would be read, slips of the reader included.

    Parameters
    ----------
    particles : Particles
    liquid : Liquid [MPa^0.5, m3/mol]

    Returns
    -------
    numpy array, shape (4, n), in the order of Outcome, each column summing to 1 [1]

    Source: own; softmend-solvents, section 5.1.
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> found = outcome_chances(drawn([wax], 200), Liquid((16.0, 1.0, 2.0), 80e-6))
    >>> bool(abs(found.sum(axis=0) - 1).max() < 1e-5)
    True
    """
    swells, softens, dissolves = at_least_chances(particles, liquid)
    each = np.stack([1 - swells, swells - softens, softens - dissolves, dissolves])
    return np.asarray((1 - MISREAD) * each + MISREAD / len(Outcome), dtype=np.float32)
