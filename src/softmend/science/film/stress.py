"""Where the tension of a coating comes from: drying, a body that outgrows it, a bent strip."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

ABSOLUTE_ZERO = -273.15
"""0 K in degC."""


def solvent_share_at_setting(
    room: float,
    glass_transition: float,
    solvent_glass_transition: float,
    density: float,
    solvent_density: float,
) -> float:
    """Return the volume of solvent in a drying film at the moment when it sets.

    It sets when the glass transition of the mixture has risen to the room's temperature.

    Parameters
    ----------
    room, glass_transition, solvent_glass_transition : float, of the room, the dry resin and the
        solvent [degC], the solvent's below the room's
    density, solvent_density : float, of the dry resin and of the solvent [kg/m3], above 0

    Returns
    -------
    float, solvent volume over the volume of the film [1]; 0 for a resin that is soft when dry

    Raises
    ------
    InputError
        When the solvent would be a glass at room temperature or a density is not above zero.

    Source: fox1956 (recalled); croll1979.
    Checked against: tests/checks/croll1979.csv.

    Example
    -------
    >>> round(solvent_share_at_setting(20, 40, -156.15, 1150, 867), 4)
    0.0533
    """
    if min(density, solvent_density) <= 0:
        raise InputError("A density is not above zero", value=(density, solvent_density))
    if not ABSOLUTE_ZERO < solvent_glass_transition < room:
        raise InputError(
            "The solvent does not keep the film soft",
            value=f"{solvent_glass_transition:g} degC",
            allowed=f"a glass transition below the room's {room:g} degC",
        )
    if glass_transition <= room:
        return 0.0
    warm, dry, wet = (
        1 / (one - ABSOLUTE_ZERO) for one in (room, glass_transition, solvent_glass_transition)
    )
    mass_share = (warm - dry) / (wet - dry)
    solvent, resin = mass_share / solvent_density, (1 - mass_share) / density
    return solvent / (solvent + resin)


def drying_strain(share_at_setting: ArrayLike, share_left: ArrayLike = 0.0) -> Array:
    """Return how far a film would shrink along the surface after it has set, were it free.

    Parameters
    ----------
    share_at_setting : array, solvent volume share when it sets [1], 0 to 1, end excluded
    share_left : array, solvent volume share that stays [1], at most the share at setting

    Returns
    -------
    numpy array, linear strain [1]

    Raises
    ------
    InputError
        When the shares are impossible.

    Source: croll1979 (formula recalled).
    Checked against: tests/checks/croll1979.csv.

    Example
    -------
    >>> round(float(drying_strain(0.0533)), 4)
    0.0178
    """
    wet, dry = np.broadcast_arrays(_floats(share_at_setting), _floats(share_left))
    if not np.all((dry >= 0) & (dry <= wet) & (wet < 1)):
        raise InputError(
            "The shares of solvent are impossible",
            value=f"{wet.flat[0]:g} at setting, {dry.flat[0]:g} left",
            allowed="0 or more, below 1, and no more left than there was",
        )
    return np.asarray((wet - dry) / (3 * (1 - dry)))


def restrained_stress(strain: ArrayLike, modulus: ArrayLike, poisson: ArrayLike) -> Array:
    """Return the tension of a film that may not shrink along the surface, without relaxation.

    Parameters
    ----------
    strain : array, strain that is held back [1]
    modulus : array, Young's modulus of the film [Pa]
    poisson : array, Poisson's ratio of the film [1], below 0.5

    Returns
    -------
    numpy array, equal tension both ways [Pa]; an upper bound, since a film relaxes

    Source: croll1979.
    Checked against: tests/checks/croll1979.csv.

    Example
    -------
    >>> round(float(restrained_stress(0.0178, 1.5e9, 0.38)) / 1e6)
    43
    """
    return np.asarray(_floats(modulus) * _floats(strain) / (1 - _floats(poisson)))


def stored_energy(
    strain: ArrayLike, thickness: ArrayLike, modulus: ArrayLike, poisson: ArrayLike
) -> Array:
    """Return the whole energy in a film that is held both ways.

    A straight peeling edge frees less, since the film stays held along the edge: this figure is
    larger by 2 / (1 + poisson). Which layer lets go is judged with the edge's.

    Parameters
    ----------
    strain : array, strain that is held back [1]
    thickness : array, of the film [m], 0 or more
    modulus : array, Young's modulus of the film [Pa]
    poisson : array, Poisson's ratio of the film [1], below 0.5

    Returns
    -------
    numpy array, energy by area [J/m2]

    Source: croll1980 (recalled).
    Checked against: tests/checks/croll1979.csv.

    Example
    -------
    >>> round(float(stored_energy(0.001, 100e-6, 1.5e9, 0.35)), 3)
    0.231
    """
    stretched = _floats(strain) ** 2 / (1 - _floats(poisson))
    return np.asarray(_floats(thickness) * _floats(modulus) * stretched)


def stress_from_bending(
    radius: ArrayLike,
    thickness: ArrayLike,
    body_thickness: ArrayLike,
    body_modulus: ArrayLike,
    body_poisson: ArrayLike,
) -> Array:
    """Return the tension of a film from how far it bends a thin plate.

    Parameters
    ----------
    radius : array, of the bend [m], above 0
    thickness : array, of the film [m], above 0, at most a twentieth of the plate's
    body_thickness : array, of the plate [m], above 0
    body_modulus : array, Young's modulus of the plate [Pa], above 0
    body_poisson : array, Poisson's ratio of the plate [1]; 0 for a narrow strip

    Returns
    -------
    numpy array, tension [Pa]; good to a few percent

    Raises
    ------
    InputError
        When the film is not thin beside the plate or the radius is not above zero.

    Source: stoney1909; feng2007 (the form for a plate).
    Checked against: tests/checks/stoney1909.csv; tests/science/film/test_stress.py.

    Example
    -------
    >>> round(float(stress_from_bending(2.0, 50e-6, 1e-3, 10e9, 0.3)) / 1e6, 2)
    23.81
    """
    film, plate = _floats(thickness), _floats(body_thickness)
    if not (np.all(film > 0) and np.all(film <= plate / 20 * (1 + 1e-9))):
        raise InputError(
            "The film is not thin beside the plate",
            value=f"{film.flat[0]:g} m on {plate.flat[0]:g} m",
            allowed="above 0, at most a twentieth of the plate",
        )
    bend = _floats(radius)
    if not np.all(bend > 0):
        raise InputError("A radius is not above zero", value=f"{bend.min():g}", allowed="above 0")
    stiff = _floats(body_modulus) / (1 - _floats(body_poisson))
    return np.asarray(stiff * plate**2 / (6 * film * bend))


def _floats(values: ArrayLike) -> Array:
    return np.asarray(values, dtype=np.float64)
