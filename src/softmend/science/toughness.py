"""The energy of a crack from its critical intensity, and how weak a bond keeps a crack in it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np

from softmend.errors import InputError
from softmend.science.uncertain import Array, Uncertain

DEFLECTION_SHARE = 0.25
"""A crack that meets a bond stays in it when the bond's toughness is below this share of the
object's: exact for equal stiffness, on the safe side for a stiffer object (he1989)."""

DRAWS = 2000


def fracture_energy(
    toughness: Uncertain, modulus: Uncertain, poisson: Uncertain, seed: int = 0
) -> Uncertain:
    """Return the energy of a crack from the stress intensity at which it runs.

    Parameters
    ----------
    toughness : Uncertain, critical stress intensity [Pa m^0.5], above 0
    modulus : Uncertain, Young's modulus [Pa], above 0
    poisson : Uncertain, Poisson's ratio [1], -1 to 0.5
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Uncertain, energy by area of crack, plane strain [J/m2], by samples

    Raises
    ------
    InputError
        When a draw of the toughness or the modulus is not above zero.

    Source: irwin1957 (recalled).
    Checked against: tests/checks/he1989.csv; tests/science/test_toughness.py.

    Example
    -------
    >>> exact = Uncertain.exact
    >>> round(fracture_energy(exact(0.5e6), exact(3e9), exact(0.3)).typical, 1)
    75.8
    """
    rng = np.random.default_rng(seed)
    intensity, stiff, ratio = (one.draw(DRAWS, rng) for one in (toughness, modulus, poisson))
    if np.any(intensity <= 0) or np.any(stiff <= 0):
        raise InputError(
            "A toughness or a modulus may be zero or less",
            value=f"{min(intensity.min(), stiff.min()):g}",
            allowed="above 0",
        )
    return Uncertain.samples(intensity**2 * (1 - ratio**2) / stiff)


def stays_in_the_bond(bond: Array, object_toughness: Array) -> Array:
    """Return whether a crack that meets a bond runs along it and leaves the object whole.

    Parameters
    ----------
    bond : array, toughness of the bond [J/m2], 0 or more
    object_toughness : array, toughness of the object [J/m2], above 0

    Returns
    -------
    numpy array, True where the bond's toughness is below a quarter of the object's [1]

    Source: he1989; cotterell1980 (the ratio without mismatch).
    Checked against: tests/checks/he1989.csv.

    Example
    -------
    >>> stays_in_the_bond(np.array([40.0, 80.0]), np.array([240.0, 240.0])).tolist()
    [True, False]
    """
    return np.asarray(bond < DEFLECTION_SHARE * object_toughness)
