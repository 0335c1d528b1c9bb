"""How stiff a fill is between two walls that hold it, and how its own swelling then acts."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array


class Bottom(StrEnum):
    """Whether the fill is stuck to the bottom of the crack or lies free on it."""

    BONDED = "bonded"
    FREE = "free"


V_DEPTH_SHARE = 0.65
"""A V-shaped fill is as stiff as a straight one of this share of its depth over mouth width."""


def oedometric_modulus(modulus: ArrayLike, poisson: ArrayLike) -> Array:
    """Return the stiffness of a material that cannot move sideways at all.

    Parameters
    ----------
    modulus : float or array, Young's modulus [Pa], 0 or more
    poisson : float or array, Poisson's ratio [1], 0 to below 0.5

    Returns
    -------
    numpy array, modulus [Pa]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-mechanics-joint, section 4a.
    Checked against: tests/checks/softmend-mechanics-joint.csv.

    Example
    -------
    >>> round(float(oedometric_modulus(1.0, 0.3)), 4)
    1.3462
    """
    e, nu = _elastic(modulus, poisson)
    return np.asarray(e * (1 - nu) / ((1 + nu) * (1 - 2 * nu)))


def confined_modulus(
    modulus: ArrayLike, poisson: ArrayLike, depth_over_width: ArrayLike, bottom: Bottom
) -> Array:
    """Return traction over mean strain of a long fill between parallel walls that it sticks to.

    Parameters
    ----------
    modulus : float or array, Young's modulus of the fill [Pa], 0 or more
    poisson : float or array, Poisson's ratio of the fill [1], 0 to below 0.5
    depth_over_width : float or array, depth of the fill over width of the crack [1], above 0
    bottom : Bottom, stuck to the bottom or free

    Returns
    -------
    numpy array, modulus: within 4 % for Poisson's ratio to 0.45, 6.5 % to 0.49 [Pa]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-mechanics-joint, section 4a (parabolic displacement across the width).
    Checked against: tests/checks/softmend-mechanics-joint.csv;
    tests/checks/softmend-joint-oracle.csv.

    Example
    -------
    >>> round(float(confined_modulus(1.0, 0.3, 10.0, Bottom.BONDED)), 4)
    1.3328
    """
    e, nu = _elastic(modulus, poisson)
    sideways = nu / (1 - nu)
    held = 1 - sideways**2 * _released(nu, depth_over_width, bottom)
    return np.asarray(oedometric_modulus(e, nu) * held)


def confined_modulus_of_v(
    modulus: ArrayLike, poisson: ArrayLike, depth_over_mouth: ArrayLike
) -> Array:
    """Return traction over strain of a long fill in a V that it sticks to.

    Parameters
    ----------
    modulus : float or array, Young's modulus of the fill [Pa], 0 or more
    poisson : float or array, Poisson's ratio of the fill [1], 0 to below 0.5
    depth_over_mouth : float or array, depth over width at the mouth [1], above 0

    Returns
    -------
    numpy array, modulus: within 5 %, but for Poisson's ratio 0.49 at one and two times as deep as
    wide: 11 and 17 % too low [Pa]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-mechanics-joint, section 4a (opening and width both fall straight to the tip).
    Checked against: tests/checks/softmend-mechanics-joint.csv;
    tests/checks/softmend-joint-oracle.csv.

    Example
    -------
    >>> round(float(confined_modulus_of_v(1.0, 0.3, 10.0)), 2)
    1.33
    """
    share = V_DEPTH_SHARE * np.asarray(depth_over_mouth, dtype=np.float64)
    return confined_modulus(modulus, poisson, share, Bottom.BONDED)


def confined_swelling(poisson: ArrayLike, depth_over_width: ArrayLike, bottom: Bottom) -> Array:
    """Return how much wider than its own free strain a swelling fill wants to be between walls.

    The walls also keep it from growing along and into the crack, and that growth goes across.

    Parameters
    ----------
    poisson : float or array, Poisson's ratio of the fill [1], 0 to below 0.5
    depth_over_width : float or array, depth of the fill over width of the crack [1], above 0
    bottom : Bottom, stuck to the bottom or free

    Returns
    -------
    numpy array, strain across over free strain, from 1 + nu to (1 + nu) / (1 - nu) [1]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: derived (the model of confined_modulus with an even free strain).
    Checked against: tests/checks/softmend-joint-oracle.csv.

    Example
    -------
    >>> round(float(confined_swelling(0.3, 1e-3, Bottom.FREE)), 3)
    1.3
    >>> round(float(confined_swelling(0.3, 1e6, Bottom.FREE)), 3)
    1.857
    """
    _, nu = _elastic(1.0, poisson)
    sideways = nu / (1 - nu)
    released = _released(nu, depth_over_width, bottom)
    return np.asarray((1 + 2 * sideways) * (1 - sideways * released) / (1 - sideways**2 * released))


def _released(nu: Array, depth_over_width: ArrayLike, bottom: Bottom) -> Array:
    """Return the share of the depth over which the fill escapes sideways: 1 shallow, 0 deep."""
    ratio = np.asarray(depth_over_width, dtype=np.float64)
    if not np.all(ratio > 0):
        raise InputError("Depth over width of a crack is not above zero", value=float(ratio.min()))
    ends = 1.0 if bottom is Bottom.BONDED else 0.5
    reach = ends * ratio * np.sqrt(6 * (1 - 2 * nu) / (1 - nu))
    return np.asarray(np.tanh(reach) / reach)


def _elastic(modulus: ArrayLike, poisson: ArrayLike) -> tuple[Array, Array]:
    e, nu = np.asarray(modulus, dtype=np.float64), np.asarray(poisson, dtype=np.float64)
    if not np.all(e >= 0):
        raise InputError("A modulus is negative", value=float(e.min()), allowed="0 Pa or more")
    if not np.all((nu >= 0) & (nu < 0.5)):
        raise InputError(
            "A Poisson's ratio is out of range", value=float(nu.max()), allowed="0 to below 0.5"
        )
    return e, nu
