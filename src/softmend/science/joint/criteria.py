"""The swing of humidity at which each part of a joint would give, for every draw at once."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from softmend.errors import InputError
from softmend.science.joint.body import Body, Shape
from softmend.science.joint.chart import Filled, Unfilled, chart, spread_of_depths
from softmend.science.joint.relaxation import relaxed
from softmend.science.joint.sharing import Section, spring_of
from softmend.science.uncertain import Array, Uncertain

Draws = Mapping[str, Array]


class Part(StrEnum):
    """What may give: the fill itself, its bond, the walls it pulls at, the tip of the crack."""

    FILL = "fill"
    BOND = "bond"
    LIPS = "lips"
    TIP = "tip"


@dataclass(frozen=True, slots=True)
class Matter:
    """The object across the crack: modulus [Pa], Poisson's ratio, what relaxation leaves, strength
    [Pa] or none, toughness [Pa m^0.5].
    """

    modulus: Uncertain
    poisson: Uncertain
    relaxation: Uncertain
    toughness: Uncertain
    strength: Uncertain | None = None


@dataclass(frozen=True, slots=True)
class Filling:
    """A fill: modulus [Pa], Poisson's ratio, what relaxation leaves, and its own movement.

    At least one of strength [Pa] and elongation [1] is known. Shrinkage is of its volume on drying
    or curing, of which the share after it has set loads the joint (left out: all of it); swelling
    is its linear strain for each percent of humidity [1].
    """

    modulus: Uncertain
    poisson: Uncertain
    relaxation: Uncertain
    strength: Uncertain | None = None
    elongation: Uncertain | None = None
    shrinkage: Uncertain | None = None
    after_setting: Uncertain | None = None
    swelling: Uncertain | None = None


@dataclass(frozen=True, slots=True)
class Bond:
    """The bond of fill and wall: strength [Pa] and energy of parting [J/m2], at least one."""

    strength: Uncertain | None = None
    energy: Uncertain | None = None


@dataclass(frozen=True, slots=True)
class Opening:
    """A crack: body, section, depth, mouth width, and outer radius (of a plane none) [m]."""

    body: Body
    section: Section
    depth: Uncertain
    width: Uncertain
    radius: Uncertain | None = None


@dataclass(frozen=True, slots=True)
class Movement:
    """How the crack moves for each percent that the object dries: one of two ways to know it.

    Measured, the opening at the mouth of the empty crack [m per %RH]; else the mismatch: how much
    more it moves tangentially than radially, or what is held back [1 per %RH]. Positive opens.
    """

    measured: Uncertain | None = None
    mismatch: Uncertain | None = None


@dataclass(frozen=True, slots=True)
class Climate:
    """The largest fall and rise that the object itself feels in a usual year [%RH], and how slowly.

    Both are counted from the humidity at which the fill was placed. `year_cv` says how much the
    largest swing differs from year to year, `duration_s` in what time it builds up [s].
    """

    fall: Uncertain
    rise: Uncertain
    year_cv: float = 0.2
    duration_s: float = 90 * 86400.0


@dataclass(frozen=True, slots=True)
class Joint:
    """Object, crack, fill, bond, movement and climate."""

    matter: Matter
    opening: Opening
    filling: Filling
    bond: Bond
    movement: Movement
    climate: Climate

    def values(self) -> dict[str, Uncertain]:
        """Return every uncertain value by the name under which it drives the result."""
        named = {
            "stiffness of the object": self.matter.modulus,
            "Poisson's ratio of the object": self.matter.poisson,
            "relaxation of the object": self.matter.relaxation,
            "toughness of the object": self.matter.toughness,
            "strength of the object": self.matter.strength,
            "depth of the crack": self.opening.depth,
            "width of the crack": self.opening.width,
            "radius of the object": self.opening.radius,
            "stiffness of the fill": self.filling.modulus,
            "Poisson's ratio of the fill": self.filling.poisson,
            "relaxation of the fill": self.filling.relaxation,
            "strength of the fill": self.filling.strength,
            "elongation of the fill": self.filling.elongation,
            "shrinkage of the fill": self.filling.shrinkage,
            "share of shrinkage after setting": self.filling.after_setting,
            "swelling of the fill": self.filling.swelling,
            "strength of the bond": self.bond.strength,
            "energy of the bond": self.bond.energy,
            MOVES: self.movement.measured or self.movement.mismatch,
            "fall of humidity": self.climate.fall,
            "rise of humidity": self.climate.rise,
        }
        return {name: value for name, value in named.items() if value is not None}


MOVES = "movement of the crack with humidity"
MOST_POISSON = 0.495


@dataclass(frozen=True, slots=True)
class Line:
    """A quantity that grows with the swing: at rest, and its growth for the year's full swing."""

    rest: Array
    growth: Array

    def at_full(self) -> Array:
        """Return the quantity at the full swing."""
        return self.rest + self.growth

    def crossing(self, limit: Array) -> Array:
        """Return the share of the full swing at which the limit is reached; infinite if never."""
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(self.growth > 0, (limit - self.rest) / self.growth, np.inf)
        return np.where(self.rest >= limit, 0.0, share)


@dataclass(frozen=True, slots=True)
class Square:
    """A quantity that grows with the square of the swing: rest, growth and its square's part."""

    rest: Array
    growth: Array
    square: Array

    def at_full(self) -> Array:
        """Return the quantity at the full swing."""
        return self.rest + self.growth + self.square

    def crossing(self, limit: Array) -> Array:
        """Return the share of the full swing at which the limit is reached; infinite if never."""
        lacking = limit - self.rest
        root = np.sqrt(np.maximum(self.growth**2 + 4 * self.square * lacking, 0.0))
        with np.errstate(divide="ignore", invalid="ignore"):
            # This form of the root loses no digits and holds without a square's part.
            share = 2 * lacking / (self.growth + root)
        share = np.where(self.growth + root > 0, share, np.inf)
        return np.where(lacking <= 0, 0.0, share)


@dataclass(frozen=True, slots=True)
class Loads:
    """What the joint bears in each draw at rest and for the full swing, and what its walls stand.

    `tip_open` is the tip of the same crack without a fill, `lip_energy` the energy that splits the
    object [J/m2], `opening_m` the mean opening that the empty crack would have, `per_strain` the
    traction for each unit of the fill's strain [Pa].
    """

    traction: Line
    per_strain: Array
    strain: Line
    tip: Line
    tip_open: Line
    energy: Square
    lip_energy: Array
    stiffness_ratio: Array
    opening_m: Array
    too_deep: float


def loads_of(joint: Joint, draws: Draws) -> Loads:
    """Return what fill, bond, walls and tip bear in every draw, at rest and for the full swing.

    Parameters
    ----------
    joint : Joint, for its body, section and times
    draws : mapping, name of each uncertain value of the joint to its draws [SI]

    Returns
    -------
    Loads, one value a draw [SI]

    Raises
    ------
    InputError
        When the movement is not known, or a round body has no radius.

    Source: softmend-mechanics-joint, section 4h.
    Checked against: tests/science/joint/test_giving.py (against single solutions).

    Example
    -------
    >>> import numpy as np
    >>> Line(np.array([0.0]), np.array([2.0])).crossing(np.array([1.0])).tolist()
    [0.5]
    """
    depth, width = draws["depth of the crack"], draws["width of the crack"]
    ratio = _depth_ratio(joint.opening, draws)
    drawn = chart(joint.opening.body)
    open_ = drawn.unfilled_at(ratio)
    plane = _slow(draws, "object", joint.climate) / (1 - _poisson(draws, "object") ** 2)
    spring, worth = spring_of(
        joint.opening.section,
        _slow(draws, "fill", joint.climate),
        _poisson(draws, "fill"),
        depth,
        width,
    )
    stiffness_ratio = spring * depth / plane * open_.compliance
    filled = drawn.filled_at(ratio, stiffness_ratio, open_)
    pull, drier = _pull(joint, draws, open_, depth)
    # In openings over depth: a fill that has shrunk or dried rests at a smaller opening.
    rest = -_shrunk(draws) * worth / depth
    grown = -draws.get("swelling of the fill", np.zeros(1)) * drier * worth / depth
    traction = _line(filled.mean, filled.rest_mean - 1, pull, rest, grown, spring * depth)
    across = spring * width / (2 if joint.opening.section is Section.V else 1)
    root = plane * np.sqrt(depth)
    return Loads(
        traction=traction,
        per_strain=across,
        strain=Line(traction.rest / across, traction.growth / across),
        tip=_line(filled.tip, filled.rest_tip, pull, rest, grown, root),
        tip_open=Line(np.zeros_like(pull), pull * open_.tip * root),
        energy=_energy(filled, open_, pull, rest, grown, spring * depth**2 / 2),
        lip_energy=draws["toughness of the object"] ** 2 / plane,
        stiffness_ratio=stiffness_ratio,
        opening_m=pull * open_.mean * depth,
        too_deep=spread_of_depths(joint.opening.body, ratio),
    )


def crossings(joint: Joint, loads: Loads, draws: Draws) -> dict[Part, Array]:
    """Return the share of the year's swing at which each part gives, by the first that it meets.

    A part with a strength and an energy gives at whichever comes first: cautious for the object,
    and named so. The bond counts as letting go before the walls only by its own values.

    Parameters
    ----------
    joint : Joint, to know which limits are given
    loads : Loads, what the parts bear
    draws : mapping, name of each uncertain value of the joint to its draws [SI]

    Returns
    -------
    dict, part to shares of the swing, infinite where it never gives [1]

    Raises
    ------
    InputError
        When fill or bond have no limit at all.

    Source: softmend-mechanics-joint, section 4h; own rule for the first criterion met.
    Checked against: tests/science/joint/test_giving.py.

    Example
    -------
    >>> sorted(Part)
    [<Part.BOND: 'bond'>, <Part.FILL: 'fill'>, <Part.LIPS: 'lips'>, <Part.TIP: 'tip'>]
    """
    if joint.filling.strength is None and joint.filling.elongation is None:
        raise InputError(
            "It is not known what the fill stands", allowed="a strength or an elongation at break"
        )
    if joint.bond.strength is None and joint.bond.energy is None:
        raise InputError(
            "It is not known what the bond stands", allowed="a strength or an energy of parting"
        )
    limits: dict[Part, list[tuple[Line | Square, str]]] = {
        Part.FILL: [
            (loads.traction, "strength of the fill"),
            (loads.strain, "elongation of the fill"),
        ],
        Part.BOND: [(loads.traction, "strength of the bond"), (loads.energy, "energy of the bond")],
        Part.LIPS: [(loads.traction, "strength of the object")],
        Part.TIP: [(loads.tip, "toughness of the object")],
    }
    found = {
        part: [load.crossing(draws[name]) for load, name in pairs if name in draws]
        for part, pairs in limits.items()
    }
    found[Part.LIPS].append(loads.energy.crossing(loads.lip_energy))
    return {part: np.minimum.reduce(shares) for part, shares in found.items()}


def _depth_ratio(opening: Opening, draws: Draws) -> Array:
    depth = draws["depth of the crack"]
    if opening.body.shape is Shape.PLANE:
        return np.ones_like(depth)
    if opening.radius is None:
        raise InputError(
            "A round body has no radius", allowed="the outer radius, however uncertain"
        )
    return np.asarray(depth / draws["radius of the object"])


def _slow(draws: Draws, of: str, climate: Climate) -> Array:
    left = np.minimum(draws[f"relaxation of the {of}"], 1.0)
    return relaxed(draws[f"stiffness of the {of}"], left, climate.duration_s)


def _shrunk(draws: Draws) -> Array:
    """Return the linear strain by which the fill has shrunk since it set."""
    volume = draws.get("shrinkage of the fill", np.zeros(1))
    after = np.clip(draws.get("share of shrinkage after setting", np.ones(1)), 0.0, 1.0)
    return np.asarray(volume * after / 3)


def _poisson(draws: Draws, of: str) -> Array:
    return np.clip(draws[f"Poisson's ratio of the {of}"], 0.0, MOST_POISSON)


def _pull(joint: Joint, draws: Draws, open_: Unfilled, depth: Array) -> tuple[Array, Array]:
    """Return the mismatch at the year's worse end, and by how much the object is drier there."""
    if MOVES not in draws:
        raise InputError(
            "It is not known how the crack moves with humidity",
            allowed="a measured opening, or the mismatch of free strains",
        )
    moves = draws[MOVES]
    if joint.movement.measured is not None:
        moves = moves / (open_.mouth * depth)
    fall, rise = draws["fall of humidity"], draws["rise of humidity"]
    dry, damp = moves * fall, -moves * rise
    return np.maximum(dry, damp), np.where(dry >= damp, fall, -rise)


def _line(
    moved: Array, rested: Array, pull: Array, rest: Array, grown: Array, factor: Array
) -> Line:
    at_rest = factor * rested * rest
    return Line(at_rest, factor * (moved * pull + rested * grown))


def _energy(
    filled: Filled, open_: Unfilled, pull: Array, rest: Array, grown: Array, factor: Array
) -> Square:
    """Return half the mean of traction times the way to the state without a fill."""
    mixed = filled.rest_work - filled.mean - open_.mean
    alone = 1 - filled.rest_mean
    return Square(
        factor * alone * rest**2,
        factor * (pull * rest * mixed + 2 * rest * grown * alone),
        factor * (pull**2 * filled.work + pull * grown * mixed + grown**2 * alone),
    )
