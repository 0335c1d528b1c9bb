"""The ways in which a coating may give, side by side: what each frees and what each asks.

Each pattern frees Z sigma^2 h / E'; only the crack along in the coating knows how much softer or
stiffer the ground is, the others are for equal stiffness.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from softmend.errors import InputError
from softmend.science.film.energy import (
    CHANNEL_TABLE,
    PATTERN_FACTOR,
    Pattern,
    channel_factor,
    plane_strain_modulus,
    released,
    stiffness_contrast,
)
from softmend.science.film.layers import LASTING, Between, Body, Coat
from softmend.science.film.stress import restrained_stress
from softmend.science.propagation import Spread, spread
from softmend.science.uncertain import Array, Uncertain

DRAWS = 5_000
OF_THE_COATING = (Pattern.SURFACE_CRACK, Pattern.CHANNEL)
OF_THE_BOND = (Pattern.PEEL_START, Pattern.PEEL)


@dataclass(frozen=True, slots=True)
class PatternFound:
    """One way of giving: its factor, the energy freed, what it asks for, how often it suffices.

    `asks` and `chance` are None where nobody knows what the pattern would have to break.
    """

    pattern: Pattern
    factor: float
    energy: Spread
    asks: Spread | None
    chance: float | None


@dataclass(frozen=True, slots=True)
class Patterns:
    """Every pattern of one coating, and the contrast of stiffness with what it lies on [1].

    The crack along in the coating is left out where the coating is so much stiffer than its
    ground that nobody has computed its factor.
    """

    each: tuple[PatternFound, ...]
    contrast: Spread


def patterns(
    coat: Coat,
    under: Between | None,
    body: Body,
    lasting: Uncertain = LASTING,
    n: int = DRAWS,
    seed: int = 0,
) -> Patterns:
    """Return what each way of cracking or peeling frees, against what it asks for.

    Parameters
    ----------
    coat : Coat, the coating; it has to pull
    under : Between or None, the layer right under it; None, the body itself
    body : Body, the object
    lasting : Uncertain, share of a quick adhesion energy that holds for years [1], above 0 to 1
    n : int, draws [1], 100 to 100 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Patterns, energies [J/m2], chances [1]

    Raises
    ------
    InputError
        When n is out of range, or the coating presses instead of pulling.

    Source: hutchinson1992, table 1 (recalled; four of six recomputed); film-channelling.
    Checked against: tests/checks/hutchinson1992.csv; tests/science/film/test_pattern.py.

    Example
    -------
    >>> exact = Uncertain.exact
    >>> varnish = Coat(exact(1.755e9), exact(0.35), exact(0.2e-3), exact(10e6), exact(30.0))
    >>> found = patterns(varnish, None, Body(exact(1.755e9), exact(0.35), exact(40.0)), exact(1.0))
    >>> [(one.pattern.name, round(one.energy.mean, 2)) for one in found.each][-1]
    ('PEEL', 5.0)
    """
    if not 100 <= n <= 100_000:
        raise InputError("The number of draws is out of range", value=n, allowed="100 to 100 000")
    rng = np.random.default_rng(seed)
    modulus, poisson, thickness = (
        one.draw(n, rng) for one in (coat.modulus, coat.poisson, coat.thickness)
    )
    tension = coat.stress.draw(n, rng)
    if coat.stretch is not None:
        tension = tension + restrained_stress(coat.stretch.draw(n, rng), modulus, poisson)
    if np.any(tension <= 0):
        raise InputError(
            "The coating may press instead of pulling",
            value=f"{float(np.mean(tension <= 0)):.0%} of the draws",
            allowed="a tension above 0",
            remedy="A coating that presses buckles, which this model does not know",
        )
    film = plane_strain_modulus(modulus, poisson)
    contrast = _contrast(coat, under, body, film, n, rng)
    asks = _asked(coat, under, body, lasting, n, rng)
    each = []
    is_computed = bool(np.all(contrast <= CHANNEL_TABLE[-1, 0]))
    for pattern, even in PATTERN_FACTOR.items():
        if pattern is Pattern.CHANNEL and not is_computed:
            continue
        factor = channel_factor(contrast) if pattern is Pattern.CHANNEL else np.full(n, even)
        energy = released(factor, tension, thickness, film)
        asked = asks[pattern]
        each.append(
            PatternFound(
                pattern,
                float(np.median(factor)),
                spread(energy, {}),
                None if asked is None else spread(asked, {}),
                None if asked is None else float(np.mean(energy >= asked)),
            )
        )
    return Patterns(tuple(each), spread(contrast, {}))


def _contrast(
    coat: Coat, under: Between | None, body: Body, film: Array, n: int, rng: np.random.Generator
) -> Array:
    # A layer thinner than the coating does not stiffen its back; the body behind it does.
    is_thick = under is not None and under.thickness.typical >= coat.thickness.typical
    back = under if under is not None and is_thick else body
    ground = plane_strain_modulus(back.modulus.draw(n, rng), back.poisson.draw(n, rng))
    return stiffness_contrast(film, ground)


def _asked(
    coat: Coat,
    under: Between | None,
    body: Body,
    lasting: Uncertain,
    n: int,
    rng: np.random.Generator,
) -> dict[Pattern, Array | None]:
    bond = coat.hold.draw(n, rng) * lasting.draw(n, rng)
    own = None if coat.toughness is None else coat.toughness.draw(n, rng)
    # What a crack in a layer between costs, nobody says; the body's toughness is not its.
    ground = None if under is not None else body.toughness.draw(n, rng)
    return {
        pattern: own if pattern in OF_THE_COATING else bond if pattern in OF_THE_BOND else ground
        for pattern in Pattern
    }
