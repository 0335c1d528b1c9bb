"""Colours of reflectances under a lamp: tristimulus values, CIELAB, and how they are had.

Observers and lamps are arrays at every nanometre from 360 to 780; reflectances stand at any rising
wavelengths and are joined by a smooth curve, their ends held.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

FIRST_NM, LAST_NM = 360, 780
EVERY_NM = np.arange(FIRST_NM, LAST_NM + 1, dtype=np.float64)
STEEP = (6 / 29) ** 3
PLANCK_M_K = 1.4388e-2


@dataclass(frozen=True, slots=True)
class Weights:
    """What turns reflectances at stated wavelengths into X, Y, Z under one lamp, and its white."""

    name: str
    matrix: Array
    white: Array

    def xyz(self, reflectance: Array) -> Array:
        """Return X, Y, Z, with Y = 100 for a perfect white; the last axis is the wavelength."""
        return np.asarray(reflectance @ self.matrix.T)

    def lab(self, reflectance: Array) -> Array:
        """Return CIELAB for this lamp's own white."""
        return lab(self.xyz(reflectance), self.white)


def interpolation(wavelengths: ArrayLike, wanted: ArrayLike) -> Array:
    """Return the matrix that takes values at some wavelengths to others by a natural cubic.

    Parameters
    ----------
    wavelengths : array, rising [nm], two or more
    wanted : array, where values are wanted [nm]; beyond the ends the end value is held

    Returns
    -------
    array, one row for each wanted wavelength [1]

    Raises
    ------
    InputError
        When the wavelengths do not rise, or are fewer than two.

    Source: own, the natural cubic spline as a matrix.
    Checked against: tests/science/tint/test_colorimetry.py.

    Example
    -------
    >>> interpolation([400, 500, 600], [450, 700]).round(3).tolist()
    [[0.406, 0.688, -0.094], [0.0, 0.0, 1.0]]
    """
    at, to = np.asarray(wavelengths, np.float64), np.asarray(wanted, np.float64)
    steps = np.diff(at)
    if at.size < 2 or not np.all(steps > 0):
        raise InputError(
            "Wavelengths do not rise", value=at.size, allowed="two or more, each above the last"
        )
    count = at.size
    bends: Array = np.zeros((count, count))
    if count > 2:
        system = np.eye(count)
        side = np.zeros((count, count))
        inner = np.arange(1, count - 1)
        system[inner, inner - 1] = steps[:-1]
        system[inner, inner] = 2 * (steps[:-1] + steps[1:])
        system[inner, inner + 1] = steps[1:]
        side[inner, inner - 1] = 6 / steps[:-1]
        side[inner, inner] = -6 / steps[:-1] - 6 / steps[1:]
        side[inner, inner + 1] = 6 / steps[1:]
        bends = np.asarray(np.linalg.solve(system, side))
    held = np.clip(to, at[0], at[-1])
    left = np.clip(np.searchsorted(at, held, side="right") - 1, 0, count - 2)
    width = steps[left][:, None]
    upper = ((held - at[left])[:, None]) / width
    lower = 1 - upper
    unit = np.eye(count)
    curve = (lower**3 - lower) * bends[left] + (upper**3 - upper) * bends[left + 1]
    return np.asarray(lower * unit[left] + upper * unit[left + 1] + curve * width**2 / 6)


def weights(name: str, wavelengths: ArrayLike, power: Array, observer: Array) -> Weights:
    """Return what turns reflectances at these wavelengths into colours under a lamp.

    Parameters
    ----------
    name : str, of the lamp [1]
    wavelengths : array, rising [nm], of the reflectances
    power : array, of the lamp at every nm from 360 to 780 [any unit], 0 or more
    observer : array, three columns at every nm from 360 to 780 [1]

    Returns
    -------
    Weights, matrix of three rows [1]

    Raises
    ------
    InputError
        When the lamp gives no light, or not a value for each nanometre.

    Source: cie-15, summation at 1 nm.
    Checked against: tests/checks/softmend-colour.csv (white points).

    Example
    -------
    >>> eye = np.ones((421, 3))
    >>> weights("E", [400, 700], np.ones(421), eye).matrix.sum(axis=1).round(6).tolist()
    [100.0, 100.0, 100.0]
    """
    if power.shape != EVERY_NM.shape or observer.shape != (EVERY_NM.size, 3):
        raise InputError("A lamp needs a value at every nanometre from 360 to 780", value=name)
    lit = power[:, None] * observer
    bright = lit[:, 1].sum()
    if not bright > 0 or np.any(power < 0):
        raise InputError(
            "The lamp gives no light that is seen", value=name, allowed="power above 0"
        )
    scaled = 100 * lit / bright
    matrix = scaled.T @ interpolation(wavelengths, EVERY_NM)
    return Weights(name, matrix, scaled.sum(axis=0))


def lab(xyz: ArrayLike, white: ArrayLike) -> Array:
    """Return CIELAB of tristimulus values.

    Parameters
    ----------
    xyz : array, X, Y, Z in the last axis [1], Y of a white 100
    white : array, X, Y, Z of the white [1]

    Returns
    -------
    array, L*, a*, b* in the last axis [1]

    Source: cie-15, CIELAB.
    Checked against: tests/science/tint/test_colorimetry.py.

    Example
    -------
    >>> lab([95.047, 100, 108.883], [95.047, 100, 108.883]).round(6).tolist()
    [100.0, 0.0, 0.0]
    """
    ratio = np.asarray(xyz, np.float64) / np.asarray(white, np.float64)
    f = np.where(ratio > STEEP, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.stack(
        [
            116 * f[..., 1] - 16,
            500 * (f[..., 0] - f[..., 1]),
            200 * (f[..., 1] - f[..., 2]),
        ],
        axis=-1,
    )


def lab_slopes(xyz: Array, white: Array) -> Array:
    """Return how L*, a*, b* change with X, Y, Z.

    Parameters
    ----------
    xyz : array, X, Y, Z in the last axis [1]
    white : array, X, Y, Z of the white [1]

    Returns
    -------
    array, rows L*, a*, b* and columns X, Y, Z in the last two axes [1]

    Source: cie-15, CIELAB differentiated.
    Checked against: tests/science/tint/test_colorimetry.py.

    Example
    -------
    >>> lab_slopes(np.array([95.0, 100, 109]), np.array([95.0, 100, 109]))[0].round(4).tolist()
    [0.0, 0.3867, 0.0]
    """
    ratio = xyz / white
    steep = ratio > STEEP
    safe = np.where(steep, ratio, 1.0)
    f = np.where(steep, np.cbrt(safe) ** -2 / 3, 1 / (3 * (6 / 29) ** 2)) / white
    rows = np.array([[0.0, 116, 0], [500, -500, 0], [0, 200, -200]])
    return np.asarray(rows * f[..., None, :])


def xyz_of_lab(colour: ArrayLike, white: ArrayLike) -> Array:
    """Return tristimulus values of CIELAB.

    Parameters
    ----------
    colour : array, L*, a*, b* in the last axis [1]
    white : array, X, Y, Z of the white [1]

    Returns
    -------
    array, X, Y, Z in the last axis [1]

    Source: cie-15, CIELAB turned round.
    Checked against: tests/science/tint/test_colorimetry.py.

    Example
    -------
    >>> xyz_of_lab([50, 0, 0], [95.047, 100, 108.883]).round(4).tolist()
    [17.5064, 18.4187, 20.0548]
    """
    given = np.asarray(colour, np.float64)
    fy = (given[..., 0] + 16) / 116
    f = np.stack([fy + given[..., 1] / 500, fy, fy - given[..., 2] / 200], axis=-1)
    ratio = np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29))
    return np.asarray(ratio * np.asarray(white, np.float64))


def colour_temperature(power: Array, observer: Array) -> tuple[float, float]:
    """Return the correlated colour temperature of a lamp and its distance from the black body.

    Parameters
    ----------
    power : array, at every nm from 360 to 780 [any unit]
    observer : array, three columns of the 2 degree observer at every nm [1]

    Returns
    -------
    temperature [K] and signed distance, greenish above 0 [1]; the temperature is NaN when the lamp
    lies further than 0.05 from every black body of 1000 to 30000 K

    Source: cie-15, nearest black body in the 1960 diagram.
    Checked against: tests/checks/softmend-colour.csv (lamps).

    Example
    -------
    >>> eye = np.stack([np.exp(-(((EVERY_NM - c) / 45) ** 2)) for c in (600, 555, 450)], axis=1)
    >>> hot = np.exp(-PLANCK_M_K / (EVERY_NM * 1e-9 * 3000.0)) / EVERY_NM**5
    >>> round(colour_temperature(hot, eye)[0], -2)
    3000.0
    """
    u, v = _uv(power @ observer)
    kelvin = np.geomspace(1000, 30000, 1200)
    at = EVERY_NM[None, :] * 1e-9
    bodies = at**-5 / np.expm1(PLANCK_M_K / (at * kelvin[:, None]))
    bu, bv = _uv(bodies @ observer)
    away = (bu - u) ** 2 + (bv - v) ** 2
    nearest = int(np.clip(np.argmin(away), 1, kelvin.size - 2))
    low, mid, high = away[nearest - 1 : nearest + 2]
    shift = 0.5 * (low - high) / (low - 2 * mid + high)
    step = np.log(kelvin[1] / kelvin[0])
    temperature = float(kelvin[nearest] * np.exp(np.clip(shift, -1, 1) * step))
    distance = float(np.sqrt(max(mid - 0.25 * (low - high) * shift, 0.0)))
    sign = 1.0 if v >= bv[nearest] else -1.0
    return (temperature if distance <= 0.05 else float("nan")), sign * distance


def _uv(xyz: Array) -> tuple[Array, Array]:
    below = xyz[..., 0] + 15 * xyz[..., 1] + 3 * xyz[..., 2]
    return 4 * xyz[..., 0] / below, 6 * xyz[..., 1] / below
