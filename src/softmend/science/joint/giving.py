"""Which part of a joint gives first, and with what chance in a year: Monte Carlo over the unknown.

What is not known about the object, fill and bond (one draw is one possible truth) is kept apart
from what differs between years: each draw has a chance of its own, and the band is over the draws.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.science.joint.criteria import (
    Draws,
    Joint,
    Loads,
    Part,
    crossings,
    loads_of,
)
from softmend.science.joint.reaching import reaching_walls
from softmend.science.propagation import Driver, variance_share
from softmend.science.uncertain import Array, Band, Uncertain

DRAWS_LOG2 = 17
"""Two to this power draws: 131 072, a whole net of Sobol's sequence."""

RANKED = 8192
"""Draws of the net's beginning from which drivers are ranked; itself a whole net."""

QUARTER = 0.25
"""A crack in the bond stays there while the bond takes less than this share of the object's."""

SMALLEST_SHARE = 1e-6
OF_OBJECT = tuple(i for i, part in enumerate(Part) if part in (Part.LIPS, Part.TIP))
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class PartGives:
    """One part: how near it comes to giving, and its chances.

    `demand` is the year's usual largest swing over the swing at which the part gives: at 1 it
    gives. `alone` is the chance that the swing of a year reaches that; `first` that it does and
    no other part gave before; `first_if_any` the share of draws in which it is the weakest.
    """

    demand: Band
    alone: Band
    alone_mean: float
    first: Band
    first_mean: float
    first_if_any: float


@dataclass(frozen=True, slots=True)
class Borne:
    """What a joint bears in the year's usual largest swing, as bands, and whether it opens."""

    traction: Band
    opening: Band
    released: Band
    tip: Band
    stiffness_ratio: Band
    opens: float
    too_deep: float


@dataclass(frozen=True, slots=True)
class Giving:
    """The answer: each part, anything at all, the crack left open, loads, and what drives it.

    `object_first` is the chance that the object gives before fill and bond, walls or tip;
    `reached` the pull that comes to the walls before fill or bond lets go, while `traction` would
    come if both held; `lets_go` the share of draws in which one does not.
    """

    parts: Mapping[Part, PartGives]
    any_gives: Band
    any_mean: float
    object_first: Band
    open_tip: Band
    open_tip_mean: float
    traction: Band
    reached: Band
    lets_go: float
    opening: Band
    released: Band
    tip: Band
    stiffness_ratio: Band
    bond_holds_in_bond: float
    opens: float
    too_deep: float
    drivers: tuple[Driver, ...]
    drivers_of_object: tuple[Driver, ...]

    @property
    def weakest(self) -> dict[Part, float]:
        """The share of what is possible in which each part is the weakest."""
        return {part: one.first_if_any for part, one in self.parts.items()}


def net(values: Mapping[str, Uncertain], log2: int, seed: int) -> dict[str, Array]:
    """Return draws of independent values that fill their space evenly (a scrambled Sobol net).

    Parameters
    ----------
    values : mapping, name to uncertain value [any unit]
    log2 : int, the draws are two to this power [1], 7 to 20
    seed : int, seed of the scrambling [1]

    Returns
    -------
    dict, name to draws [unit of the value]; an exact value is the same in every draw

    Raises
    ------
    InputError
        When the power is out of range.

    Source: sobol1967; owen1998 (scrambled nets).
    Checked against: tests/science/joint/test_giving.py (moments against the distributions).

    Example
    -------
    >>> drawn = net({"width": Uncertain.uniform(0, 1), "depth": Uncertain.exact(2)}, 7, 0)
    >>> round(float(drawn["width"].mean()), 3), float(drawn["depth"].max())
    (0.5, 2.0)
    """
    if not 7 <= log2 <= 20:
        raise InputError("The power of two of the draws is out of range", value=log2,
                         allowed="7 to 20")  # fmt: skip
    from scipy.stats import qmc

    spread = [name for name, value in values.items() if value.band.low < value.band.high]
    shares = np.empty((1 << log2, 0))
    if spread:
        shares = qmc.Sobol(len(spread), rng=np.random.default_rng(seed)).random_base2(log2)
        shares = np.clip(shares, 1e-12, 1 - 1e-12)
    drawn = {name: values[name].quantile(shares[:, i]) for i, name in enumerate(spread)}
    return {
        name: drawn[name] if name in drawn else np.full(1 << log2, value.typical)
        for name, value in values.items()
    }


def borne(joint: Joint, log2: int = 13, seed: int = 0) -> Borne:
    """Return what a joint bears, without asking what it stands: no limit need be known.

    Parameters
    ----------
    joint : Joint, all values
    log2 : int, the draws are two to this power [1], 10 to 20
    seed : int, seed of the random numbers [1]; the same seed gives the same answer

    Returns
    -------
    Borne, bands of traction [Pa], opening [m], energy [J/m2], tip [Pa m^0.5] and stiffness ratio

    Raises
    ------
    InputError
        When the movement is not known, or a value is out of range.

    Source: softmend-mechanics-joint, section 4h; jcgm101; sobol1967.
    Checked against: tests/science/joint/test_giving.py (against first_to_give).

    Example
    -------
    >>> from softmend.science.joint.body import Body, Shape
    >>> from softmend.science.joint.criteria import *
    >>> from softmend.science.joint.sharing import Section
    >>> exact = Uncertain.exact
    >>> found = borne(Joint(
    ...     Matter(exact(8e9), exact(0.3), exact(1), exact(1.6e6)),
    ...     Opening(Body(Shape.PLANE), Section.BONDED, exact(0.02), exact(0.002)),
    ...     Filling(exact(4e7), exact(0.2), exact(1)),
    ...     Bond(),
    ...     Movement(mismatch=exact(1.5e-4)),
    ...     Climate(exact(10), exact(0)),
    ... ), 10)
    >>> round(found.traction.typical / 1e6, 2), found.opens
    (2.15, 1.0)
    """
    _refuse_power(log2)
    return _borne(loads_of(joint, net(joint.values(), log2, seed)))


def first_to_give(joint: Joint, log2: int = DRAWS_LOG2, seed: int = 0) -> Giving:
    """Return which part of a joint gives first, with the chances of a year as bands.

    Parameters
    ----------
    joint : Joint, all values
    log2 : int, the draws are two to this power [1], 10 to 20
    seed : int, seed of the random numbers [1]; the same seed gives the same answer

    Returns
    -------
    Giving

    Raises
    ------
    InputError
        When a limit or the movement is not known, or a value is out of range.

    Source: softmend-mechanics-joint, section 4h; jcgm101; sobol1967; he1989 (the quarter).
    Checked against: tests/checks/softmend-mechanics-joint.csv; tests/science/joint/test_giving.py.

    Example
    -------
    >>> from softmend.science.joint.body import Body, Shape
    >>> from softmend.science.joint.criteria import *
    >>> from softmend.science.joint.sharing import Section
    >>> exact = Uncertain.exact
    >>> found = first_to_give(Joint(
    ...     Matter(exact(8e9), exact(0.3), exact(1), exact(1.6e6)),
    ...     Opening(Body(Shape.PLANE), Section.BONDED, exact(0.02), exact(0.002)),
    ...     Filling(exact(4e7), exact(0.2), exact(1), strength=exact(1e6)),
    ...     Bond(energy=exact(300)),
    ...     Movement(mismatch=exact(1.5e-4)),
    ...     Climate(exact(10), exact(0)),
    ... ), 10)
    >>> max(found.parts, key=lambda part: found.parts[part].first_if_any).value
    'fill'
    """
    _refuse_power(log2)
    draws = net(joint.values(), log2, seed)
    loads = loads_of(joint, draws)
    shares = crossings(joint, loads, draws)
    stacked = np.stack([shares[part] for part in Part])
    weakest = stacked.argmin(axis=0)
    soonest = np.take_along_axis(stacked, weakest[None], axis=0)[0]
    year_cv = joint.climate.year_cv
    any_gives = chance_of_year(soonest, year_cv)
    open_share = loads.tip_open.crossing(draws["toughness of the object"])
    open_gives = chance_of_year(open_share, year_cv)
    gives = np.isfinite(soonest)
    parts = {
        part: _part(shares[part], weakest == i, any_gives, gives, year_cv)
        for i, part in enumerate(Part)
    }
    bears = _borne(loads)
    of_object = _demand(np.minimum(shares[Part.LIPS], shares[Part.TIP]))
    yields = np.minimum(shares[Part.FILL], shares[Part.BOND])
    return Giving(
        parts=parts,
        any_gives=Band.of(any_gives),
        any_mean=float(any_gives.mean()),
        object_first=Band.of(np.where(np.isin(weakest, OF_OBJECT), any_gives, 0.0)),
        open_tip=Band.of(_demand(open_share)),
        open_tip_mean=float(open_gives.mean()),
        traction=bears.traction,
        reached=Band.of(reaching_walls(loads, draws)),
        lets_go=float(np.mean(yields < 1)),
        opening=bears.opening,
        released=bears.released,
        tip=bears.tip,
        stiffness_ratio=bears.stiffness_ratio,
        bond_holds_in_bond=_stays_in_bond(loads, draws),
        opens=bears.opens,
        too_deep=bears.too_deep,
        drivers=_drivers(draws, _demand(soonest)),
        drivers_of_object=_drivers(draws, of_object),
    )


def chance_of_year(share: Array, year_cv: float) -> Array:
    """Return the chance that the largest swing of a year reaches a share of the usual one.

    Parameters
    ----------
    share : numpy array, swing at which something gives over the usual largest swing [1]
    year_cv : float, coefficient of variation of the largest swing between years [1], 0 to 2

    Returns
    -------
    numpy array, chance 0 to 1 [1]

    Raises
    ------
    InputError
        When the variation is out of range.

    Source: own rule (log-normal with the usual swing as its median).
    Checked against: tests/science/joint/test_giving.py.

    Example
    -------
    >>> chance_of_year(np.array([0.0, 1.0, 10.0]), 0.2).round(3).tolist()
    [1.0, 0.5, 0.0]
    """
    if not 0 <= year_cv <= 2:
        raise InputError("The variation between years is out of range", value=year_cv,
                         allowed="0 to 2")  # fmt: skip
    if year_cv == 0:
        return np.where(share <= 1, 1.0, 0.0)
    from scipy.special import ndtr

    with np.errstate(divide="ignore"):
        score = np.log(share) / math.sqrt(math.log1p(year_cv**2))
    return np.asarray(ndtr(-score), dtype=np.float64)


def _part(share: Array, first: Mask, any_gives: Array, gives: Mask, year_cv: float) -> PartGives:
    alone, leads = chance_of_year(share, year_cv), np.where(first, any_gives, 0.0)
    return PartGives(
        demand=Band.of(_demand(share)),
        alone=Band.of(alone),
        alone_mean=float(alone.mean()),
        first=Band.of(leads),
        first_mean=float(leads.mean()),
        first_if_any=float((first & gives).sum() / max(int(gives.sum()), 1)),
    )


def _borne(loads: Loads) -> Borne:
    return Borne(
        traction=Band.of(loads.traction.at_full()),
        opening=Band.of(loads.opening_m),
        released=Band.of(loads.energy.at_full()),
        tip=Band.of(np.maximum(loads.tip.at_full(), 0.0)),
        stiffness_ratio=Band.of(loads.stiffness_ratio),
        opens=float(np.mean(loads.opening_m > 0)),
        too_deep=loads.too_deep,
    )


def _refuse_power(log2: int) -> None:
    if not 10 <= log2 <= 20:
        raise InputError("The power of two of the draws is out of range", value=log2,
                         allowed="10 to 20")  # fmt: skip


def _demand(share: Array) -> Array:
    return 1 / np.maximum(share, SMALLEST_SHARE)


def _stays_in_bond(loads: Loads, draws: Draws) -> float:
    """Return the share of draws in which a crack in the bond does not turn into the object."""
    if "energy of the bond" not in draws:
        return math.nan
    return float(np.mean(draws["energy of the bond"] < QUARTER * loads.lip_energy))


def _drivers(draws: Draws, result: Array) -> tuple[Driver, ...]:
    ranked = result[:RANKED]
    shares = [Driver(name, variance_share(column[:RANKED], ranked)) for name, column in
              draws.items()]  # fmt: skip
    return tuple(sorted(shares, key=lambda one: -one.share))
