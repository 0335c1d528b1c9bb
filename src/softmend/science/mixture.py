"""What "20 %" means: one mixture written on four bases, and the masses that make it.

A percentage has a meaning only with its basis; no function here takes one without.
The volume of a solution is the sum of the volumes of its parts (ideal mixing) times one plus a
relative change of volume, which is uncertain and carried.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.dilution import check_density
from softmend.science.propagation import Spread, spread
from softmend.science.uncertain import Array, Uncertain

IDEAL_MIXING = Uncertain.normal(0.0, 0.01)
"""Relative change of volume on mixing when nothing better is known (estimated). Alcohol and water
shrink by up to 4 %: give their change."""

DRAWS = 4000


class Basis(StrEnum):
    """What a percentage is a percentage of; w/v is in grams per 100 mL."""

    MASS_OF_SOLUTION = "w/w"
    MASS_IN_VOLUME_OF_SOLUTION = "w/v of solution"
    MASS_TO_VOLUME_OF_SOLVENT = "w/v of solvent"
    VOLUME_OF_SOLUTION = "v/v"


PER_VOLUME_PERCENT = 10.0
MOST_BATCH_KG = 1e6
"""No bench mixes more; what asks for it names a part of which there is next to none."""
"""One percent w/v is 1 g in 100 mL, which is 10 kg/m3."""


class Wanted(StrEnum):
    """What a wanted amount is an amount of."""

    MASS_OF_SOLUTION = "mass of solution"
    VOLUME_OF_SOLUTION = "volume of solution"
    MASS_OF_SOLUTE = "mass of solute"
    VOLUME_OF_SOLVENT = "volume of solvent"


@dataclass(frozen=True, slots=True)
class Parts:
    """What goes into one mixture: densities [kg/m3] and the change of volume on mixing [1]."""

    solute_density: Uncertain
    solvent_density: Uncertain
    volume_change: Uncertain = IDEAL_MIXING


@dataclass(frozen=True, slots=True)
class Mixture:
    """One mixture on every basis [percent] and as a density [kg/m3]."""

    percent: Mapping[Basis, Spread]
    density: Spread


@dataclass(frozen=True, slots=True)
class Batch:
    """What to weigh or pour for one batch: masses [kg] and volumes [m3]."""

    solute_mass: Spread
    solvent_mass: Spread
    solute_volume: Spread
    solvent_volume: Spread
    solution_mass: Spread
    solution_volume: Spread


def mass_fraction(
    percent: ArrayLike,
    basis: Basis,
    solute_density: ArrayLike,
    solvent_density: ArrayLike,
    volume_change: ArrayLike = 0.0,
) -> Array:
    """Return the mass of solute in one kilogram of the solution that a percentage means.

    Parameters
    ----------
    percent : array-like, as written [percent; g per 100 mL for w/v], 0 or more
    basis : Basis, what the percentage is of [1]
    solute_density, solvent_density : array-like, densities [kg/m3], 100 to 25 000
    volume_change : array-like, relative change of volume on mixing [1], -0.2 to 0.2

    Returns
    -------
    numpy array, mass fraction [1], 0 to 1

    Raises
    ------
    InputError
        When a density or the change of volume is out of range, or no mixture has the percentage.

    Source: derived from the definitions; w = c k / (d2 - c k (d2 / d1 - 1)), where c is the mass
    of solute by volume of solution, k is one plus the change of volume, d1 and d2 the densities.
    Checked against: tests/checks/softmend-practice.csv.

    Example
    -------
    >>> round(100 * float(mass_fraction(20, Basis.MASS_IN_VOLUME_OF_SOLUTION, 1150, 785)), 1)
    23.6
    """
    given, solute, solvent, change = _arrays(
        percent, solute_density, solvent_density, volume_change
    )
    if basis is Basis.MASS_OF_SOLUTION:
        fraction = given / 100
    elif basis is Basis.MASS_TO_VOLUME_OF_SOLVENT:
        loading = given * PER_VOLUME_PERCENT
        fraction = loading / (loading + solvent)
    else:
        one_percent = (
            PER_VOLUME_PERCENT if basis is Basis.MASS_IN_VOLUME_OF_SOLUTION else solute / 100
        )
        grown = given * one_percent * (1 + change)
        # At grown = solute density nothing but solute is left; beyond, the line turns over.
        within = grown <= solute * (1 + 1e-12)
        fraction = np.where(
            within,
            grown / np.where(within, solvent - grown * (solvent / solute - 1), 1.0),
            np.inf,
        )
    if not np.all((fraction >= 0) & (fraction <= 1 + 1e-9)):
        raise InputError(
            f"No mixture of these two has that percentage {basis}",
            value=f"{float(np.max(given)):g} %",
            allowed="from 0 % to that of the pure solute",
            remedy="Look again at the basis and at the densities",
        )
    return np.asarray(np.minimum(fraction, 1.0))


def percent_of(
    fraction: ArrayLike,
    basis: Basis,
    solute_density: ArrayLike,
    solvent_density: ArrayLike,
    volume_change: ArrayLike = 0.0,
) -> Array:
    """Return the percentage, on a basis, of a mixture given by its mass fraction.

    Parameters
    ----------
    fraction : array-like, mass of solute by mass of solution [1], 0 to 1; below 1 for solvent
    basis : Basis, what the percentage is of [1]
    solute_density, solvent_density : array-like, densities [kg/m3], 100 to 25 000
    volume_change : array-like, relative change of volume on mixing [1], -0.2 to 0.2

    Returns
    -------
    numpy array, the percentage [percent; g per 100 mL for w/v]

    Raises
    ------
    InputError
        When a fraction, a density or the change of volume is out of range.

    Source: derived from the definitions of the four bases.
    Checked against: tests/checks/softmend-practice.csv.

    Example
    -------
    >>> round(float(percent_of(0.2, Basis.MASS_TO_VOLUME_OF_SOLVENT, 1150, 785)), 1)
    19.6
    """
    w, solute, solvent, change = _arrays(fraction, solute_density, solvent_density, volume_change)
    most = 1.0 if basis is not Basis.MASS_TO_VOLUME_OF_SOLVENT else np.nextafter(1.0, 0.0)
    if not np.all(w <= most):
        raise InputError(
            "A mass fraction is out of range",
            value=f"{float(np.max(w)):g}",
            allowed="0 to 1; below 1 where solvent is needed",
        )
    volume = (1 + change) * (w / solute + (1 - w) / solvent)
    found = {
        Basis.MASS_OF_SOLUTION: lambda: 100 * w,
        Basis.MASS_IN_VOLUME_OF_SOLUTION: lambda: w / volume / PER_VOLUME_PERCENT,
        Basis.MASS_TO_VOLUME_OF_SOLVENT: lambda: w * solvent / (1 - w) / PER_VOLUME_PERCENT,
        Basis.VOLUME_OF_SOLUTION: lambda: 100 * (w / solute) / volume,
    }
    return np.asarray(found[basis]() + np.zeros_like(volume))


def mixture(percent: Uncertain, basis: Basis, parts: Parts, seed: int = 0) -> Mixture:
    """Return one mixture on all four bases and its density, with what drives each.

    Parameters
    ----------
    percent : Uncertain, as written [percent; g per 100 mL for w/v], 0 or more
    basis : Basis, what the percentage is of [1]
    parts : Parts, densities [kg/m3] and change of volume on mixing [1]
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Mixture, percentages [percent; g per 100 mL for w/v] and density [kg/m3]

    Raises
    ------
    InputError
        When some of the draws are no mixture.

    Source: jcgm101, section 7 (propagation of distributions).
    Checked against: tests/checks/softmend-practice.csv.

    Example
    -------
    >>> resin = Parts(Uncertain.normal(1150, 10), Uncertain.normal(785, 2))
    >>> found = mixture(Uncertain.exact(20), Basis.MASS_IN_VOLUME_OF_SOLUTION, resin)
    >>> round(found.percent[Basis.MASS_OF_SOLUTION].mean, 1)
    23.6
    """
    draws = _draws(percent, parts, seed)
    given, *known = draws.values()
    fraction = mass_fraction(given, basis, *known)
    # The basis it was written on is the number as written, not a round trip of it.
    found = {
        other: given if other is basis else percent_of(fraction, other, *known)
        for other in Basis
        if other is not Basis.MASS_TO_VOLUME_OF_SOLVENT or np.all(fraction < 1)
    }
    solute, solvent, change = known
    density = 1 / ((1 + change) * (fraction / solute + (1 - fraction) / solvent))
    return Mixture(
        {one: spread(column, draws) for one, column in found.items()}, spread(density, draws)
    )


def batch(
    percent: Uncertain, basis: Basis, parts: Parts, wanted: Wanted, amount: Uncertain, seed: int = 0
) -> Batch:
    """Return the masses and volumes that make a wanted amount of a mixture.

    Parameters
    ----------
    percent : Uncertain, as written [percent; g per 100 mL for w/v], above 0
    basis : Basis, what the percentage is of [1]
    parts : Parts, densities [kg/m3] and change of volume on mixing [1]
    wanted : Wanted, what the amount is an amount of [1]
    amount : Uncertain, how much is wanted [kg or m3, by wanted], above 0
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Batch, masses [kg] and volumes [m3]

    Raises
    ------
    InputError
        When the amount is not above zero, or a batch of nothing but the one part is asked by the
        other.

    Source: derived from the definitions; jcgm101, section 7.
    Checked against: tests/checks/softmend-practice.csv.

    Example
    -------
    >>> resin = Parts(Uncertain.exact(1150), Uncertain.exact(785))
    >>> found = batch(Uncertain.exact(20), Basis.MASS_OF_SOLUTION, resin,
    ...               Wanted.MASS_OF_SOLUTION, Uncertain.exact(0.050))
    >>> round(found.solute_mass.mean, 6), round(found.solvent_mass.mean, 6)
    (0.01, 0.04)
    """
    draws = _draws(percent, parts, seed)
    given, solute, solvent, change = draws.values()
    size = amount.draw(DRAWS, np.random.default_rng((seed, 1)))
    fraction = mass_fraction(given, basis, solute, solvent, change)
    volume = (1 + change) * (fraction / solute + (1 - fraction) / solvent)
    amount_in_a_kilogram = {
        Wanted.MASS_OF_SOLUTION: np.ones_like(fraction),
        Wanted.VOLUME_OF_SOLUTION: volume,
        Wanted.MASS_OF_SOLUTE: fraction,
        Wanted.VOLUME_OF_SOLVENT: (1 - fraction) / solvent,
    }[wanted]
    if not (np.all(size > 0) and np.all(amount_in_a_kilogram > 0)):
        raise InputError(
            f"A batch cannot be made to that {wanted}",
            value=f"{amount.typical:g}",
            allowed="an amount above 0 of something that is in the mixture",
        )
    draws["amount"] = size
    with np.errstate(over="ignore"):
        mass = size / amount_in_a_kilogram
    if not np.all(mass <= MOST_BATCH_KG):
        raise InputError(
            f"A batch with so much {wanted} cannot be made: there is next to none in the mixture",
            value=f"{amount.typical:g}",
            allowed=f"a batch of at most {MOST_BATCH_KG:g} kg",
        )
    columns = (
        mass * fraction,
        mass * (1 - fraction),
        mass * fraction / solute,
        mass * (1 - fraction) / solvent,
        mass,
        mass * volume,
    )
    return Batch(*(spread(column, draws) for column in columns))


def _draws(percent: Uncertain, parts: Parts, seed: int) -> dict[str, Array]:
    rng = np.random.default_rng(seed)
    return {
        "percentage": percent.draw(DRAWS, rng),
        "density of the solute": parts.solute_density.draw(DRAWS, rng),
        "density of the solvent": parts.solvent_density.draw(DRAWS, rng),
        "change of volume on mixing": parts.volume_change.draw(DRAWS, rng),
    }


def _arrays(
    amount: ArrayLike, solute: ArrayLike, solvent: ArrayLike, change: ArrayLike
) -> tuple[Array, Array, Array, Array]:
    given, one, other, grown = (
        np.asarray(part, dtype=np.float64) for part in (amount, solute, solvent, change)
    )
    if not np.all(given >= 0):
        raise InputError(
            "A percentage is negative", value=f"{float(np.min(given)):g}", allowed="0 or more"
        )
    check_density(one)
    check_density(other)
    if not np.all(np.abs(grown) <= 0.2):
        raise InputError(
            "A change of volume on mixing is out of range",
            value=f"{100 * float(np.max(np.abs(grown))):.0f} %",
            allowed="-20 % to 20 %",
        )
    return given, one, other, grown
