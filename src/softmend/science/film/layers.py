"""Which layer lets go under a coating: its energy against the hold of each plane below it.

The planes are coat on patina, patina on body, and the body itself. What is above a plane comes
off as one piece that shortens and curls; the energy of that is exact for any stiffness of the
layers, as long as the body is thick and the peeling edge straight.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from softmend.errors import InputError
from softmend.science.film.energy import (
    channel_factor,
    plane_strain_modulus,
    released,
    spall,
    stiffness_contrast,
)
from softmend.science.film.stress import restrained_stress
from softmend.science.limits import Limits, within
from softmend.science.propagation import Spread, spread
from softmend.science.uncertain import Array, Uncertain

DRAWS = 20_000
LASTING = Uncertain.uniform(0.1, 0.5)
"""What is left of an adhesion energy that was measured quickly, over years (our estimate)."""

THICKNESSES = (1e-7, 1e-2)
"""Between a tenth of a micrometre and a centimetre a safe thickness is looked for [m]."""
HALVINGS = 20


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer as draws: plane-strain modulus [Pa], thickness [m], its tension in place [Pa]."""

    modulus: Array
    thickness: Array
    stress: Array


@dataclass(frozen=True, slots=True)
class Coat:
    """The coating: modulus [Pa], Poisson [1], thickness [m], tension from drying [Pa].

    `hold` is the energy that holds it to what lies below, measured quickly [J/m2]. `stretch` is
    the strain along the surface by which the ground has outgrown the coating since it set [1],
    taken as elastic, an upper bound. `toughness` is the energy of a crack in the coating itself
    [J/m2], if it is known.
    """

    modulus: Uncertain
    poisson: Uncertain
    thickness: Uncertain
    stress: Uncertain
    hold: Uncertain
    stretch: Uncertain | None = None
    toughness: Uncertain | None = None


@dataclass(frozen=True, slots=True)
class Between:
    """A layer between coating and body, such as a patina; `hold` is its bond to what is below."""

    name: str
    modulus: Uncertain
    poisson: Uncertain
    thickness: Uncertain
    hold: Uncertain


@dataclass(frozen=True, slots=True)
class Body:
    """The object under it all: modulus [Pa], Poisson [1], energy of a crack in it [J/m2]."""

    modulus: Uncertain
    poisson: Uncertain
    toughness: Uncertain


@dataclass(frozen=True, slots=True)
class Plane:
    """One place where something may part: energy against hold, and how often it gives.

    `chance` is the share of draws in which the energy suffices; `first` the share of draws in
    which something gives and it is this plane that is most overstretched.
    """

    name: str
    energy: Spread
    hold: Spread
    load: Spread
    chance: float
    first: float


@dataclass(frozen=True, slots=True)
class Lifting:
    """What a coating does: its tension [Pa], each plane, the chance of any, what is safe [m].

    Only the plane that gives first most often, else the most loaded one, says what drives it.
    """

    tension: Spread
    planes: tuple[Plane, ...]
    weakest: Plane
    anything: float
    safe_thickness: Spread
    crack: Plane | None


def peel_energy(layers: Sequence[Layer]) -> Array:
    """Return the energy given up, by area, when all layers of a stack part from a thick body.

    Parameters
    ----------
    layers : sequence of Layer, the topmost first, at least one

    Returns
    -------
    numpy array, energy release rate of a long straight edge [J/m2]

    Raises
    ------
    InputError
        When there is no layer.

    Source: hutchinson1992, section II (recalled; derived again with the laminate's own stiffness).
    Checked against: tests/checks/hutchinson1992.csv; tests/science/film/test_layers.py.

    Example
    -------
    >>> import numpy as np
    >>> coat = Layer(np.array(2e9), np.array(0.2e-3), np.array(10e6))
    >>> round(float(peel_energy([coat])), 6)
    5.0
    """
    if not layers:
        raise InputError("There is no layer that could part", allowed="one layer or more")
    stretch: Array = np.zeros(())
    couple, bend, force, moment = stretch, stretch, stretch, stretch
    floor: Array = np.zeros(())
    for layer in reversed(layers):
        middle = floor + layer.thickness / 2
        stiff, pull = layer.modulus * layer.thickness, layer.stress * layer.thickness
        stretch = stretch + stiff
        couple = couple + stiff * middle
        bend = bend + stiff * (middle**2 + layer.thickness**2 / 12)
        force, moment = force + pull, moment + pull * middle
        floor = floor + layer.thickness
    work = bend * force**2 - 2 * couple * force * moment + stretch * moment**2
    return np.asarray(work / (2 * (stretch * bend - couple**2)))


def lifting(
    coat: Coat,
    between: Sequence[Between],
    body: Body,
    lasting: Uncertain = LASTING,
    n: int = DRAWS,
    seed: int = 0,
) -> Lifting:
    """Return which plane under a coating lets go, how often, and how thick would be safe.

    Parameters
    ----------
    coat : Coat, the coating
    between : sequence of Between, what lies under it, the topmost first; may be empty
    body : Body, the object
    lasting : Uncertain, share of a quick adhesion energy that holds for years [1], above 0 to 1
    n : int, draws [1], 100 to 100 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Lifting, energies [J/m2], chances [1], safe thickness [m]

    Raises
    ------
    InputError
        When n is out of range or the coating presses instead of pulling.

    Source: hutchinson1992, sections II and VI; jcgm101, section 7.
    Checked against: tests/science/film/test_layers.py.

    Example
    -------
    >>> exact = Uncertain.exact
    >>> varnish = Coat(exact(1.8e9), exact(0.375), exact(40e-6), exact(8e6), exact(20.0))
    >>> found = lifting(varnish, [], Body(exact(7.5e9), exact(0.3), exact(240.0)), exact(0.02))
    >>> [(one.name, one.chance) for one in found.planes]
    [('between coating and body', 1.0), ('inside the body', 0.0)]
    """
    if not 100 <= n <= 100_000:
        raise InputError("The number of draws is out of range", value=n, allowed="100 to 100 000")
    named = {"coating", "body", *(one.name for one in between)}
    if len(named) < len(between) + 2:
        raise InputError(
            "Two layers have one name",
            value=", ".join(one.name for one in between),
            allowed="a name of its own for each, other than coating and body",
        )
    rng = np.random.default_rng(seed)
    stack = _drawn(coat, between, body, lasting, n, rng)
    energies = stack.energies(stack.coat.thickness)
    loads = {name: energies[name] / stack.holds[name] for name in energies}
    table = np.stack(list(loads.values()))
    worst = np.argmax(table, axis=0)
    gives = table.max(axis=0) >= 1
    first = {name: float(np.mean(gives & (worst == at))) for at, name in enumerate(loads)}
    weakest = max(loads, key=lambda name: (first[name], float(np.median(loads[name]))))
    planes = {
        name: Plane(
            name,
            spread(energies[name], {}),
            spread(stack.holds[name], {}),
            spread(loads[name], stack.sources if name == weakest else {}),
            float(np.mean(loads[name] >= 1)),
            first[name],
        )
        for name in energies
    }
    return Lifting(
        tension=spread(stack.coat.stress, {}),
        planes=tuple(planes.values()),
        weakest=planes[weakest],
        anything=float(np.mean(gives)),
        safe_thickness=spread(stack.safe_thickness(), {}),
        crack=_crack(coat, stack, rng, n),
    )


@dataclass(frozen=True, slots=True)
class _Stack:
    """The draws of a coating, what lies under it, and how each plane holds, by its name."""

    coat: Layer
    between: tuple[Layer, ...]
    body: Array
    holds: Mapping[str, Array]
    sources: Mapping[str, Array]

    def energies(self, thickness: Array) -> dict[str, Array]:
        """Return the energy at each plane, top to bottom, for a thickness of the coating."""
        layers = [Layer(self.coat.modulus, thickness, self.coat.stress), *self.between]
        depth = sum((layer.thickness for layer in self.between), start=np.zeros(thickness.shape))
        # In an even body a flake runs at a set depth below the coating, or just below the layers.
        skin = np.maximum(spall().depth_over_thickness * thickness - depth, 0.0)
        still = np.zeros(thickness.shape)
        stacks = [layers[: at + 1] for at in range(len(layers))]
        stacks.append([*layers, Layer(self.body, skin, still)])
        return {name: peel_energy(above) for name, above in zip(self.holds, stacks, strict=True)}

    def safe_thickness(self) -> Array:
        """Return the thickness at which the first plane gives, by halving on the logarithm."""
        size = self.coat.thickness.shape
        low, high = (np.full(size, np.log(end)) for end in THICKNESSES)
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            energies = self.energies(np.exp(middle))
            loads = [energies[name] / self.holds[name] for name in energies]
            over = np.max(loads, axis=0) >= 1
            low, high = np.where(over, low, middle), np.where(over, middle, high)
        return np.asarray(np.exp((low + high) / 2))


def _drawn(
    coat: Coat,
    between: Sequence[Between],
    body: Body,
    lasting: Uncertain,
    n: int,
    rng: np.random.Generator,
) -> _Stack:
    left = lasting.draw(n, rng)
    within({"share of the adhesion that lasts": (left, Limits.SHARE)})
    layer, sources = _drawn_coat(coat, n, rng)
    sources["what lasts of the adhesion"] = left
    names = ["coating", *(one.name for one in between), "body"]
    bonds = (coat.hold, *(one.hold for one in between))
    holds: dict[str, Array] = {}
    for (name, under), bond in zip(pairwise(names), bonds, strict=True):
        plane = f"between {name} and {under}"
        hold = bond.draw(n, rng)
        within({f"hold {plane}": (hold, Limits.ENERGY)})
        sources[f"hold {plane}"], holds[plane] = hold, hold * left
    sources["toughness of the body"] = holds["inside the body"] = body.toughness.draw(n, rng)
    within({"toughness of the body": (holds["inside the body"], Limits.ENERGY)})
    layers = tuple(
        Layer(_stiffness(one, one.name, n, rng), _thickness(one, n, rng), np.zeros(n))
        for one in between
    )
    return _Stack(layer, layers, _stiffness(body, "body", n, rng), holds, sources)


def _drawn_coat(coat: Coat, n: int, rng: np.random.Generator) -> tuple[Layer, dict[str, Array]]:
    drying, thickness, modulus, poisson = (
        one.draw(n, rng) for one in (coat.stress, coat.thickness, coat.modulus, coat.poisson)
    )
    sources = {
        "drying tension of the coating": drying,
        "thickness of the coating": thickness,
        "stiffness of the coating": modulus,
    }
    within(
        {
            "thickness of the coating": (thickness, Limits.LENGTH),
            "modulus of the coating": (modulus, Limits.MODULUS),
            "Poisson's ratio of the coating": (poisson, Limits.POISSON),
        }
    )
    tension = drying
    if coat.stretch is not None:
        sources["stretch of the ground"] = coat.stretch.draw(n, rng)
        tension = drying + restrained_stress(sources["stretch of the ground"], modulus, poisson)
    if np.any(tension <= 0):
        raise InputError(
            "The coating may press instead of pulling",
            value=f"{float(np.mean(tension <= 0)):.0%} of the draws",
            allowed="a tension above 0",
            remedy="A coating that presses buckles, which this model does not know",
        )
    within({"tension of the coating": (tension, Limits.STRESS)})
    return Layer(plane_strain_modulus(modulus, poisson), thickness, tension), sources


def _stiffness(layer: Between | Body, name: str, n: int, rng: np.random.Generator) -> Array:
    modulus, poisson = layer.modulus.draw(n, rng), layer.poisson.draw(n, rng)
    within(
        {
            f"modulus of the {name}": (modulus, Limits.MODULUS),
            f"Poisson's ratio of the {name}": (poisson, Limits.POISSON),
        }
    )
    return plane_strain_modulus(modulus, poisson)


def _thickness(layer: Between, n: int, rng: np.random.Generator) -> Array:
    drawn = layer.thickness.draw(n, rng)
    within({f"thickness of the {layer.name}": (drawn, Limits.LENGTH)})
    return drawn


def _crack(coat: Coat, stack: _Stack, rng: np.random.Generator, n: int) -> Plane | None:
    """Return how a crack along in the coating stands, if the coating's toughness is known."""
    if coat.toughness is None:
        return None
    thin = stack.coat.thickness
    # What stiffens the coating's back is the layer below, unless it is thinner than the coating.
    under = stack.body
    if stack.between:
        first = stack.between[0]
        under = np.where(first.thickness >= thin, first.modulus, stack.body)
    factor = channel_factor(stiffness_contrast(stack.coat.modulus, under))
    energy = released(factor, stack.coat.stress, thin, stack.coat.modulus)
    toughness = coat.toughness.draw(n, rng)
    within({"toughness of the coating": (toughness, Limits.ENERGY)})
    load = energy / toughness
    chance = float(np.mean(load >= 1))
    return Plane(
        "crack in the coating",
        spread(energy, {}),
        spread(toughness, {}),
        spread(load, {}),
        chance,
        chance,
    )
