"""The energy that a stretched coating gives up when it cracks, peels, or takes its ground along.

Plane strain, elastic, one even coating on a thick body. Everything takes arrays of draws.
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
from softmend.science.uncertain import Array


class Pattern(StrEnum):
    """The ways in which a stretched coating gives."""

    SURFACE_CRACK = "a crack down through the coating"
    CHANNEL = "a crack that runs along in the coating"
    INTO_THE_BODY = "a crack from the coating into the body"
    SPALL = "a flake that takes a skin of the body along"
    PEEL_START = "peeling that starts at a crack"
    PEEL = "peeling that runs on"


PATTERN_FACTOR: Mapping[Pattern, float] = {
    Pattern.SURFACE_CRACK: 3.951,
    Pattern.CHANNEL: 1.976,
    Pattern.INTO_THE_BODY: 3.951,
    Pattern.SPALL: 0.343,
    Pattern.PEEL_START: 1.028,
    Pattern.PEEL: 0.5,
}
"""Z of hutchinson1992 for equal stiffness of coating and body (recalled; four are recomputed)."""

SPALL_ANGLE = math.radians(52.07)
"""The phase angle omega of a crack that runs below the surface of an even body."""

# The stiffness contrast alpha and the factor Z of the running crack, by finite elements of this
# project at Poisson 0.35 of both; tests/checks/film-channelling.csv.
CHANNEL_TABLE = np.array(
    [
        (-0.99, 1.1312),
        (-0.98, 1.1364),
        (-0.95, 1.1523),
        (-0.9, 1.1795),
        (-0.818, 1.2265),
        (-0.667, 1.3217),
        (-0.5, 1.4431),
        (-0.333, 1.5867),
        (0.0, 1.976),
        (0.333, 2.6379),
        (0.5, 3.2095),
        (0.667, 4.1918),
        (0.818, 6.1282),
        (0.9, 8.7331),
    ]
)


def plane_strain_modulus(modulus: ArrayLike, poisson: ArrayLike) -> Array:
    """Return the stiffness of a body that cannot contract along its length.

    Parameters
    ----------
    modulus : array, Young's modulus [Pa], above 0
    poisson : array, Poisson's ratio [1], -1 to 0.5, ends excluded

    Returns
    -------
    numpy array, plane-strain modulus [Pa]

    Raises
    ------
    InputError
        When a modulus or a Poisson's ratio is impossible.

    Source: timoshenko1970, section 17 (recalled).
    Checked against: tests/science/film/test_energy.py.

    Example
    -------
    >>> round(float(plane_strain_modulus(10e9, 0.3)) / 1e9, 3)
    10.989
    """
    stiffness, ratio = _floats(modulus), _floats(poisson)
    _refuse("A modulus is not above zero", stiffness, stiffness > 0, "above 0")
    inside = (ratio > -1) & (ratio < 0.5)
    _refuse("A Poisson's ratio is impossible", ratio, inside, "above -1 and below 0.5")
    return np.asarray(stiffness / (1 - ratio**2))


def stiffness_contrast(film: ArrayLike, body: ArrayLike) -> Array:
    """Return Dundurs' alpha: -1 for a coating without stiffness, 1 for a body without.

    Parameters
    ----------
    film, body : array, plane-strain moduli [Pa], above 0

    Returns
    -------
    numpy array, alpha [1], -1 to 1

    Source: hutchinson1992, section II (recalled).
    Checked against: tests/science/film/test_energy.py.

    Example
    -------
    >>> float(stiffness_contrast(2e9, 10e9).round(3))
    -0.667
    """
    stiff, under = _floats(film), _floats(body)
    return np.asarray((stiff - under) / (stiff + under))


def channel_factor(alpha: ArrayLike) -> Array:
    """Return Z of a crack that runs along in a coating, for a stiffness contrast.

    Parameters
    ----------
    alpha : array, stiffness contrast [1], -1 to 0.9

    Returns
    -------
    numpy array, Z [1]; straight between the values computed at Poisson 0.35 of coating and body

    Raises
    ------
    InputError
        When the coating is more than 19 times stiffer than what it lies on.

    Source: hutchinson1992, section VI (recalled); film-channelling (the values).
    Checked against: tests/checks/film-channelling.csv.

    Example
    -------
    >>> float(channel_factor(-0.7).round(2)), float(channel_factor(0.0).round(2))
    (1.3, 1.98)
    """
    contrast = _floats(alpha)
    inside = (contrast >= -1) & (contrast <= CHANNEL_TABLE[-1, 0])
    _refuse(
        "The coating is too much stiffer than what it lies on",
        contrast,
        inside,
        f"alpha -1 to {CHANNEL_TABLE[-1, 0]}",
    )
    return np.asarray(np.interp(contrast, CHANNEL_TABLE[:, 0], CHANNEL_TABLE[:, 1]))


def released(factor: ArrayLike, stress: ArrayLike, thickness: ArrayLike, film: ArrayLike) -> Array:
    """Return the energy that a pattern of cracking gives up for each area of new crack.

    Parameters
    ----------
    factor : array, Z of the pattern [1], 0 or more
    stress : array, tension in the coating [Pa]
    thickness : array, of the coating [m], 0 or more
    film : array, plane-strain modulus of the coating [Pa], above 0

    Returns
    -------
    numpy array, energy release rate [J/m2]

    Raises
    ------
    InputError
        When the coating presses instead of pulling, or its thickness is negative.

    Source: hutchinson1992, section VI (recalled).
    Checked against: tests/checks/hutchinson1992.csv.

    Example
    -------
    >>> float(released(PATTERN_FACTOR[Pattern.PEEL], 10e6, 0.2e-3, 2e9))
    5.0
    """
    pull, deep = _tension(stress), _floats(thickness)
    _refuse("A thickness is negative", deep, deep >= 0, "0 or more")
    return np.asarray(_floats(factor) * pull**2 * deep / _floats(film))


def safe_thickness(
    toughness: ArrayLike, factor: ArrayLike, stress: ArrayLike, film: ArrayLike
) -> Array:
    """Return the thickness below which a pattern has too little energy to run.

    Parameters
    ----------
    toughness : array, energy to part what would part [J/m2], above 0
    factor : array, Z of the pattern [1], above 0
    stress : array, tension in the coating [Pa], above 0
    film : array, plane-strain modulus of the coating [Pa], above 0

    Returns
    -------
    numpy array, thickness [m]; infinite without tension

    Raises
    ------
    InputError
        When the coating presses instead of pulling.

    Source: hutchinson1992, section VI (recalled).
    Checked against: tests/checks/hutchinson1992.csv.

    Example
    -------
    >>> round(float(safe_thickness(10.0, 0.343, 10e6, 2e9)) * 1e3, 3)
    0.583
    """
    with np.errstate(divide="ignore"):
        return np.asarray(
            _floats(toughness) * _floats(film) / (_floats(factor) * _tension(stress) ** 2)
        )


@dataclass(frozen=True, slots=True)
class Spall:
    """A crack that runs below a coating, in the body, at the depth where it does not turn."""

    depth_over_thickness: float
    intensity: float
    factor: float


def spall() -> Spall:
    """Return depth, stress intensity and Z of a flake that takes a skin of the body along.

    The coating is as stiff as the body.

    Returns
    -------
    Spall: depth over the coating's thickness, K_I over stress times the root of the thickness,
    and Z [1]

    Source: suo1989 (recalled, derived again).
    Checked against: tests/checks/hutchinson1992.csv.

    Example
    -------
    >>> found = spall()
    >>> round(found.depth_over_thickness, 3), round(found.intensity, 4), round(found.factor, 4)
    (2.859, 0.5856, 0.3429)
    """
    share = math.tan(SPALL_ANGLE) / math.sqrt(3)
    depth = share / (1 - share)
    opening, _ = crack_intensities(1.0, 1.0, depth)
    return Spall(depth, float(opening), float(opening) ** 2)


def crack_intensities(
    stress: ArrayLike, thickness: ArrayLike, depth: ArrayLike
) -> tuple[Array, Array]:
    """Return opening and sliding intensity of a long crack at a depth below a coating.

    The coating is as stiff as the body; K_I^2 + K_II^2 over the modulus is what is given up.

    Parameters
    ----------
    stress : array, tension in the coating [Pa]
    thickness : array, of the coating [m], above 0
    depth : array, of the crack below the coating [m], 0 or more

    Returns
    -------
    tuple, K_I and K_II [Pa m^0.5]

    Source: suo1989 (recalled).
    Checked against: tests/checks/hutchinson1992.csv; tests/science/film/test_energy.py.

    Example
    -------
    >>> opening, sliding = crack_intensities(10e6, 0.2e-3, 2.859 * 0.2e-3)
    >>> round(float(opening)), abs(round(float(sliding), -2))
    (82815, 0.0)
    """
    pull, film, below = _floats(stress), _floats(thickness), _floats(depth)
    whole = film + below
    force = pull * film / np.sqrt(whole)
    moment = 2 * math.sqrt(3) * pull * film * below / 2 / whole**1.5
    opening = (force * math.cos(SPALL_ANGLE) + moment * math.sin(SPALL_ANGLE)) / math.sqrt(2)
    sliding = (force * math.sin(SPALL_ANGLE) - moment * math.cos(SPALL_ANGLE)) / math.sqrt(2)
    return np.asarray(opening), np.asarray(sliding)


def _tension(stress: ArrayLike) -> Array:
    pull = _floats(stress)
    _refuse("The coating presses instead of pulling", pull, pull >= 0, "a tension, 0 or more")
    return pull


def _refuse(problem: str, values: Array, fine: ArrayLike, allowed: str) -> None:
    wrong = np.atleast_1d(values)[~np.atleast_1d(fine)]
    if wrong.size:
        raise InputError(problem, value=f"{wrong.flat[0]:g}", allowed=allowed)


def _floats(values: ArrayLike) -> Array:
    return np.asarray(values, dtype=np.float64)
