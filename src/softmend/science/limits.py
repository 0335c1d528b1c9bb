"""The ranges outside which a quantity is a slip of the pen, not a measurement."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array


class Limits(Enum):
    """Least and most of a quantity, and its unit; wide, so that nothing real is refused."""

    LENGTH = (1e-9, 100.0, "m")
    MASS = (0.0, 1e5, "kg")
    FORCE = (1e-6, 1e7, "N")
    STRESS = (1.0, 1e11, "Pa")
    MODULUS = (1e3, 1e13, "Pa")
    ENERGY = (1e-6, 1e7, "J/m²")
    SHARE = (1e-6, 1.0, "")
    POISSON = (-0.99, 0.4999, "")


def within(quantities: Mapping[str, tuple[ArrayLike, Limits]]) -> None:
    """Return nothing when every quantity lies inside its limits; refuse the first that does not.

    Parameters
    ----------
    quantities : mapping, name of a quantity to its draws and its limits [unit of the limits]

    Returns
    -------
    None

    Raises
    ------
    InputError
        When a draw is outside, or not finite.

    Source: own; limits far beyond anything at a bench.
    Checked against: tests/science/test_limits.py.

    Example
    -------
    >>> within({"thickness of the coating": (4e-5, Limits.LENGTH)})
    """
    for name, (values, limits) in quantities.items():
        least, most, unit = limits.value
        draws: Array = np.atleast_1d(np.asarray(values, dtype=np.float64))
        wrong = draws[~((draws >= least) & (draws <= most))]
        if wrong.size:
            raise InputError(
                f"The {name} may be out of range",
                value=f"{wrong[0]:.3g} {unit}".strip(),
                allowed=f"{least:g} to {most:g} {unit}".strip(),
            )
