"""Where liquids and polymers lie in Hansen's space, and on the two scales of Teas.

Hansen parameters keep the unit in which every table prints them, MPa^0.5; volumes are in m3. A
distance is a guide to what to test next: it knows no rate, no aged film, and nothing of the object.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

GAS_CONSTANT = 8.314462618
"""In J/(mol K)."""
PARTS_WITH_ITSELF = 2.0
"""Chi above which a regular solution of two like-sized molecules falls into two layers."""
MOST_PARAMETER = 60.0
"""In MPa^0.5; water's 42.3 is the largest that is known of a liquid."""


class TeasScale(StrEnum):
    """The two scales of fractional parameters, 2 to 10 points apart; never mixed."""

    PUBLISHED = "published Teas scale"
    FROM_HANSEN = "fractions of Hansen values"


@dataclass(frozen=True, slots=True)
class Teas:
    """Fractional parameters of a liquid in percent, and the scale that they are on."""

    scale: TeasScale
    dispersion: float
    polar: float
    hydrogen: float


def distance(one: ArrayLike, other: ArrayLike) -> Array:
    """Return Hansen's distance Ra between positions.

    Parameters
    ----------
    one, other : array, dispersion, polar and hydrogen parts, shape (..., 3) [MPa^0.5], 0 to 60

    Returns
    -------
    numpy array, distance, shape (...) [MPa^0.5]

    Raises
    ------
    InputError
        When a position has not three parts, or one is impossible.

    Source: hansen2007, chapter 1 (recalled).
    Checked against: tests/checks/softmend-solvents.csv.

    Example
    -------
    >>> round(float(distance([15.5, 10.4, 7.0], [17.60, 9.66, 3.97])), 3)
    5.231
    """
    apart = _positions(one) - _positions(other)
    return np.asarray(np.sqrt(4 * apart[..., 0] ** 2 + apart[..., 1] ** 2 + apart[..., 2] ** 2))


def relative_distance(position: ArrayLike, centre: ArrayLike, radius: ArrayLike) -> Array:
    """Return the relative energy difference RED: the distance over the radius of the sphere.

    Parameters
    ----------
    position : array, of the liquid, shape (..., 3) [MPa^0.5], 0 to 60
    centre : array, of the sphere, shape (..., 3) [MPa^0.5], 0 to 60
    radius : array, of the sphere [MPa^0.5], above 0

    Returns
    -------
    numpy array, RED [1]; below 1 is inside, 0.9 to 1.3 is a grey band

    Raises
    ------
    InputError
        When a radius is not above zero, or a position is impossible.

    Source: hansen2007, chapter 1 (recalled).
    Checked against: tests/checks/softmend-solvents.csv.

    Example
    -------
    >>> round(float(relative_distance([18.0, 1.4, 2.0], [17.60, 9.66, 3.97], 10.6)), 3)
    0.805
    """
    size = np.asarray(radius, dtype=np.float64)
    if not np.all(size > 0):
        raise InputError(
            "A sphere has no radius", value=f"{float(np.min(size)):g}", allowed="above 0 MPa^0.5"
        )
    return np.asarray(distance(position, centre) / size)


def volume_shares(volumes: ArrayLike) -> Array:
    """Return the parts of a blend as shares of its volume before mixing.

    Parameters
    ----------
    volumes : array, parts by volume in any unit, shape (n,) [1], 0 or more

    Returns
    -------
    numpy array, shares that sum to 1, shape (n,) [1]

    Raises
    ------
    InputError
        When a part is negative or all are zero.

    Source: derived; volumes add on ideal mixing.
    Checked against: tests/science/solvency/test_hansen.py.

    Example
    -------
    >>> volume_shares([30, 70]).tolist()
    [0.3, 0.7]
    """
    parts = np.atleast_1d(np.asarray(volumes, dtype=np.float64))
    if not (np.all(parts >= 0) and np.all(np.isfinite(parts)) and parts.sum() > 0):
        raise InputError(
            "The parts of a blend are impossible",
            value=", ".join(f"{one:g}" for one in parts[:6]),
            allowed="0 or more each, and not all 0",
        )
    return np.asarray(parts / parts.sum())


def blend_position(positions: ArrayLike, volumes: ArrayLike) -> Array:
    """Return the position of a blend: the mean of its parts by volume, each parameter by itself.

    Parameters
    ----------
    positions : array, of the parts, shape (n, 3) [MPa^0.5], 0 to 60
    volumes : array, parts by volume, shape (n,) [1], 0 or more

    Returns
    -------
    numpy array, position of the blend, shape (3,) [MPa^0.5]

    Raises
    ------
    InputError
        When the two do not pair, or a part is impossible.

    Source: hansen2007, chapter 1 (recalled).
    Checked against: tests/checks/softmend-solvents.csv.

    Example
    -------
    >>> blend_position([[15.8, 8.8, 19.4], [14.5, 2.9, 5.1]], [50, 50]).round(2).tolist()
    [15.15, 5.85, 12.25]
    """
    places, shares = np.atleast_2d(_positions(positions)), volume_shares(volumes)
    if places.shape[0] != shares.size:
        raise InputError(
            "The parts of a blend do not pair with its liquids",
            value=f"{places.shape[0]} liquids, {shares.size} parts",
            allowed="one part for each liquid",
        )
    return np.asarray(shares @ places)


def blend_molar_volume(molar_volumes: ArrayLike, volumes: ArrayLike) -> float:
    """Return the molar volume of a blend: its volume over its moles.

    Parameters
    ----------
    molar_volumes : array, of the parts, shape (n,) [m3/mol], above 0
    volumes : array, parts by volume, shape (n,) [1], 0 or more

    Returns
    -------
    float, molar volume [m3/mol]

    Raises
    ------
    InputError
        When a molar volume is not above zero, or a part is impossible.

    Source: derived; moles and volumes add.
    Checked against: tests/science/solvency/test_hansen.py.

    Example
    -------
    >>> round(blend_molar_volume([100e-6, 200e-6], [50, 50]) * 1e6, 1)
    133.3
    """
    sizes = np.atleast_1d(np.asarray(molar_volumes, dtype=np.float64))
    if not np.all(sizes > 0):
        raise InputError("A molar volume is not above zero", value=float(sizes.min()))
    return float(1 / (volume_shares(volumes) / sizes).sum())


def teas_of_hansen(position: ArrayLike) -> Teas:
    """Return the fractions of Hansen values in percent; this is not the published Teas scale.

    Parameters
    ----------
    position : array, shape (3,) [MPa^0.5], 0 to 60, not all 0

    Returns
    -------
    Teas [%]

    Raises
    ------
    InputError
        When the position is impossible.

    Source: gardon1976 (recalled; the form of the fractions).
    Checked against: tests/checks/softmend-solvents.csv.

    Example
    -------
    >>> found = teas_of_hansen([15.71, 3.19, 2.24])
    >>> round(found.dispersion, 1), round(found.polar, 1), round(found.hydrogen, 1)
    (74.3, 15.1, 10.6)
    """
    place = _positions(position)
    if place.shape != (3,) or place.sum() <= 0:
        raise InputError("A position has no parts to divide", allowed="three numbers, not all 0")
    shares = (100 * place / place.sum()).tolist()
    return Teas(TeasScale.FROM_HANSEN, *shares)


def blend_teas(parts: Sequence[Teas], volumes: ArrayLike) -> Teas:
    """Return the fractional parameters of a blend, when all its parts are on one scale.

    Parameters
    ----------
    parts : sequence of Teas, all on one scale
    volumes : array, parts by volume, shape (n,) [1], 0 or more

    Returns
    -------
    Teas [%], on the same scale

    Raises
    ------
    InputError
        When the scales differ, or the parts do not pair.

    Source: gardon1976 (recalled).
    Checked against: tests/checks/softmend-solvents.csv.

    Example
    -------
    >>> scale = TeasScale.PUBLISHED
    >>> found = blend_teas([Teas(scale, 36, 18, 46), Teas(scale, 80, 7, 13)], [50, 50])
    >>> found.dispersion, found.polar, found.hydrogen
    (58.0, 12.5, 29.5)
    """
    shares = volume_shares(volumes)
    scales = {one.scale for one in parts}
    if len(parts) != shares.size or len(scales) != 1:
        raise InputError(
            "The two scales of Teas cannot be mixed" if len(scales) > 1 else "Parts do not pair",
            value=", ".join(sorted(scales)),
            allowed="every part on one and the same scale",
        )
    table = np.array([(one.dispersion, one.polar, one.hydrogen) for one in parts])
    return Teas(parts[0].scale, *(shares @ table).tolist())


def regular_chi(
    one: ArrayLike, other: ArrayLike, molar_volume: float, kelvin: float = 298.15
) -> float:
    """Return the interaction chi of two liquids as regular solutions: a warning, never a list.

    It calls pairs that do mix (ethanol and heptane) apart; look at 1 mL before believing it.

    Parameters
    ----------
    one, other : array, positions, shape (3,) [MPa^0.5], 0 to 60
    molar_volume : float, geometric mean of the two [m3/mol], above 0
    kelvin : float, temperature [K], 250 to 400

    Returns
    -------
    float, chi [1]; above 2 the pair may part

    Raises
    ------
    InputError
        When the temperature or the volume is out of range.

    Source: hansen2007, chapter 2 (recalled).
    Checked against: tests/checks/softmend-solvents.csv.

    Example
    -------
    >>> round(regular_chi([15.8, 8.8, 19.4], [15.3, 0, 0], 93.0e-6), 1)
    4.3
    """
    if not (250 <= kelvin <= 400 and 1e-6 < molar_volume < 1e-2):
        raise InputError(
            "Temperature or molar volume is out of range", value=(kelvin, molar_volume)
        )
    apart = _positions(one) - _positions(other)
    energy = (apart[0] ** 2 + apart[1] ** 2 / 4 + apart[2] ** 2 / 4) * 1e6
    return float(molar_volume * energy / (GAS_CONSTANT * kelvin))


def _positions(values: ArrayLike) -> Array:
    places = np.asarray(values, dtype=np.float64)
    if places.ndim == 0 or places.shape[-1] != 3:
        raise InputError(
            "A position needs three parts", value=str(places.shape), allowed="dispersion, polar, "
            "hydrogen"
        )  # fmt: skip
    if not np.all((places >= 0) & (places <= MOST_PARAMETER)):
        wrong = places[~((places >= 0) & (places <= MOST_PARAMETER))]
        raise InputError(
            "A Hansen parameter is out of range",
            value=f"{wrong.flat[0]:g}",
            allowed=f"0 to {MOST_PARAMETER:g} MPa^0.5",
            remedy="Look at the unit: older tables print (cal/cm3)^0.5, which is 2.046 MPa^0.5",
        )
    return places
