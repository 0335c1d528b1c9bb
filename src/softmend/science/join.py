"""Whether a glued joint carries its own piece for years, and gives before the object does.

A joint is a flat section that carries weight at a lever arm: elastic bending and shear of a
section, the worst edge judged by its largest tension. What lasts of a bond under steady load, and
how a thermoplastic softens below its glass transition, are our own estimates.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.limits import Limits, within
from softmend.science.propagation import Spread, spread
from softmend.science.toughness import stays_in_the_bond
from softmend.science.uncertain import Array, Uncertain

GRAVITY = 9.80665
DRAWS = 20_000
YEAR = 365.25 * 86400.0

LASTING = Uncertain.uniform(0.1, 0.5)
"""Share of a strength measured in minutes that holds for years (our estimate)."""

SOFT_SPAN = 20.0
"""Kelvins below its glass transition from which a bond loses strength, to nothing at it."""

# Williams, Landel and Ferry: universal constants, and the viscosity of a glass [Pa s].
WLF_SLOPE, WLF_KELVIN, GLASS_VISCOSITY = 17.44, 51.6, 1e12


class Section(StrEnum):
    """The outline of a joint."""

    RECTANGLE = "rectangle"
    ELLIPSE = "ellipse"


# Area over breadth x height; section modulus over breadth x height squared.
SHAPE: Mapping[Section, tuple[float, float]] = {
    Section.RECTANGLE: (1.0, 1 / 6),
    Section.ELLIPSE: (math.pi / 4, math.pi / 32),
}


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint: breadth [m] and height [m], the height upright, and the share that is bonded."""

    section: Section
    breadth: Uncertain
    height: Uncertain
    bonded: Uncertain


@dataclass(frozen=True, slots=True)
class Piece:
    """What hangs on a joint: mass [kg], arm from joint to centre of mass [m], and how it hangs.

    `hang` is the angle of the piece below the horizontal [degrees]: 0 sticks out sideways, 90
    hangs straight down, -90 stands on its joint. `handling` multiplies the weight; 1 is at rest.
    """

    mass: Uncertain
    arm: Uncertain
    hang: Uncertain
    handling: Uncertain


@dataclass(frozen=True, slots=True)
class Bond:
    """A bond: strength in minutes [Pa], what lasts of it [1], glass transition [degC] or none.

    `line` is the thickness of the glue line [m], by which it slides when it creeps; `energy` what
    it costs to part it [J/m2].
    """

    strength: Uncertain
    lasting: Uncertain = LASTING
    glass_transition: Uncertain | None = None
    line: Uncertain | None = None
    energy: Uncertain | None = None


@dataclass(frozen=True, slots=True)
class Held:
    """How a joint stands: stresses [Pa], load over lasting strength, chances, slip a year [m].

    `least` is the strength in minutes that a bond needs here, `most` the object's own: a good
    bond lies between. A chance is the share of draws; `stays` that in which a crack that meets
    the bond runs along it and leaves the object whole.
    """

    tension: Spread
    shear: Spread
    load: Spread
    holds: float
    least: Spread
    most: Spread | None
    bond_over_object: Spread | None
    bond_first: float | None
    slip: Spread | None
    above_transition: float | None
    stays: float | None = None


def edge_stress(
    section: Section,
    breadth: ArrayLike,
    height: ArrayLike,
    weight: ArrayLike,
    arm: ArrayLike,
    hang: ArrayLike,
) -> tuple[Array, Array]:
    """Return the largest tension at the edge of a joint, and the mean shear over it.

    Parameters
    ----------
    section : Section, outline of the joint
    breadth : array, level width of the joint [m], above 0
    height : array, upright height of the joint [m], above 0
    weight : array, force downwards [N], 0 or more
    arm : array, from the joint to the centre of mass, square to the joint [m], 0 or more
    hang : array, angle of the piece below the horizontal [degrees], -90 to 90

    Returns
    -------
    tuple, largest principal tension [Pa], 0 or more, and mean shear [Pa]

    Raises
    ------
    InputError
        When a size, a weight or an angle is impossible.

    Source: young2002, chapters 2 and 8 (recalled).
    Checked against: tests/checks/young2002.csv; tests/science/test_join.py.

    Example
    -------
    >>> tension, shear = edge_stress(Section.RECTANGLE, 0.02, 0.03, 10.0, 0.1, 0.0)
    >>> round(float(tension)), round(float(shear))
    (334165, 16667)
    """
    across, up, force, lever, angle = (
        np.asarray(one, dtype=np.float64) for one in (breadth, height, weight, arm, hang)
    )
    size, load = np.minimum(across, up), np.minimum(force, lever)
    _refuse("A joint has no size", size, size > 0, "above 0 m")
    _refuse("A weight or an arm is negative", load, load >= 0, "0 or more")
    _refuse("A piece cannot hang at that angle", angle, abs(angle) <= 90, "-90 to 90 degrees")
    area_share, modulus_share = SHAPE[section]
    area = area_share * across * up
    modulus = modulus_share * across * up**2
    sideways = np.cos(np.radians(angle))
    normal = force * np.sin(np.radians(angle)) / area + force * sideways * lever / modulus
    shear = force * sideways / area
    principal = normal / 2 + np.hypot(normal / 2, shear)
    return np.asarray(principal), np.asarray(shear)


def lasting_share(margin: ArrayLike) -> Array:
    """Return what softening leaves of a bond that is so far below its glass transition.

    Parameters
    ----------
    margin : array, glass transition less the warmest temperature [K]

    Returns
    -------
    numpy array, share of the strength [1]: 1 from 20 K, falling straight to 0 at the transition

    Source: own; an estimate, since thermoplastic bonds creep near their transition.
    Checked against: tests/science/test_join.py.

    Example
    -------
    >>> lasting_share([30.0, 10.0, -5.0]).tolist()
    [1.0, 0.5, 0.0]
    """
    return np.clip(np.asarray(margin, dtype=np.float64) / SOFT_SPAN, 0.0, 1.0)


def creep_viscosity(margin: ArrayLike) -> Array:
    """Return how thick a bond flows; below its glass transition it is at least the glass's.

    Parameters
    ----------
    margin : array, glass transition less the temperature [K], above -100

    Returns
    -------
    numpy array, viscosity [Pa s], a lower bound for a positive margin

    Raises
    ------
    InputError
        When the temperature is more than 100 K above the transition.

    Source: williams1955 (universal constants, recalled).
    Checked against: tests/checks/williams1955.csv.

    Example
    -------
    >>> [f"{value:.2g}" for value in creep_viscosity([5.0, 0.0, -10.0])]
    ['1e+12', '1e+12', '1.5e+09']
    """
    above = np.maximum(-np.asarray(margin, dtype=np.float64), 0.0)
    _refuse("A bond is far above its glass transition", above, above < 100, "below 100 K")
    return np.asarray(GLASS_VISCOSITY * 10.0 ** (-WLF_SLOPE * above / (WLF_KELVIN + above)))


def holds(
    joint: Joint,
    piece: Piece,
    bond: Bond,
    warmest: Uncertain,
    object_strength: Uncertain | None = None,
    object_toughness: Uncertain | None = None,
    n: int = DRAWS,
    seed: int = 0,
) -> Held:
    """Return whether a joint carries its piece for years and gives before the object.

    Parameters
    ----------
    joint : Joint, outline and size
    piece : Piece, what hangs on it
    bond : Bond, the adhesive as it is there
    warmest : Uncertain, warmest temperature of the showcase [degC]
    object_strength : Uncertain or None, tensile strength of the object there [Pa]; None, not known
    object_toughness : Uncertain or None, energy of a crack in the object [J/m2]; None, not known
    n : int, draws [1], 100 to 100 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Held, stresses [Pa], chances [1], slip in a year [m]

    Raises
    ------
    InputError
        When n is out of range or a draw is impossible.

    Source: young2002, chapters 2 and 8; williams1955; he1989; jcgm101, section 7.
    Checked against: tests/science/test_join.py.

    Example
    -------
    >>> exact = Uncertain.exact
    >>> joint = Joint(Section.RECTANGLE, exact(0.02), exact(0.03), exact(1.0))
    >>> piece = Piece(exact(0.3), exact(0.1), exact(0.0), exact(1.0))
    >>> found = holds(joint, piece, Bond(exact(3e6), exact(0.25)), exact(25.0), exact(6e6))
    >>> round(found.load.mean, 3), found.holds, found.bond_first
    (0.131, 1.0, 1.0)
    """
    if not 100 <= n <= 100_000:
        raise InputError("The number of draws is out of range", value=n, allowed="100 to 100 000")
    rng = np.random.default_rng(seed)
    drawn = _drawn(joint, piece, bond, rng, n)
    tension, shear = edge_stress(
        joint.section,
        drawn["breadth"],
        drawn["height"],
        drawn["mass"] * GRAVITY * drawn["handling"],
        drawn["arm"],
        drawn["hang"],
    )
    # Gaps carry nothing; where they lie is not known, so they weaken every part alike.
    tension, shear = tension / drawn["bonded share"], shear / drawn["bonded share"]
    left = drawn["lasting share"]
    margin = None
    if bond.glass_transition is not None:
        drawn["warmest temperature"] = warmest.draw(n, rng)
        drawn["glass transition"] = bond.glass_transition.draw(n, rng)
        margin = drawn["glass transition"] - drawn["warmest temperature"]
        left = left * lasting_share(margin)
    strength = drawn["strength of the bond"]
    # A bond that has softened away carries nothing: a trillionth keeps the ratio finite.
    load = tension / np.maximum(strength * left, 1e-12 * strength)
    object_draws = None if object_strength is None else object_strength.draw(n, rng)
    if object_draws is not None:
        within({"strength of the object": (object_draws, Limits.STRESS)})
    ratio = None if object_draws is None else strength / object_draws
    slip = None
    if margin is not None and bond.line is not None:
        slip = shear * bond.line.draw(n, rng) / creep_viscosity(margin) * YEAR
    return Held(
        tension=spread(tension, {}),
        shear=spread(shear, {}),
        load=spread(load, drawn),
        holds=float(np.mean(load < 1)),
        least=spread(tension / np.maximum(left, 1e-12), {}),
        most=None if object_draws is None else spread(object_draws, {}),
        bond_over_object=None if ratio is None else spread(ratio, {}),
        bond_first=None if ratio is None else float(np.mean(ratio < 1)),
        slip=None if slip is None else spread(slip, {}),
        above_transition=None if margin is None else float(np.mean(margin <= 0)),
        stays=_stays(bond, object_toughness, rng, n),
    )


def _stays(
    bond: Bond, object_toughness: Uncertain | None, rng: np.random.Generator, n: int
) -> float | None:
    if bond.energy is None or object_toughness is None:
        return None
    energy, toughness = bond.energy.draw(n, rng), object_toughness.draw(n, rng)
    within(
        {
            "energy of the bond": (energy, Limits.ENERGY),
            "toughness of the object": (toughness, Limits.ENERGY),
        }
    )
    return float(np.mean(stays_in_the_bond(energy, toughness)))


def _drawn(
    joint: Joint, piece: Piece, bond: Bond, rng: np.random.Generator, n: int
) -> dict[str, Array]:
    given = {
        "breadth": joint.breadth,
        "height": joint.height,
        "bonded share": joint.bonded,
        "mass": piece.mass,
        "arm": piece.arm,
        "hang": piece.hang,
        "handling": piece.handling,
        "strength of the bond": bond.strength,
        "lasting share": bond.lasting,
    }
    drawn = {name: value.draw(n, rng) for name, value in given.items()}
    limits = {
        "breadth": Limits.LENGTH,
        "height": Limits.LENGTH,
        "bonded share": Limits.SHARE,
        "mass": Limits.MASS,
        "strength of the bond": Limits.STRESS,
        "lasting share": Limits.SHARE,
    }
    within({name: (drawn[name], limit) for name, limit in limits.items()})
    return drawn


def _refuse(problem: str, values: Array, fine: ArrayLike, allowed: str) -> None:
    wrong = np.atleast_1d(values)[~np.atleast_1d(np.asarray(fine, dtype=bool))]
    if wrong.size:
        raise InputError(problem, value=f"{wrong[0]:g}", allowed=allowed)
