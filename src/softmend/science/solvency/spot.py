"""What spot tests say of a coating: what it behaves like, and what will dissolve it.

Plain importance sampling: the weight of every possible coating is multiplied by how likely it makes
what was seen. The advice is surer than the name.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from softmend.errors import InputError
from softmend.science.solvency.coating import (
    Floats,
    Liquid,
    Outcome,
    Particles,
    at_least_chances,
    outcome_chances,
)
from softmend.science.uncertain import Array

LEAST_EFFECTIVE = 400.0
"""Particles' worth of weight below which they are drawn anew around those that are left."""
KEPT = 0.98
"""How much of a particle's own place a new one keeps; the rest is drawn from the spread."""
MISFIT_SHARE = 0.01
"""The best class misfits when it makes the tests this much less likely than it expects."""
REHEARSALS = 400
Z_95 = 1.96
"""Standard deviations of a normal on either side that hold 95 % of it."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One spot test: the liquid, what it did, and whether longer might have done more.

    `at_least` is true after a short dwell: "swells" may be "dissolves, slowly".
    """

    liquid: Liquid
    outcome: Outcome
    at_least: bool = False


def likelihood(particles: Particles, reading: Reading) -> Array:
    """Return how likely every particle makes what was seen.

    Parameters
    ----------
    particles : Particles
    reading : Reading

    Returns
    -------
    numpy array, shape (n,) [1], above 0

    Source: own; softmend-solvents, section 5.1.
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> seen = Reading(Liquid((16.0, 1.0, 2.0), 80e-6), Outcome.NONE, at_least=True)
    >>> bool(abs(likelihood(drawn([wax], 200), seen) - 1).max() < 1e-5)
    True
    """
    chances = outcome_chances(particles, reading.liquid)
    found = chances[reading.outcome :].sum(axis=0) if reading.at_least else chances[reading.outcome]
    return np.asarray(found, dtype=np.float64)


def updated(particles: Particles, readings: Sequence[Reading], seed: int = 0) -> Particles:
    """Return the particles with their weights after the tests of one layer.

    Parameters
    ----------
    particles : Particles, as before the tests
    readings : sequence of Reading, of one layer: a new layer starts anew
    seed : int, for drawing anew where few are left [1]

    Returns
    -------
    Particles, weights summing to 1 [1]

    Source: gordon1993 (recalled; weights and drawing anew); liu2001 (recalled; keeping the spread).
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> seen = Reading(Liquid((16.0, 1.0, 2.0), 80e-6), Outcome.DISSOLVES)
    >>> round(float(updated(drawn([wax], 400), [seen]).weight.sum()), 6)
    1.0
    """
    rng = np.random.default_rng(seed)
    found = particles
    for reading in readings:
        weight = found.weight * likelihood(found, reading)
        found = replace(found, weight=weight / weight.sum())
        if effective(found.weight) < min(LEAST_EFFECTIVE, found.weight.size / 4):
            found = _drawn_anew(found, rng)
    return found


def effective(weight: Array) -> float:
    """Return how many equally weighted particles the weights are worth.

    Parameters
    ----------
    weight : numpy array, shape (n,), summing to 1 [1]

    Returns
    -------
    float, from 1 to n [1]

    Source: kong1994 (recalled).
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> import numpy as np
    >>> effective(np.full(50, 1 / 50))
    50.0
    """
    return float(round(1 / np.sum(weight**2), 9))


def class_chances(particles: Particles) -> dict[str, float]:
    """Return how likely the coating behaves like each group, the likeliest first.

    Parameters
    ----------
    particles : Particles, weighted

    Returns
    -------
    dict, group to chance, summing to 1 [1]

    Source: derived; sums of weights.
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> class_chances(drawn([wax], 200))["wax"].__round__(6)
    1.0
    """
    sums = np.bincount(particles.group, particles.weight, len(particles.groups))
    pairs = zip(particles.groups, sums.tolist(), strict=True)
    return dict(sorted(pairs, key=lambda pair: -pair[1]))


def class_spread(before: Particles, readings: Sequence[Reading]) -> dict[str, float]:
    """Return the half-width of the 95 % interval of every group's chance, from drawing by chance.

    It is that of the possible coatings as they were drawn before the tests: after many tests few of
    them count, and the interval is wide. How well the spheres are known is not in it.

    Parameters
    ----------
    before : Particles, as before the tests
    readings : sequence of Reading, of one layer

    Returns
    -------
    dict, group to half-width [1], 0 to 1

    Source: kong1994 (recalled; the variance of a self-normalised weighted mean).
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> round(class_spread(drawn([wax], 200), [])["wax"], 6)
    0.0
    """
    weight = before.weight.copy()
    for reading in readings:
        weight = weight * likelihood(before, reading)
    weight = weight / weight.sum()
    found = {}
    for number, name in enumerate(before.groups):
        inside = (before.group == number).astype(np.float64)
        chance = float(inside @ weight)
        found[name] = float(Z_95 * np.sqrt(np.sum((weight * (inside - chance)) ** 2)))
    return found


def effect_chances(particles: Particles, liquids: Sequence[Liquid]) -> Array:
    """Return the chances that each liquid at least swells, at least softens, dissolves the coating.

    Parameters
    ----------
    particles : Particles, weighted
    liquids : sequence of Liquid, one or more

    Returns
    -------
    numpy array, shape (liquids, 3) [1]; what really happens, without slips of the reader

    Raises
    ------
    InputError
        When no liquid is named.

    Source: own; softmend-solvents, section 5.1.
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> effect_chances(drawn([wax], 200), [Liquid((15.5, 16, 42.3), 18e-6)]).round(3).tolist()
    [[0.0, 0.0, 0.0]]
    """
    if not liquids:
        raise InputError("No liquid was named", allowed="one or more")
    weight = particles.weight
    return np.array([at_least_chances(particles, one) @ weight for one in liquids])


def information(particles: Particles, chances: Sequence[Floats]) -> Array:
    """Return what each test is expected to tell about the class.

    Parameters
    ----------
    particles : Particles, weighted
    chances : sequence of arrays of shape (4, n), outcome_chances of each test [1]

    Returns
    -------
    numpy array, shape (tests,), mutual information [nat], 0 or more

    Source: cover2006, chapter 2 (recalled).
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> alone = drawn([wax], 200)
    >>> told = information(alone, [outcome_chances(alone, Liquid((16.0, 1.0, 2.0), 80e-6))])
    >>> round(abs(float(told[0])), 6)
    0.0
    """
    member = np.zeros((len(particles.groups), particles.weight.size), dtype=np.float32)
    member[particles.group, np.arange(particles.weight.size)] = particles.weight
    joint = np.array([member @ one.T for one in chances], dtype=np.float64)
    group, outcome = joint.sum(axis=2, keepdims=True), joint.sum(axis=1, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = joint * np.log(joint / (group * outcome))
    return np.asarray(np.clip(np.nansum(part, axis=(1, 2)), 0, None))


@dataclass(frozen=True, slots=True)
class Misfit:
    """Whether even the best class makes the tests far less likely than it expects.

    `share` is the likelihood over the one that the class expects of such tests.
    """

    group: str
    share: float

    @property
    def is_flagged(self) -> bool:
        """Whether the best class does not fit what was seen."""
        return self.share < MISFIT_SHARE


def misfit(before: Particles, readings: Sequence[Reading], seed: int = 0) -> Misfit:
    """Return how well the likeliest class explains all tests of one layer.

    Parameters
    ----------
    before : Particles, as before the tests
    readings : sequence of Reading, one or more
    seed : int, of the rehearsals [1]

    Returns
    -------
    Misfit, the likelihood over its mean when the class itself is tested so [1]

    Raises
    ------
    InputError
        When there is no test.

    Source: rubin1984 (recalled; predictive checks); softmend-solvents, section 5.1.
    Checked against: tests/science/solvency/test_spot.py.

    Example
    -------
    >>> from softmend.science.solvency.coating import Behaviour, CoatingClass, drawn
    >>> wax = CoatingClass("wax", "wax", Behaviour.SPHERE, (16.5, 1, 2), 5.0, 1.5, 1.0, 0.0)
    >>> acid = [Reading(Liquid((20.0, 18.0, 4.0), 85e-6), Outcome.DISSOLVES)] * 2
    >>> misfit(drawn([wax], 400), acid).is_flagged
    True
    """
    if not readings:
        raise InputError("There is no test to fit", allowed="one or more")
    likely = np.prod([likelihood(before, one) for one in readings], axis=0)
    sums = np.bincount(before.group, before.weight * likely, len(before.groups))
    best = int(np.argmax(sums))
    mine = before.group == best
    weight = before.weight[mine] / before.weight[mine].sum()
    tables = [outcome_chances(before, one.liquid)[:, mine] for one in readings]
    rng = np.random.default_rng(seed)
    who = rng.choice(weight.size, REHEARSALS, p=weight)
    rehearsed = np.ones((REHEARSALS, weight.size))
    for table, one in zip(tables, readings, strict=True):
        steps = np.cumsum(table[:, who], axis=0)
        told = (rng.uniform(size=REHEARSALS) > steps[:-1]).sum(axis=0)
        grown = np.cumsum(table[::-1], axis=0)[::-1] if one.at_least else table
        rehearsed *= grown[told]
    expected = float((rehearsed @ weight).mean())
    return Misfit(before.groups[best], float(likely[mine] @ weight) / expected)


def _drawn_anew(particles: Particles, rng: np.random.Generator) -> Particles:
    """Return particles drawn by weight, each moved a little within its group's spread."""
    n = particles.weight.size
    places = (rng.uniform() + np.arange(n)) / n
    chosen = np.minimum(np.searchsorted(np.cumsum(particles.weight), places), n - 1)
    centre, radius = particles.centre[chosen].copy(), particles.radius[chosen].copy()
    group = particles.group[chosen]
    for one in np.unique(group):
        mine = group == one
        for values in (centre[mine], radius[mine][:, None]):
            spread = values.std(axis=0)
            moved = KEPT * values + (1 - KEPT) * values.mean(axis=0)
            moved += np.sqrt(1 - KEPT**2) * spread * rng.normal(size=values.shape)
            if values.shape[1] == 3:
                centre[mine] = np.clip(moved, 0, None)
            else:
                radius[mine] = np.clip(moved[:, 0], 0.5, None)
    return replace(
        particles,
        group=group,
        centre=centre,
        radius=radius,
        kappa=particles.kappa[chosen],
        width=particles.width[chosen],
        swells_only=particles.swells_only[chosen],
        water_only=particles.water_only[chosen],
        weight=np.full(n, 1 / n),
    )
