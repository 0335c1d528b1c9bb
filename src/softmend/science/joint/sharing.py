"""A crack with a fill in it: who carries how much when the crack wants to open.

The fill is a row of springs along the depth. One spring for the whole fill is kept beside it: it is
right for a soft fill and, for a stiff one, leaves far too little at the tip.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.joint.body import Body, Shape
from softmend.science.joint.confined import (
    V_DEPTH_SHARE,
    Bottom,
    confined_modulus,
    confined_swelling,
)
from softmend.science.joint.crack import Slit, slit
from softmend.science.uncertain import Array

GRAVITY = 9.80665
HAND = 0.1
"""Loads are told for each ten centimetres of crack."""


class Section(StrEnum):
    """The crack across: parallel walls with the fill free or stuck below, or a V."""

    FREE = "parallel, bottom free"
    BONDED = "parallel, bottom bonded"
    V = "V"


@dataclass(frozen=True, slots=True)
class Elastic:
    """A material by its Young's modulus [Pa] and Poisson's ratio [1]."""

    modulus_pa: float
    poisson: float

    @property
    def plane_pa(self) -> float:
        """The plane-strain modulus [Pa]."""
        return self.modulus_pa / (1 - self.poisson**2)


@dataclass(frozen=True, slots=True)
class Gap:
    """A long crack: the body, its outer radius [m] (a plane: any), depth, mouth width [m]."""

    body: Body
    radius_m: float
    depth_m: float
    width_m: float
    section: Section = Section.BONDED

    def __post_init__(self) -> None:
        """Refuse sizes that are no crack."""
        if not min(self.radius_m, self.depth_m, self.width_m) > 0:
            raise InputError(
                "Radius, depth and width of a crack must be positive",
                value=(self.radius_m, self.depth_m, self.width_m),
            )

    @property
    def depth_ratio(self) -> float:
        """The depth over the outer radius; of a plane 1."""
        return 1.0 if self.body.shape is Shape.PLANE else self.depth_m / self.radius_m


@dataclass(frozen=True, slots=True)
class OneSpring:
    """The same with one spring for the whole fill, the limit for soft fills."""

    opening_m: float
    traction_pa: float
    released_j_m2: float
    tip_pa_m05: float


@dataclass(frozen=True, slots=True)
class Sharing:
    """Who carries what; openings are means over the depth unless they say mouth.

    Traction is tension on the walls, released the energy for each area of crack that comes free if
    the fill lets go of one wall, tip the stress intensity (0: the tip is pressed shut). Profiles
    run from the surface down.
    """

    confined_pa: float
    stiffness_ratio: float
    free_opening_m: float
    free_mouth_m: float
    free_tip_pa_m05: float
    opening_m: float
    mouth_m: float
    traction_pa: float
    greatest_traction_pa: float
    fill_strain: float
    released_j_m2: float
    tip_pa_m05: float
    depths_m: Array
    openings_m: Array
    free_openings_m: Array
    tractions_pa: Array
    one_spring: OneSpring


def spring_of(
    section: Section,
    modulus_pa: ArrayLike,
    poisson: ArrayLike,
    depth_m: ArrayLike,
    width_m: ArrayLike,
) -> tuple[Array, Array]:
    """Return the spring of a fill for each area of wall, and what its own swelling is worth.

    Parameters
    ----------
    section : Section, the crack across
    modulus_pa : float or array, Young's modulus of the fill [Pa], 0 or more
    poisson : float or array, Poisson's ratio of the fill [1], 0 to below 0.5
    depth_m : float or array, depth of the fill [m], above 0
    width_m : float or array, width of the crack at its mouth [m], above 0

    Returns
    -------
    tuple of numpy arrays, spring [Pa/m] and opening for a free strain of one [m]; a V counts with
    half its mouth, its mean width

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-mechanics-joint, sections 4a and 4h.
    Checked against: tests/checks/softmend-mechanics-joint.csv.

    Example
    -------
    >>> spring, worth = spring_of(Section.BONDED, 1e9, 0.3, 0.02, 0.002)
    >>> f"{float(spring):.3e}", round(float(worth) * 1e3, 2)
    ('6.664e+11', 3.66)
    """
    mouth = np.asarray(width_m, dtype=np.float64)
    ratio = np.asarray(depth_m, dtype=np.float64) / mouth
    bottom = Bottom.FREE if section is Section.FREE else Bottom.BONDED
    width = mouth
    if section is Section.V:
        ratio, width = V_DEPTH_SHARE * ratio, mouth / 2
    stiff = confined_modulus(modulus_pa, poisson, ratio, bottom)
    return stiff / width, confined_swelling(poisson, ratio, bottom) * width


def load_sharing(
    gap: Gap, held_by: Elastic, fill: Elastic, mismatch: float, own_strain: float = 0.0
) -> Sharing:
    """Return how object and fill share the movement of a crack.

    Parameters
    ----------
    gap : Gap, the crack
    held_by : Elastic, the object across the crack
    fill : Elastic, the fill; a modulus of 0 is an open crack
    mismatch : float, of a round shaft the radial minus tangential free strain, of a plane the
        strain held back [1]; positive opens
    own_strain : float, free linear strain of the fill itself, negative for shrinkage [1]

    Returns
    -------
    Sharing

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-mechanics-joint, section 4h with its correction; bueckner1958 (bridged crack).
    Checked against: tests/checks/softmend-mechanics-joint.csv;
    tests/checks/softmend-joint-oracle.csv.

    Example
    -------
    >>> w1 = Gap(Body(Shape.CYLINDER), 0.05, 0.02, 0.002)
    >>> pulp = load_sharing(w1, Elastic(8e9, 0.3), Elastic(4e7, 0.2), 0.0015)
    >>> round(pulp.traction_pa / 1e6, 2), round(pulp.tip_pa_m05 / 1e6, 2)
    (1.24, 1.47)
    """
    _refuse(gap, held_by, fill)
    one = slit(gap.body, gap.depth_ratio)
    plane, depth = held_by.plane_pa, gap.depth_m
    spring, worth = (
        float(v) for v in spring_of(gap.section, fill.modulus_pa, fill.poisson, depth, gap.width_m)
    )
    rest = own_strain * worth
    pull, even = mismatch * one.own, np.ones_like(one.own)
    free = one.solve(0.0, pull, 0 * even)[0]
    filled = one.solve(spring * depth / plane, pull, rest / depth * even)[0]
    pressed = one.solve(0.0, even, 0 * even)[0]
    openings, free_openings = one.profile(filled) * depth, one.profile(free) * depth
    tractions = spring * (openings - rest)
    mouth = float(one.mouth(filled)) * depth
    opening = float(one.mean(filled)) * depth
    root = plane * math.sqrt(depth)
    ratio = spring * float(one.mean(pressed)) * depth / plane
    released = float(one.weights @ (tractions * (free_openings - rest))) / 2
    width = gap.width_m / (2 if gap.section is Section.V else 1)
    return Sharing(
        confined_pa=spring * width,
        stiffness_ratio=ratio,
        free_opening_m=float(one.mean(free)) * depth,
        free_mouth_m=float(one.mouth(free)) * depth,
        free_tip_pa_m05=max(0.0, float(one.tip(free)) * root),
        opening_m=opening,
        mouth_m=mouth,
        traction_pa=spring * (opening - rest),
        greatest_traction_pa=max(float(tractions.max()), spring * (mouth - rest), -spring * rest),
        fill_strain=(opening - rest) / width,
        released_j_m2=released,
        tip_pa_m05=max(0.0, float(one.tip(filled)) * root),
        depths_m=one.places[::-1] * depth,
        openings_m=openings[::-1],
        free_openings_m=free_openings[::-1],
        tractions_pa=tractions[::-1],
        one_spring=_one_spring(one, free, pressed, ratio, spring, rest, depth, root),
    )


def _one_spring(
    one: Slit,
    free: Array,
    pressed: Array,
    ratio: float,
    spring: float,
    rest: float,
    depth: float,
    root: float,
) -> OneSpring:
    """Return the limit of one spring: its own swelling presses as an even pressure."""
    shared = 1 / (1 + ratio)
    wanted = float(one.mean(free)) * depth
    traction = spring * shared * (wanted - rest)
    # The tip feels the movement and the even push of the fill.
    pushed = float(one.tip(pressed)) * math.sqrt(depth) * spring * rest
    return OneSpring(
        opening_m=shared * (wanted + ratio * rest),
        traction_pa=traction,
        released_j_m2=traction * (wanted - rest) / 2,
        tip_pa_m05=max(0.0, shared * (float(one.tip(free)) * root + pushed)),
    )


def _refuse(gap: Gap, held_by: Elastic, fill: Elastic) -> None:
    for who, one in (("object", held_by), ("fill", fill)):
        if not 0 <= one.poisson < 0.5:
            raise InputError(
                f"The Poisson's ratio of the {who} is out of range",
                value=one.poisson,
                allowed="0 to below 0.5",
            )
    if not held_by.modulus_pa > 0 or fill.modulus_pa < 0:
        raise InputError(
            "A modulus is not possible",
            value=(held_by.modulus_pa, fill.modulus_pa),
            allowed="above 0 Pa of the object, 0 Pa or more of the fill",
        )


def pull_in_the_hand(traction_pa: float, depth_m: float) -> float:
    """Return a pull on the walls as the mass that a hand would hold, for each 10 cm of crack.

    Parameters
    ----------
    traction_pa : float, mean pull on a wall [Pa]
    depth_m : float, depth of the wall [m], above 0

    Returns
    -------
    float, mass [kg] for each 0.1 m of crack

    Raises
    ------
    InputError
        When the depth is not above zero.

    Source: derived (weight under standard gravity).
    Checked against: tests/science/joint/test_sharing.py.

    Example
    -------
    >>> round(pull_in_the_hand(1e5, 0.0098))
    10
    """
    if not depth_m > 0:
        raise InputError("The depth of a crack is not above zero", value=depth_m)
    return traction_pa * depth_m * HAND / GRAVITY


def tolerable_pressure(toughness_pa_m05: float, gap: Gap) -> float:
    """Return the even pressure on the walls at which the tip of a crack would run.

    Parameters
    ----------
    toughness_pa_m05 : float, toughness of the object [Pa m^0.5], above 0
    gap : Gap, the crack

    Returns
    -------
    float, pressure [Pa]

    Raises
    ------
    InputError
        When the toughness is not above zero.

    Source: softmend-mechanics-joint, section 4h (expansion of the fill or pressure of insertion).
    Checked against: tests/checks/softmend-mechanics-joint.csv.

    Example
    -------
    >>> round(tolerable_pressure(1.6e6, Gap(Body(Shape.PLANE), 1.0, 0.02, 0.002)) / 1e6, 1)
    5.7
    """
    if not toughness_pa_m05 > 0:
        raise InputError("A toughness is not above zero", value=toughness_pa_m05)
    one = slit(gap.body, gap.depth_ratio)
    even = np.ones_like(one.own)
    return (
        toughness_pa_m05
        / float(one.tip(one.solve(0.0, even, 0 * even))[0])
        / math.sqrt(gap.depth_m)
    )
