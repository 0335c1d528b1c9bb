"""Blends of liquids by parts, and thinner solutions from a stock: masses stay, nothing else."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

LEAST_DENSITY, MOST_DENSITY = 100.0, 25_000.0
"""In kg/m3: from a light foam to heavier than any material of the bench."""


def blend_density(densities: ArrayLike, volume_parts: ArrayLike) -> float:
    """Return the density of a blend of liquids mixed by parts of volume, mixing ideally.

    Parameters
    ----------
    densities : array-like, densities of the liquids, shape (n,) [kg/m3], 100 to 25 000
    volume_parts : array-like, parts of each by volume before mixing, shape (n,) [1], 0 or more

    Returns
    -------
    float, density of the blend [kg/m3]

    Raises
    ------
    InputError
        When the two do not pair, or no part is above zero.

    Source: derived; masses add, and with ideal mixing volumes add too.
    Checked against: tests/science/test_mixture.py.

    Example
    -------
    >>> blend_density([785.0, 867.0], [1, 1])
    826.0
    """
    rho, parts = np.atleast_1d(densities).astype(float), np.atleast_1d(volume_parts).astype(float)
    if rho.shape != parts.shape or not (np.all(parts >= 0) and parts.sum() > 0):
        raise InputError(
            "The parts of a blend do not pair with its liquids",
            value=f"{rho.size} densities, {parts.size} parts",
            allowed="one part, 0 or more, for each density, not all 0",
        )
    check_density(rho)
    return float(rho @ parts / parts.sum())


def dilution(
    stock_fraction: float, wanted_fraction: float, wanted_mass: float
) -> tuple[float, float]:
    """Return the masses of stock solution and of solvent that make a thinner solution.

    Parameters
    ----------
    stock_fraction : float, mass fraction of solute in the stock [1], above 0 to 1
    wanted_fraction : float, mass fraction of solute that is wanted [1], above 0 to stock_fraction
    wanted_mass : float, mass of the thinner solution [kg], above 0

    Returns
    -------
    tuple of two floats, mass of stock and mass of solvent to add [kg]

    Raises
    ------
    InputError
        When the wanted solution is stronger than the stock, or a number is not above zero.

    Source: derived; the mass of solute stays.
    Checked against: tests/science/test_mixture.py.

    Example
    -------
    >>> stock, solvent = dilution(0.2, 0.05, 0.040)
    >>> round(stock, 6), round(solvent, 6)
    (0.01, 0.03)
    """
    if not (0 < wanted_fraction <= stock_fraction <= 1 and wanted_mass > 0):
        raise InputError(
            "A stock can only be thinned",
            value=f"stock {100 * stock_fraction:g} % w/w, wanted {100 * wanted_fraction:g} % w/w",
            allowed="wanted above 0 and no stronger than the stock, mass above 0",
            remedy="Make a stronger stock, or want a thinner solution",
        )
    stock = wanted_mass * wanted_fraction / stock_fraction
    return stock, wanted_mass - stock


def check_density(density: Array) -> Array:
    """Return densities as they are, refused when they cannot be those of a liquid or a solid.

    Parameters
    ----------
    density : numpy array, densities [kg/m3], 100 to 25 000

    Returns
    -------
    numpy array, the same densities [kg/m3]

    Raises
    ------
    InputError
        When a density is out of range, which is most often a wrong unit.

    Source: common practice, no source.
    Checked against: tests/science/test_mixture.py.

    Example
    -------
    >>> import numpy as np
    >>> check_density(np.array([785.0])).tolist()
    [785.0]
    """
    if not np.all((density >= LEAST_DENSITY) & (density <= MOST_DENSITY)):
        raise InputError(
            "A density is out of range",
            value=f"{float(np.min(density)):g} to {float(np.max(density)):g} kg/m3",
            allowed="100 to 25 000 kg/m3, which is 0.1 to 25 g/mL",
            remedy="Look at the unit",
        )
    return density
