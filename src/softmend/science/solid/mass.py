"""Mass and centre of gravity as ranges: outer volume less the hollow, times what it is made of."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.limits import Limits, within
from softmend.science.uncertain import Array, Band

NINETIETH = 1.6449
"""Standard deviations from the middle of a band to its ends, the 5 and 95 % points."""


@dataclass(frozen=True, eq=False)
class Part:
    """A volume [m3] as least, likeliest and most, and its centre [m] at each of the three."""

    volume: Band
    centres: Array


@dataclass(frozen=True, eq=False)
class Mass:
    """Mass [kg] as least, likeliest and most, its sd, and the centre of gravity with its spread.

    `corners` are the centres of gravity at every end of the ranges: the worst of them counts.
    """

    mass: Band
    sd: float
    centre: Array
    spread: float
    corners: Array


@dataclass(frozen=True, eq=False)
class Filling:
    """An old fill within the outer skin: volume [m3], density [kg/m3], and its middle (3,) [m]."""

    volume: Band
    density: Band
    centre: Array


@dataclass(frozen=True)
class Weighed:
    """What a weighing says: the mean density [kg/m3], and whether the range of the material fits.

    `hollow` is the volume that must be empty for the likeliest density to hold [m3].
    """

    density: Band
    fits: bool
    hollow: float


def probed_hollow(
    mouth_area: float, depth: float, mouth_centre: ArrayLike, inward: ArrayLike
) -> Part:
    """Return the hollow behind a mouth of which only the depth was probed.

    Parameters
    ----------
    mouth_area : float, area of the mouth [m2], above 0
    depth : float, depth of the bottom below the mouth [m], above 0
    mouth_centre : array-like (3,), middle of the mouth [m]
    inward : array-like (3,), direction into the object [1], not zero

    Returns
    -------
    Part, cone to cylinder, a paraboloid as the likeliest [m3], with the centre of each [m]

    Raises
    ------
    InputError
        When the area, the depth or the direction is none.

    Source: softmend-solids, section 4 (mass with a hollow inside).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> found = probed_hollow(0.006, 0.5, [0, 0, 0], [0, 0, 2])
    >>> [round(x, 6) for x in (found.volume.low, found.volume.typical, found.volume.high)]
    [0.001, 0.0015, 0.003]
    >>> found.centres[:, 2].round(4).tolist()
    [0.125, 0.1667, 0.25]
    """
    within({"depth of the hollow": (depth, Limits.LENGTH)})
    way = np.asarray(inward, dtype=np.float64)
    length = float(np.linalg.norm(way))
    if not mouth_area > 0 or not length > 0:
        raise InputError(
            "The mouth of the hollow has no area or no direction",
            value=f"{mouth_area:g} m2",
            allowed="three or more points round the mouth",
            remedy="pick the rim of the mouth again",
        )
    shares = np.array([1 / 3, 1 / 2, 1.0])
    middles = np.array([1 / 4, 1 / 3, 1 / 2])
    volumes = mouth_area * depth * shares
    centre = np.asarray(mouth_centre, dtype=np.float64)
    return Part(
        Band(*(float(one) for one in volumes)),
        centre + (middles * depth)[:, None] * way / length,
    )


def with_length_error(volume: Band, length_share: float) -> Band:
    """Return a volume whose range also holds the error of the length that gave the scan its unit.

    Parameters
    ----------
    volume : Band, as two methods agreed on it [m3], above 0
    length_share : float, relative sd of the scan's scale [1], 0 to 0.5

    Returns
    -------
    Band [m3]; three times the length's share, joined with the methods' own range as independent

    Raises
    ------
    InputError
        When the share is out of range.

    Source: softmend-solids, section 4 (s_V^2 = (3 V s_L/L)^2).
    Checked against: tests/science/solid/test_mass.py.

    Example
    -------
    >>> found = with_length_error(Band(1e-3, 1e-3, 1e-3), 0.01)
    >>> [round(1e6 * x, 2) for x in (found.low, found.typical, found.high)]
    [950.65, 1000.0, 1049.35]
    """
    _check_share(length_share)
    wide = 3 * NINETIETH * length_share * volume.typical
    below = math.hypot(volume.typical - volume.low, wide)
    above = math.hypot(volume.high - volume.typical, wide)
    return Band(max(volume.typical - below, 0.0), volume.typical, volume.typical + above)


def solid_mass(outer: Part, hollow: Part | None, density: Band, length_share: float = 0.0) -> Mass:
    """Return the mass and the centre of gravity with their ranges.

    Parameters
    ----------
    outer : Part, the volume within the outer skin [m3]
    hollow : Part or None, what of it is empty [m3]
    density : Band, of the material [kg/m3], above 0
    length_share : float, relative sd of the scan's scale [1], 0 to 0.5

    Returns
    -------
    Mass [kg]

    Raises
    ------
    InputError
        When the hollow is not smaller than the object or a value is out of range.

    Source: softmend-solids, section 4 (range and one-sigma of the mass).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> volume = Part(Band(0.99e-3, 1e-3, 1.01e-3), np.zeros((3, 3)))
    >>> found = solid_mass(volume, None, Band(1800, 1900, 2000), 0.01)
    >>> [round(x, 3) for x in (found.mass.low, found.mass.typical, found.mass.high, found.sd)]
    [1.729, 1.9, 2.081, 0.084]
    """
    _check(outer, hollow, density, length_share)
    empty = hollow or Part(Band(0.0, 0.0, 0.0), np.zeros((3, 3)))
    wide = 3 * length_share
    low, typical, high = (
        density.low * (outer.volume.low * (1 - wide) - empty.volume.high),
        density.typical * (outer.volume.typical - empty.volume.typical),
        density.high * (outer.volume.high * (1 + wide) - empty.volume.low),
    )
    sd_of = 2 * NINETIETH
    rho = (density.high - density.low) / sd_of
    outer_sd = math.hypot(
        wide * outer.volume.typical, (outer.volume.high - outer.volume.low) / sd_of
    )
    volume_sd = math.hypot(outer_sd, (empty.volume.high - empty.volume.low) / sd_of)
    net = outer.volume.typical - empty.volume.typical
    corners = _centres(outer, empty)
    centre = corners[0]
    spread = float(np.linalg.norm(corners - centre, axis=1).max())
    return Mass(
        Band(max(low, 0.0), typical, high),
        math.hypot(net * rho, density.typical * volume_sd),
        centre,
        spread,
        corners,
    )


def with_fillings(mass: Mass, density: Band, fillings: tuple[Filling, ...]) -> Mass:
    """Return a mass in which old fills stand in the place of the object's own material.

    Parameters
    ----------
    mass : Mass, as if the object were of one material
    density : Band, of that material [kg/m3], above 0
    fillings : tuple of Filling, within the outer skin and outside the hollow

    Returns
    -------
    Mass [kg], the centre of gravity moved with it, the worst of its corners too

    Raises
    ------
    InputError
        When the fills are heavier or larger than the object leaves room for.

    Source: softmend-solids, section 4 (m = rho_o (V_out - V_cav) + sum of rho_fill V_fill).
    Checked against: tests/science/solid/test_mass.py.

    Example
    -------
    >>> volume = Part(Band(1e-3, 1e-3, 1e-3), np.zeros((3, 3)))
    >>> bare = solid_mass(volume, None, Band(1000, 1000, 1000))
    >>> fill = Filling(Band(1e-4, 1e-4, 1e-4), Band(2000, 2000, 2000), np.array([0.011, 0, 0]))
    >>> found = with_fillings(bare, Band(1000, 1000, 1000), (fill,))
    >>> round(found.mass.typical, 6), found.centre.round(6).tolist()
    (1.1, [0.001, 0.0, 0.0])
    """
    filled = sum(one.volume.typical for one in fillings)
    if filled * density.typical >= mass.mass.typical:
        raise InputError(
            "The old fills take more room than the object has",
            value=f"{1e6 * filled:.1f} mL",
            allowed=f"less than {1e6 * mass.mass.typical / density.typical:.1f} mL",
            remedy="check the volumes of the fills, or the measured length",
        )
    low, typical, high, variance = mass.mass.low, mass.mass.typical, mass.mass.high, mass.sd**2
    moment = np.zeros(3)
    for one in fillings:
        more = one.density.typical - density.typical
        least, most = one.density.low - density.low, one.density.high - density.high
        low += min(one.volume.low * least, one.volume.high * least)
        high += max(one.volume.low * most, one.volume.high * most)
        typical += one.volume.typical * more
        moment += one.volume.typical * more * one.centre
        wide = (one.volume.high - one.volume.low) * more
        heavy = (one.density.high - one.density.low) * one.volume.typical
        variance += (wide**2 + heavy**2) / (2 * NINETIETH) ** 2
    bare = mass.mass.typical
    corners = (bare * mass.corners + moment) / typical
    shifted = [
        (own * net * mass.centre + _moment(fillings, density, side)) / left
        for side, own in ((0, density.high), (1, density.low))
        for net in (mass.mass.low / density.low, mass.mass.high / density.high)
        if (left := own * net + _extra(fillings, density, side)) > 0.02 * typical
    ]
    centre = corners[0]
    every = np.concatenate([corners, np.array(shifted).reshape(-1, 3)])
    spread = float(np.linalg.norm(every - centre, axis=1).max())
    return Mass(Band(max(low, 0.0), typical, high), math.sqrt(variance), centre, spread, every)


def _extra(fillings: tuple[Filling, ...], density: Band, side: int) -> float:
    """Return how much more the fills weigh than what they replace, at one end of their ranges."""
    return sum(_excess(one, density, side) for one in fillings)


def _moment(fillings: tuple[Filling, ...], density: Band, side: int) -> Array:
    found = np.zeros(3)
    for one in fillings:
        found += _excess(one, density, side) * one.centre
    return found


def _excess(one: Filling, density: Band, side: int) -> float:
    volume = one.volume.high
    fill, own = (one.density.low, density.high) if side == 0 else (one.density.high, density.low)
    return volume * (fill - own)


def _check(outer: Part, hollow: Part | None, density: Band, length_share: float) -> None:
    if not 0 < density.low <= density.typical <= density.high <= 25_000:
        raise InputError(
            "The density is out of range",
            value=f"{density.low:g} to {density.high:g} kg/m3",
            allowed="above 0 to 25 000 kg/m3, least first",
        )
    _check_share(length_share)
    if hollow is not None and hollow.volume.typical >= outer.volume.typical:
        raise InputError(
            "The hollow is not smaller than the object",
            value=f"{1e6 * hollow.volume.typical:.0f} mL",
            allowed=f"less than {1e6 * outer.volume.typical:.0f} mL",
            remedy="measure the mouth and the depth again",
        )


def _check_share(length_share: float) -> None:
    if not 0 <= length_share <= 0.5:
        raise InputError(
            "The uncertainty of the measured length is out of range",
            value=f"{100 * length_share:g} %",
            allowed="0 to 50 %",
            remedy="measure one length again",
        )


def _centres(outer: Part, empty: Part) -> Array:
    """Return the centre of what is left at the likeliest values, then at every pair of ends."""
    outers = (outer.volume.low, outer.volume.typical, outer.volume.high)
    empties = (empty.volume.low, empty.volume.typical, empty.volume.high)
    found = []
    for k, j in [(1, 1), *itertools.product(range(3), range(3))]:
        left = outers[k] - empties[j]
        if left > 0.02 * outers[1]:
            moment = outers[k] * outer.centres[k] - empties[j] * empty.centres[j]
            found.append(moment / left)
    return np.array(found)


def weighed_density(mass: Band, outer: Part, hollow: Part | None, density: Band) -> Weighed:
    """Return the mean density that a weighing gives, and what it says of scale and hollow.

    Parameters
    ----------
    mass : Band, weighed [kg], above 0
    outer : Part, the volume within the outer skin [m3]
    hollow : Part or None, what of it is taken as empty [m3]
    density : Band, of the material [kg/m3]

    Returns
    -------
    Weighed [kg/m3]

    Raises
    ------
    InputError
        When nothing was weighed.

    Source: softmend-solids, section 4 (a weighing beats all of this).
    Checked against: tests/science/solid/test_mass.py.

    Example
    -------
    >>> part = Part(Band(0.001, 0.001, 0.001), np.zeros((3, 3)))
    >>> found = weighed_density(Band(1.5, 1.5, 1.5), part, None, Band(1800, 1850, 1900))
    >>> found.fits, round(found.density.typical), round(1e6 * found.hollow)
    (False, 1500, 189)
    """
    if not mass.low > 0:
        raise InputError("The weighed mass is not above 0", value=mass.low, allowed="above 0 kg")
    empty = hollow.volume if hollow else Band(0.0, 0.0, 0.0)
    nets = (
        outer.volume.high - empty.low,
        outer.volume.typical - empty.typical,
        max(outer.volume.low - empty.high, 1e-300),
    )
    found = Band(mass.low / nets[0], mass.typical / nets[1], mass.high / nets[2])
    fits = found.low <= density.high and found.high >= density.low
    return Weighed(found, fits, outer.volume.typical - mass.typical / density.typical)
